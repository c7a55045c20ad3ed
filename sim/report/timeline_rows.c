#include "report/timeline_rows.h"

#include <inttypes.h>
#include <stdio.h>
#include <string.h>

#include "describe/names.h"
#include "describe/trace_kinds.h"
#include "report/escape.h"

#define BOX      18u
#define NO_LIMIT INT64_MAX

/* A generous mean of a sans-serif face at 11 pixels. */
unsigned strip_text_width(const char *text)
{
  return (unsigned)strlen(text) * 6u + 2u;
}

static void put_title(const struct strip *s, unsigned y, const char *title)
{
  fprintf(s->picture->to, "<text class=\"t\" x=\"%u\" y=\"%u\">",
          STRIP_LEFT - 10, y);
  if (strlen(title) > 29) {
    char cut[40];
    snprintf(cut, sizeof cut, "%.27s...", title);
    escape_text(s->picture->to, cut);
  } else {
    escape_text(s->picture->to, title);
  }
  fputs("</text>\n", s->picture->to);
}

static void put_words(const struct strip *s, int64_t x, unsigned y,
                      const char *class, const char *words)
{
  fprintf(s->picture->to, "<text class=\"%s\" x=\"%" PRId64 "\" y=\"%u\">",
          class, x, y);
  escape_text(s->picture->to, words);
  fputs("</text>\n", s->picture->to);
}

static bool inside(const struct strip *s, ps_t at)
{
  return at >= s->span.from && at <= s->span.to;
}

/* --- instants in a row: steps, resets, starts ---------------------------- */

/* Where the next text may begin. */
struct cursor {
  int64_t free;
};

/* `full` if it fits before `limit`, else `brief`, else nothing. */
static void put_label(const struct strip *s, struct cursor *c, int64_t x,
                      int64_t limit, const char *full, const char *brief)
{
  const char *words[] = {full, brief};
  for (size_t i = 0; i < 2; i++) {
    if (!words[i] || x < c->free) continue;
    int64_t end = x + strip_text_width(words[i]);
    if (end > limit) continue;
    put_words(s, STRIP_LEFT + x, s->y + 13, "w", words[i]);
    c->free = end;
    return;
  }
}

static void put_tick(const struct strip *s, int64_t x)
{
  fprintf(s->picture->to, "<path class=\"a\" d=\"M%" PRId64 " %uv%u\"/>\n",
          STRIP_LEFT + x, s->y + 3, BOX - 4);
}

/* Up to the first step of another instant. */
static uint32_t same_instant(const struct timeline *t, uint32_t i)
{
  uint32_t end = i + 1;
  while (end < t->step_count && t->steps[end].from == t->steps[i].from)
    end++;
  return end;
}

/* "2 probe" and "2"; of a label its first word, or what is behind a colon. */
static void name_step(const struct timeline *t, const struct step *step,
                      char full[LANE_TEXT], char brief[LANE_TEXT])
{
  if (t->labels) {
    const char *colon = strstr(step->label, ": ");
    snprintf(full, LANE_TEXT, "%s", step->label);
    snprintf(brief, LANE_TEXT, "%.*s",
             (int)(colon ? strlen(colon + 2) : strcspn(step->label, " ")),
             colon ? colon + 2 : step->label);
    return;
  }
  snprintf(full, LANE_TEXT, "%" PRIu32 " %s", step->number,
           verb_word(step->verb));
  snprintf(brief, LANE_TEXT, "%" PRIu32, step->number);
}

/* "3 expect, 4 write" and "3, 4"; of labels the first is enough. */
static void name_steps(const struct strip *s, uint32_t first, uint32_t end,
                       char full[LANE_TEXT], char brief[LANE_TEXT])
{
  const struct timeline *t = s->picture->timeline;
  size_t f = 0, b = 0;
  full[0] = brief[0] = '\0';
  for (uint32_t i = first; i < end; i++) {
    uint32_t number = t->steps[i].number;
    if (number >= t->script->step_count) continue;
    const char *comma = i > first ? ", " : "";
    const struct step *step = &t->script->steps[number];
    char word[LANE_TEXT], short_word[LANE_TEXT];
    name_step(t, step, word, short_word);
    int more = snprintf(full + f, LANE_TEXT - f, "%s%s", comma, word);
    if (more > 0 && (size_t)more < LANE_TEXT - f) f += (size_t)more;
    if (t->labels && b > 0) continue;
    more = snprintf(brief + b, LANE_TEXT - b, "%s%s", comma, short_word);
    if (more > 0 && (size_t)more < LANE_TEXT - b) b += (size_t)more;
  }
}

void strip_steps(struct strip *s)
{
  const struct timeline *t = s->picture->timeline;
  struct cursor c = {0};
  put_title(s, s->y + 13, t->labels ? "procedure" : "steps of the script");
  for (uint32_t i = 0; i < t->step_count;) {
    uint32_t end = same_instant(t, i);
    char full[LANE_TEXT], brief[LANE_TEXT];
    if (inside(s, t->steps[i].from)) {
      int64_t x = axis_x(&s->span, t->steps[i].from);
      int64_t limit = end < t->step_count && inside(s, t->steps[end].from)
                          ? axis_x(&s->span, t->steps[end].from)
                          : AXIS_WIDTH + 30;
      name_steps(s, i, end, full, brief);
      put_tick(s, x);
      put_label(s, &c, x + 3, limit, full, brief);
    }
    i = end;
  }
  s->y += 18;
}

void strip_resets(struct strip *s)
{
  const struct timeline *t = s->picture->timeline;
  struct cursor c = {0};
  put_title(s, s->y + 13, "resets");
  for (uint32_t i = 0; i < t->resets.count; i++) {
    if (!inside(s, t->resets.list[i].at)) continue;
    int64_t x = axis_x(&s->span, t->resets.list[i].at);
    int64_t limit =
        i + 1 < t->resets.count && inside(s, t->resets.list[i + 1].at)
            ? axis_x(&s->span, t->resets.list[i + 1].at)
            : AXIS_WIDTH + 30;
    fprintf(s->picture->to,
            "<path class=\"n\" d=\"M%" PRId64 " %ul-4 -7h8z\"/>\n",
            STRIP_LEFT + x, s->y + 14);
    put_label(s, &c, x + 6, limit, cause_word(t->resets.list[i].what), NULL);
  }
  s->y += 18;
}

void strip_starts(struct strip *s)
{
  const struct result *r = s->picture->result;
  FILE *to = s->picture->to;
  struct cursor c = {0};
  put_title(s, s->y + 16, "starts");
  for (uint32_t i = 0; i < r->start_count; i++) {
    const struct start *start = &r->starts[i];
    if (!inside(s, start->at)) continue;
    char words[LANE_TEXT];
    int64_t x = axis_x(&s->span, start->at);
    fprintf(to,
            "<g class=\"start\" data-start=\"%" PRIu32 "\" data-at=\"%" PRId64
            "\"><circle class=\"n\" cx=\"%" PRId64 "\" cy=\"%u\" r=\"9\"/>"
            "<text class=\"nn\" x=\"%" PRId64 "\" y=\"%u\">%" PRIu32
            "</text></g>\n",
            start->number, start->at, STRIP_LEFT + x, s->y + 12,
            STRIP_LEFT + x, s->y + 16, start->number);
    snprintf(words, sizeof words, "in %s", start->region);
    s->y += 3;
    put_label(s, &c, x + 12, NO_LIMIT, words, NULL);
    s->y -= 3;
    c.free += 12;
  }
  s->y += 26;
}

/* --- the rail ------------------------------------------------------------ */

static uint32_t rail_top(const struct timeline *t)
{
  uint32_t top = 1;
  for (uint32_t i = 0; i < t->point_count; i++) {
    if (t->points[i].mv > top) top = t->points[i].mv;
  }
  return top;
}

/* From the row's top. */
static unsigned rail_y(uint32_t top, uint32_t mv)
{
  const unsigned height = STRIP_RAIL - 16;
  return 8 + height - (unsigned)((uint64_t)height * mv / top);
}

static uint32_t rail_mv(const struct timeline *t, ps_t at)
{
  const struct timeline_point *p = t->points;
  if (at <= p->at) return p->mv;
  for (uint32_t i = 1; i < t->point_count; i++) {
    if (p[i].at < at) continue;
    wide_t way = (wide_t)p[i].mv - p[i - 1].mv;
    return (uint32_t)(p[i - 1].mv +
                      way * (at - p[i - 1].at) / (p[i].at - p[i - 1].at));
  }
  return p[t->point_count - 1].mv;
}

/* Named where that stands clear of what is named at `below`. */
static void put_threshold(const struct strip *s, uint32_t top, uv_t level,
                          const char *name, unsigned *below)
{
  uint32_t mv = (uint32_t)(level / 1000);
  if (mv > top) return;
  char volts[32], words[64];
  unsigned y = s->y + rail_y(top, mv);
  units_text(volts, sizeof volts, UNIT_VOLTAGE, level);
  snprintf(words, sizeof words, "%s %s", name, volts);
  if (y + 4 >= *below + 11) {
    put_title(s, y + 4, words);
    *below = y + 4;
  }
  fprintf(s->picture->to, "<path class=\"f\" d=\"M%u %uh%" PRId64 "\"/>\n",
          STRIP_LEFT, y, axis_width(&s->span));
}

static void put_point(const struct strip *s, uint32_t top,
                      const struct timeline_point *p)
{
  char time[48], volts[32];
  fprintf(s->picture->to,
          "<circle class=\"d\" cx=\"%" PRId64 "\" cy=\"%u\" r=\"2.5\" "
          "data-at=\"%" PRId64 "\" data-mv=\"%" PRIu32
          "\"><title>rail: %s at %s</title></circle>\n",
          STRIP_LEFT + axis_x(&s->span, p->at), s->y + rail_y(top, p->mv),
          p->at, p->mv,
          units_text(volts, sizeof volts, UNIT_VOLTAGE, (uv_t)p->mv * 1000),
          units_text(time, sizeof time, UNIT_TIME, p->at));
}

void strip_rail(struct strip *s)
{
  const struct timeline *t = s->picture->timeline;
  if (t->point_count == 0) return;
  uint32_t top = rail_top(t);
  unsigned below = s->y + 12;
  put_title(s, below, "rail voltage");
  put_threshold(s, top, t->part->power.on_rise.typ, "on at", &below);
  put_threshold(s, top, t->part->power.rearm_below.typ, "re-arm below",
                &below);
  fputs("<path class=\"c\" d=\"", s->picture->to);
  for (uint32_t i = s->span.first; i <= s->span.last; i++) {
    ps_t at = s->span.axis->instants[i];
    fprintf(s->picture->to, "%s%" PRId64 " %u", i == s->span.first ? "M" : "L",
            STRIP_LEFT + axis_x(&s->span, at),
            s->y + rail_y(top, rail_mv(t, at)));
  }
  fputs("\"/>\n", s->picture->to);
  for (uint32_t i = 0; i < t->point_count; i++) {
    if (inside(s, t->points[i].at)) put_point(s, top, &t->points[i]);
  }
  s->y += STRIP_RAIL;
}

/* --- lanes --------------------------------------------------------------- */

static bool overlaps(const struct axis_strip *span, const struct span *s)
{
  return s->from < span->to && s->to > span->from;
}

bool strip_has_lane(const struct axis_strip *span, const struct lane *lane)
{
  for (uint32_t i = 0; i < lane->count; i++) {
    if (overlaps(span, &lane->spans[i])) return true;
  }
  return false;
}

static void open_group(const struct strip *s, const struct lane *lane,
                       const struct span *span, const char *words)
{
  FILE *to = s->picture->to;
  char title[LANE_TEXT], from[48], until[48];
  fprintf(to,
          "<g class=\"%s\" data-lane=\"%s\" data-index=\"%" PRIu32
          "\" data-from=\"%" PRId64 "\" data-to=\"%" PRId64 "\" data-value=\"",
          lane_look(lane->kind) == LOOK_BOX ? "b" : "l", lane_id(lane->kind),
          lane->index, span->from, span->to);
  escape_text(to, words);
  fputs("\"><title>", to);
  escape_text(to, lane_title(s->picture->timeline, lane, title));
  fputs(": ", to);
  escape_text(to, words);
  fprintf(to, ", %s to %s</title>",
          units_text(from, sizeof from, UNIT_TIME, span->from),
          units_text(until, sizeof until, UNIT_TIME, span->to));
}

/* The words in the middle; the first of them where they do not fit. */
static void put_inside(const struct strip *s, int64_t x, int64_t width,
                       const char *words)
{
  char first[LANE_TEXT];
  if ((int64_t)strip_text_width(words) > width) {
    snprintf(first, sizeof first, "%.*s", (int)strcspn(words, " ,"), words);
    words = first;
  }
  if ((int64_t)strip_text_width(words) > width) return;
  put_words(s, STRIP_LEFT + x + width / 2, s->y + 14, "m w", words);
}

static void put_box(const struct strip *s, const struct lane *lane,
                    const struct span *span, int64_t x, int64_t width)
{
  fprintf(s->picture->to,
          "<rect x=\"%" PRId64 "\" y=\"%u\" width=\"%" PRId64
          "\" height=\"%u\" fill=\"url(#%ss%d)\"/>",
          STRIP_LEFT + x, s->y + 1, width > 0 ? width : 1, BOX,
          s->picture->prefix,
          (int)lane_shade(s->picture->timeline, lane, span));
}

/* High above, low below, let go between. */
static unsigned level_y(const struct strip *s, const struct lane *lane,
                        const struct span *span)
{
  bool drive = lane->kind == LANE_PIN;
  bool high = drive ? span->value == PIN_DRIVEN_HIGH : span->value != 0;
  bool free = drive && span->value == PIN_RELEASED;
  return s->y + (free ? BOX / 2 : high ? 3 : BOX - 1);
}

static void put_span(const struct strip *s, const struct lane *lane,
                     const struct span *span)
{
  char words[LANE_TEXT];
  int64_t x = axis_x(&s->span, span->from);
  int64_t width = axis_x(&s->span, span->to) - x;
  lane_value(s->picture->timeline, lane, span, words);
  open_group(s, lane, span, words);
  if (lane_look(lane->kind) == LOOK_BOX) {
    put_box(s, lane, span, x, width);
  } else {
    fprintf(s->picture->to,
            "<rect class=\"h\" x=\"%" PRId64 "\" y=\"%u\" width=\"%" PRId64
            "\" height=\"%u\"/>",
            STRIP_LEFT + x, s->y + 1, width, BOX);
  }
  put_inside(s, x, width, words);
  fputs("</g>\n", s->picture->to);
}

/* One line through all levels. */
static void put_levels(const struct strip *s, const struct lane *lane)
{
  bool begun = false;
  if (lane_look(lane->kind) != LOOK_LEVEL) return;
  fputs("<path class=\"v\" d=\"", s->picture->to);
  for (uint32_t i = 0; i < lane->count; i++) {
    const struct span *span = &lane->spans[i];
    if (!overlaps(&s->span, span)) continue;
    unsigned y = level_y(s, lane, span);
    if (begun)
      fprintf(s->picture->to, "V%u", y);
    else
      fprintf(s->picture->to, "M%" PRId64 " %u",
              STRIP_LEFT + axis_x(&s->span, span->from), y);
    fprintf(s->picture->to, "H%" PRId64,
            STRIP_LEFT + axis_x(&s->span, span->to));
    begun = true;
  }
  fputs("\"/>\n", s->picture->to);
}

static void put_lane(struct strip *s, const struct lane *lane)
{
  char title[LANE_TEXT];
  if (!strip_has_lane(&s->span, lane)) return;
  put_title(s, s->y + 14, lane_title(s->picture->timeline, lane, title));
  put_levels(s, lane);
  for (uint32_t i = 0; i < lane->count; i++) {
    if (overlaps(&s->span, &lane->spans[i]))
      put_span(s, lane, &lane->spans[i]);
  }
  s->y += STRIP_LANE;
}

void strip_lanes(struct strip *s)
{
  const struct timeline *t = s->picture->timeline;
  for (unsigned kind = 0; kind < LANE_KIND_COUNT_; kind++) {
    for (uint32_t i = 0; i < t->lane_count; i++) {
      if (t->lanes[i].kind == kind) put_lane(s, &t->lanes[i]);
    }
  }
}

#include <inttypes.h>

#include "describe/names.h"
#include "report/html_run.h"
#include "report/timeline_svg.h"

/* Filled in and shown by the script (html_script.c). */
static void put_instant(struct html *h)
{
  html_put(h,
           "<div class=\"instant\" hidden>\n"
           "<label for=\"%sinstant\">What held at an instant (arrow keys go "
           "from change to change)</label>\n"
           "<input id=\"%sinstant\" type=\"range\" min=\"0\" max=\"0\" "
           "value=\"0\">\n<output for=\"%sinstant\"></output>\n<ul></ul>\n"
           "</div>\n",
           h->prefix, h->prefix, h->prefix);
}

/* --- the same as a table ------------------------------------------------- */

/* A change: a span of a lane begins. */
struct change {
  const struct lane *lane;
  const struct span *span;
};

/* The earliest span that begins after (at, lane), in the order of the
 * picture; false after the last. */
static bool next_change(const struct timeline *t, uint32_t next[],
                        struct change *c)
{
  uint32_t best = TIMELINE_MAX_LANES;
  for (uint32_t i = 0; i < t->lane_count; i++) {
    const struct lane *lane = &t->lanes[i];
    if (next[i] >= lane->count) continue;
    if (best < TIMELINE_MAX_LANES &&
        lane->spans[next[i]].from >= t->lanes[best].spans[next[best]].from)
      continue;
    best = i;
  }
  if (best == TIMELINE_MAX_LANES) return false;
  c->lane = &t->lanes[best];
  c->span = &c->lane->spans[next[best]++];
  return true;
}

static void put_change(struct html *h, const struct timeline *t,
                       const struct change *c)
{
  char text[LANE_TEXT], time[64];
  html_row(h, units_text(time, sizeof time, UNIT_TIME, c->span->from), false);
  html_cell(h, units_text(time, sizeof time, UNIT_TIME, c->span->to));
  html_cell(h, lane_title(t, c->lane, text));
  html_cell(h, lane_value(t, c->lane, c->span, text));
  html_row_end(h);
}

static void put_changes(struct html *h, const struct timeline *t)
{
  static const char *const columns[] = {"from", "until", "lane", "value",
                                        NULL};
  uint32_t next[TIMELINE_MAX_LANES] = {0};
  struct change c;
  html_put(h, "<details>\n<summary>The timeline as a table</summary>\n");
  html_table(h, "Every span of every lane, in the order of time", columns);
  while (next_change(t, next, &c)) {
    put_change(h, t, &c);
  }
  html_table_end(h);
  html_put(h, "</details>\n");
}

/* --- the rail as a table ------------------------------------------------- */

static void put_rail(struct html *h, const struct timeline *t)
{
  static const char *const columns[] = {"at", "rail", NULL};
  char text[64];
  if (t->point_count == 0) return;
  html_put(h, "<details>\n<summary>The rail voltage as a table</summary>\n");
  html_table(h, "Points at which the rail voltage is recorded", columns);
  for (uint32_t i = 0; i < t->point_count; i++) {
    html_row(h, units_text(text, sizeof text, UNIT_TIME, t->points[i].at),
             false);
    html_cell(h, units_text(text, sizeof text, UNIT_VOLTAGE,
                            (uv_t)t->points[i].mv * 1000));
    html_row_end(h);
  }
  html_table_end(h);
  html_put(h, "</details>\n");
}

/* --- steps --------------------------------------------------------------- */

static void put_steps(struct html *h, const struct html_run *run)
{
  static const char *const columns[] = {"step", "what",  "label",
                                        "from", "until", NULL};
  const struct timeline *t = run->timeline;
  char text[64];
  html_put(h, "<details>\n<summary>The steps of the script</summary>\n");
  html_table(h, "Steps, numbered from 0 as in the case file", columns);
  for (uint32_t i = 0; i < t->step_count; i++) {
    const struct timeline_step *s = &t->steps[i];
    if (s->number >= run->script->step_count) continue;
    const struct step *step = &run->script->steps[s->number];
    snprintf(text, sizeof text, "%" PRIu32, s->number);
    html_row(h, text, false);
    html_put(h, "<td>%s: %s</td>", verb_word(step->verb),
             verb_sentence(step->verb));
    html_cell(h, step->label);
    html_cell(h, units_text(text, sizeof text, UNIT_TIME, s->from));
    html_cell(h, units_text(text, sizeof text, UNIT_TIME, s->to));
    html_row_end(h);
  }
  html_table_end(h);
  html_put(h, "</details>\n");
}

void html_timeline(struct html *h, const struct html_run *run)
{
  html_section(h, "timeline", "Timeline");
  html_put(h, "<p class=\"soft\">");
  html_text(h, timeline_scale);
  html_put(h, " Numbers in circles are the starts below. A box is labelled "
              "where it has room; hatched boxes are the boot ROM, crossed "
              "ones what ought not to be.</p>\n");
  html_put(h, "<div class=\"strips\" role=\"region\" tabindex=\"0\" "
              "aria-label=\"Timeline, scrolls sideways\">\n");
  timeline_strips(h->to, run->result, run->timeline, h->prefix);
  html_put(h, "</div>\n");
  put_instant(h);
  put_steps(h, run);
  put_changes(h, run->timeline);
  put_rail(h, run->timeline);
  html_section_end(h);
}

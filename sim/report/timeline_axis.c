/* The axis under a strip: a tick an instant, times where there is room, and
 * how long the long pauses are. */
#include <inttypes.h>
#include <stdio.h>
#include <string.h>

#include "report/timeline_rows.h"

#define MAX_LABELS 64

/* Stretches of the axis that have a text under them. */
struct taken {
  int64_t from[MAX_LABELS], to[MAX_LABELS];
  unsigned count;
};

static bool take(struct taken *t, int64_t from, int64_t to)
{
  if (t->count == MAX_LABELS) return false;
  for (unsigned i = 0; i < t->count; i++) {
    if (from < t->to[i] && to > t->from[i]) return false;
  }
  t->from[t->count] = from;
  t->to[t->count++] = to;
  return true;
}

/* The first instant of the strip whose time reads the same, three decimals
 * being all that is written. */
static ps_t reads_like(const struct strip *s, ps_t at)
{
  char wanted[48], text[48];
  units_text(wanted, sizeof wanted, UNIT_TIME, at);
  for (uint32_t i = s->span.first; i <= s->span.last; i++) {
    ps_t other = s->span.axis->instants[i];
    if (other >= at) break;
    units_text(text, sizeof text, UNIT_TIME, other);
    if (strcmp(text, wanted) == 0) return other;
  }
  return at;
}

/* "10.032 s", and what reads like it: "+300 us". */
static void put_label(const struct strip *s, struct taken *taken, ps_t at)
{
  char text[48];
  ps_t base = reads_like(s, at);
  int64_t x = axis_x(&s->span, at);
  text[0] = '+';
  if (base == at)
    units_text(text, sizeof text, UNIT_TIME, at);
  else
    units_text(text + 1, sizeof text - 1, UNIT_TIME, at - base);
  int64_t half = strip_text_width(text) / 2 + 3;
  if (!take(taken, x - half, x + half)) return;
  fprintf(s->picture->to,
          "<text class=\"m\" x=\"%" PRId64 "\" y=\"%u\">%s</text>\n"
          "<path class=\"a\" d=\"M%" PRId64 " %uv8\"/>\n",
          STRIP_LEFT + x, s->y + 20, text, STRIP_LEFT + x, s->y + 2);
}

/* The two ends, and what others are told from; then starts and resets, then
 * whatever there is room for. */
static void put_labels(const struct strip *s)
{
  struct taken taken = {.count = 0};
  const struct result *r = s->picture->result;
  const struct timeline *t = s->picture->timeline;
  put_label(s, &taken, s->span.from);
  put_label(s, &taken, s->span.to);
  for (uint32_t i = s->span.first; i <= s->span.last; i++) {
    ps_t at = s->span.axis->instants[i], base = reads_like(s, at);
    if (base < at) put_label(s, &taken, base);
  }
  for (uint32_t i = 0; i < r->start_count; i++) {
    ps_t at = r->starts[i].at;
    if (at > s->span.from && at < s->span.to) put_label(s, &taken, at);
  }
  for (uint32_t i = 0; i < t->resets.count; i++) {
    ps_t at = t->resets.list[i].at;
    if (at > s->span.from && at < s->span.to) put_label(s, &taken, at);
  }
  for (uint32_t i = s->span.first + 1; i < s->span.last; i++) {
    put_label(s, &taken, s->span.axis->instants[i]);
  }
}

/* Between two instants, where it is long enough to be told. */
static void put_pause(const struct strip *s, uint32_t i)
{
  char text[48];
  const ps_t *instants = s->span.axis->instants;
  int64_t from = axis_x(&s->span, instants[i]);
  int64_t to = axis_x(&s->span, instants[i + 1]);
  units_text(text, sizeof text, UNIT_TIME, instants[i + 1] - instants[i]);
  if (to - from < 5 * AXIS_DECADE ||
      to - from < (int64_t)strip_text_width(text))
    return;
  int64_t x = STRIP_LEFT + (from + to) / 2;
  fprintf(s->picture->to,
          "<path class=\"a\" d=\"M%" PRId64 " %ul4 -10m2 0l-4 10\"/>\n"
          "<text class=\"m q\" x=\"%" PRId64 "\" y=\"%u\">%s</text>\n",
          x - 3, s->y + 11, x, s->y + 33, text);
}

void strip_axis(struct strip *s)
{
  fprintf(s->picture->to,
          "<path class=\"a\" d=\"M%u %uh%" PRId64 "\"/>\n"
          "<text class=\"t\" x=\"%u\" y=\"%u\">time</text>\n"
          "<text class=\"t q\" x=\"%u\" y=\"%u\">long pauses</text>\n"
          "<path class=\"a\" d=\"",
          STRIP_LEFT, s->y + 6, axis_width(&s->span), STRIP_LEFT - 44,
          s->y + 20, STRIP_LEFT - 44, s->y + 33);
  for (uint32_t i = s->span.first; i <= s->span.last; i++) {
    fprintf(s->picture->to, "M%" PRId64 " %uv5",
            STRIP_LEFT + axis_x(&s->span, s->span.axis->instants[i]),
            s->y + 3);
  }
  fputs("\"/>\n", s->picture->to);
  put_labels(s);
  for (uint32_t i = s->span.first; i < s->span.last; i++)
    put_pause(s, i);
  s->y += STRIP_AXIS;
}

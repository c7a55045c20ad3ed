#include "report/timeline_svg.h"

#include <inttypes.h>
#include <string.h>

#include "describe/names.h"
#include "report/escape.h"
#include "report/timeline_rows.h"

const char timeline_style[] =
    ".tl{font-family:system-ui,sans-serif;font-size:11px;fill:#1d2624}"
    ".tl .t{text-anchor:end;fill:#3c4744}"
    ".tl .b rect{stroke:#55615d;stroke-width:1}"
    ".tl .v{stroke:#55615d;stroke-width:1.5;fill:none}"
    ".tl .h{fill:#fff;fill-opacity:0}"
    ".tl .w{paint-order:stroke;stroke:#fff;stroke-width:3px;"
    "stroke-linejoin:round}"
    ".tl .m{text-anchor:middle}"
    ".tl .q{fill:#55615d}"
    ".tl .a{stroke:#55615d;stroke-width:1;fill:none}"
    ".tl .g{stroke:#1d2624;stroke-width:1;stroke-dasharray:2 3;opacity:.55}"
    ".tl .f{stroke:#8a9591;stroke-width:1;stroke-dasharray:6 4}"
    ".tl .n{fill:#1d2624}"
    ".tl .nn{fill:#fff;text-anchor:middle;font-weight:700}"
    ".tl .c{stroke:#0b5c6b;stroke-width:2;fill:none}"
    ".tl .d{fill:#0b5c6b}";

const char timeline_scale[] =
    "Time runs from left to right and is not to scale: the space between two "
    "instants grows by one step each time the pause between them grows "
    "tenfold. Long pauses carry a break mark and their length. Every instant "
    "at which something changes has a tick. A time such as +300 us counts "
    "from the one before it that is written without a plus. The rail is "
    "computed at its dots and drawn straight between them.";

static const struct {
  const char *ground, *strokes;
} shades[SHADE_COUNT_] = {
    [SHADE_PLAIN] = {"#fff", NULL},
    [SHADE_SOLID] = {"#cde5df", NULL},
    [SHADE_DOTS] = {"#fff", "<circle cx=\"2\" cy=\"2\" r=\"1\" "
                            "fill=\"#6b7a76\"/>"},
    [SHADE_HATCH] = {"#fbf0dd", "<path d=\"M-2 2L2 -2M0 8L8 0M6 10L10 6\" "
                                "stroke=\"#a8672a\"/>"},
    [SHADE_CROSS] = {"#fdeeeb", "<path d=\"M0 0L8 8M8 0L0 8\" "
                                "stroke=\"#9a2a1a\"/>"},
};

static void put_patterns(const struct picture *p)
{
  fputs("<defs>\n", p->to);
  for (unsigned i = 0; i < SHADE_COUNT_; i++) {
    unsigned size = i == SHADE_DOTS ? 5 : 8;
    fprintf(p->to,
            "<pattern id=\"%ss%u\" width=\"%u\" height=\"%u\" "
            "patternUnits=\"userSpaceOnUse\"><rect width=\"%u\" "
            "height=\"%u\" fill=\"%s\"/>%s</pattern>\n",
            p->prefix, i, size, size, size, size, shades[i].ground,
            shades[i].strokes ? shades[i].strokes : "");
  }
  fputs("</defs>\n", p->to);
}

/* --- for who does not see it --------------------------------------------- */

static void put_time(FILE *to, ps_t at)
{
  char text[48];
  fputs(units_text(text, sizeof text, UNIT_TIME, at), to);
}

static void describe(const struct picture *p, const struct axis_strip *s)
{
  fputs("Lanes from ", p->to);
  put_time(p->to, s->from);
  fputs(" to ", p->to);
  put_time(p->to, s->to);
  fputs(".", p->to);
  for (uint32_t i = 0; i < p->result->start_count; i++) {
    const struct start *start = &p->result->starts[i];
    if (start->at < s->from || start->at > s->to) continue;
    fprintf(p->to, " Start %" PRIu32 " at ", start->number);
    put_time(p->to, start->at);
    fputs(" in ", p->to);
    escape_text(p->to, start->region);
    if (start->stale) fputs(", the latch being stale", p->to);
    fputs(".", p->to);
  }
}

/* --- a strip ------------------------------------------------------------- */

static void put_guides(const struct strip *s, unsigned from, unsigned to)
{
  for (uint32_t i = 0; i < s->picture->result->start_count; i++) {
    ps_t at = s->picture->result->starts[i].at;
    if (at < s->span.from || at > s->span.to) continue;
    int64_t x = STRIP_LEFT + axis_x(&s->span, at);
    fprintf(s->picture->to, "<path class=\"g\" d=\"M%" PRId64 " %uV%u\"/>\n",
            x, from, to);
  }
}

/* Its rows from y on; returns where it ends. */
static unsigned put_strip(struct strip *s, unsigned y)
{
  unsigned top = y;
  s->y = y;
  strip_steps(s);
  strip_resets(s);
  strip_starts(s);
  unsigned marks = s->y;
  strip_rail(s);
  strip_lanes(s);
  put_guides(s, marks, s->y);
  strip_axis(s);
  return s->y > top ? s->y : top;
}

/* How high that becomes. */
static unsigned strip_height(const struct picture *p,
                             const struct axis_strip *span)
{
  unsigned lanes = 0;
  for (uint32_t i = 0; i < p->timeline->lane_count; i++) {
    if (strip_has_lane(span, &p->timeline->lanes[i])) lanes++;
  }
  return STRIP_ABOVE + (p->timeline->point_count > 0 ? STRIP_RAIL : 0) +
         lanes * STRIP_LANE + STRIP_AXIS;
}

/* --- the whole ----------------------------------------------------------- */

static void put_alternative(const struct picture *p,
                            const struct axis_strip *span, uint32_t i,
                            uint32_t count)
{
  fprintf(p->to,
          "<title id=\"%st%" PRIu32 "\">Timeline, strip %" PRIu32
          " of %" PRIu32 "</title>\n<desc id=\"%sd%" PRIu32 "\">",
          p->prefix, i, i + 1, count, p->prefix, i);
  describe(p, span);
  fputs("</desc>\n", p->to);
}

void timeline_strips(FILE *to, const struct result *result,
                     const struct timeline *t, const char *prefix)
{
  struct picture p = {to, result, t, prefix};
  struct axis axis;
  axis_make(&axis, t);
  for (uint32_t i = 0; i < axis.strip_count; i++) {
    struct strip s = {.picture = &p, .span = axis_strip(&axis, i)};
    fprintf(to,
            "<svg class=\"tl\" role=\"img\" aria-labelledby=\"%st%" PRIu32
            " %sd%" PRIu32 "\" viewBox=\"0 0 %u %u\" width=\"%u\" "
            "height=\"%u\">\n",
            prefix, i, prefix, i, STRIP_WIDTH, strip_height(&p, &s.span),
            STRIP_WIDTH, strip_height(&p, &s.span));
    put_alternative(&p, &s.span, i, axis.strip_count);
    if (i == 0) put_patterns(&p);
    put_strip(&s, 0);
    fputs("</svg>\n", to);
  }
  axis_free(&axis);
}

#define HEAD_HEIGHT 46u
#define STRIP_GAP   18u

static void put_head(const struct picture *p)
{
  fprintf(p->to, "<text x=\"12\" y=\"20\" font-size=\"15\" "
                 "font-weight=\"700\">");
  escape_text(p->to, p->result->title);
  fputs("</text>\n<text x=\"12\" y=\"38\" class=\"q\">part ", p->to);
  escape_text(p->to, p->result->part);
  fputs("; time is not to scale: each tenfold pause is one step wider"
        "</text>\n",
        p->to);
}

void timeline_svg(FILE *to, const struct result *result,
                  const struct timeline *t)
{
  struct picture p = {to, result, t, "ff"};
  struct axis axis;
  axis_make(&axis, t);
  unsigned height = HEAD_HEIGHT;
  for (uint32_t i = 0; i < axis.strip_count; i++) {
    const struct axis_strip span = axis_strip(&axis, i);
    height += strip_height(&p, &span) + STRIP_GAP;
  }
  fprintf(to,
          "<svg xmlns=\"http://www.w3.org/2000/svg\" class=\"tl\" "
          "role=\"img\" viewBox=\"0 0 %u %u\" width=\"%u\" height=\"%u\">\n"
          "<title>",
          STRIP_WIDTH, height, STRIP_WIDTH, height);
  escape_text(to, result->title);
  fprintf(to,
          "</title>\n<style>%s</style>\n"
          "<rect width=\"100%%\" height=\"100%%\" fill=\"#fff\"/>\n",
          timeline_style);
  put_patterns(&p);
  put_head(&p);
  unsigned y = HEAD_HEIGHT;
  for (uint32_t i = 0; i < axis.strip_count; i++) {
    struct strip s = {.picture = &p, .span = axis_strip(&axis, i)};
    y = put_strip(&s, y) + STRIP_GAP;
  }
  fputs("</svg>\n", to);
  axis_free(&axis);
}

/* Outcome over time: a row for each class that came up, a mark wherever it
 * did. Widths are whole pixels, so the same records give the same bytes. */
#include <inttypes.h>
#include <string.h>

#include "report/escape.h"
#include "report/sweep_report.h"
#include "run/sweep_summary.h"

#define LEFT   190u
#define WIDTH  760u
#define ROW    30u
#define BAR    20u
#define TOP    56u
#define MARGIN 20u

/* What fills a row: told apart without colour. */
static const char *const patterns[CLASS_COUNT_] = {
    [CLASS_APPLICATION] = "M0 0H8V8H0Z",
    [CLASS_NEW] = "M0 0H8V8H0Z",
    [CLASS_OLD] = "M0 0H8V4H0Z",
    [CLASS_ROM] = "M0 8L8 0M-2 2L2 -2M6 10L10 6",
    [CLASS_LOCKUP] = "M0 0L8 8M8 0L0 8",
    [CLASS_TORN] = "M0 0H4V4H0ZM4 4H8V8H4Z",
    [CLASS_NONE] = "M3 3H5V5H3Z",
    [CLASS_HELD] = "M0 0H8V8H0Z",
    [CLASS_FAILED] = "M0 0L8 8M8 0L0 8",
    [CLASS_UNJUDGED] = "M3 3H5V5H3Z",
    [CLASS_CRASHED] = "M0 0V8M4 0V8",
};

struct picture {
  FILE *to;
  const struct sweep_head *head;
  const struct sweep_records *records;
  bool by_time; /* else by point */
};

static unsigned pixel(wide_t at, wide_t all)
{
  if (all <= 0) return 0;
  wide_t x = at * (WIDTH - 1) / all;
  return x < 0 ? 0 : x >= WIDTH ? WIDTH - 1 : (unsigned)x;
}

static void mark(const struct picture *p, unsigned class, bool *marks)
{
  memset(marks, 0, WIDTH * sizeof(*marks));
  for (size_t i = 0; i < p->records->count; i++) {
    const struct sweep_record *r = &p->records->list[i];
    if (r->answer.class != class) continue;
    wide_t all = p->by_time ? p->head->end : (wide_t)p->head->point_count - 1;
    unsigned from = p->by_time ? pixel(r->at_first, all)
                               : pixel((wide_t)r->first - 1, all);
    unsigned to =
        p->by_time ? pixel(r->at_last, all) : pixel((wide_t)r->last - 1, all);
    for (unsigned x = from; x <= to; x++)
      marks[x] = true;
  }
}

static void put_row(const struct picture *p, unsigned class, uint64_t points,
                    unsigned y)
{
  bool marks[WIDTH];
  mark(p, class, marks);
  fprintf(p->to,
          "<text x=\"%u\" y=\"%u\">%s</text>\n"
          "<text x=\"%u\" y=\"%u\" class=\"n\">%" PRIu64 "</text>\n"
          "<path d=\"M%u %uH%u\" class=\"l\"/>\n",
          MARGIN, y + 15, answer_class_words[class], LEFT - 10, y + 15, points,
          LEFT, y + BAR, LEFT + WIDTH);
  for (unsigned x = 0; x < WIDTH; x++) {
    unsigned from = x;
    if (!marks[x]) continue;
    while (x < WIDTH && marks[x])
      x++;
    fprintf(p->to,
            "<rect x=\"%u\" y=\"%u\" width=\"%u\" height=\"%u\" "
            "fill=\"url(#c%u)\" class=\"r\"/>\n",
            LEFT + from, y, x - from, BAR, class);
  }
}

static void put_patterns(FILE *to)
{
  fputs("<defs>\n", to);
  for (unsigned i = 0; i < CLASS_COUNT_; i++)
    fprintf(to,
            "<pattern id=\"c%u\" width=\"8\" height=\"8\" "
            "patternUnits=\"userSpaceOnUse\"><path d=\"%s\" "
            "fill=\"#444\" stroke=\"#444\" stroke-width=\"1\"/></pattern>\n",
            i, patterns[i]);
  fputs("</defs>\n", to);
}

static void put_axis(const struct picture *p, unsigned y)
{
  char end[40];
  if (p->by_time)
    units_text(end, sizeof(end), UNIT_TIME, p->head->end);
  else
    snprintf(end, sizeof(end), "point %" PRIu64, p->head->point_count);
  fprintf(p->to,
          "<text x=\"%u\" y=\"%u\">%s</text>\n"
          "<text x=\"%u\" y=\"%u\" class=\"n\">%s</text>\n",
          LEFT, y + 16, p->by_time ? "0" : "point 1", LEFT + WIDTH, y + 16,
          end);
}

void sweep_svg(FILE *to, const struct sweep_head *head,
               const struct sweep_records *records)
{
  struct sweep_summary s;
  struct picture p = {to, head, records, head->fault[0] != '\0'};
  unsigned rows = 0;
  sweep_summarize(records, &s);
  for (unsigned i = 0; i < CLASS_COUNT_; i++)
    if (s.first[i] != NULL) rows++;
  unsigned width = LEFT + WIDTH + MARGIN;
  unsigned height = TOP + rows * ROW + 2 * MARGIN;
  fprintf(to,
          "<svg xmlns=\"http://www.w3.org/2000/svg\" class=\"sweep\" "
          "role=\"img\" viewBox=\"0 0 %u %u\" width=\"%u\" height=\"%u\" "
          "font-family=\"sans-serif\" font-size=\"13\">\n"
          "<title>Outcome over time</title>\n"
          "<style>.sweep .n{text-anchor:end}.sweep .l{stroke:#999}"
          ".sweep .r{stroke:#000;stroke-width:.5}</style>\n"
          "<rect width=\"100%%\" height=\"100%%\" fill=\"#fff\"/>\n",
          width, height, width, height);
  put_patterns(to);
  fprintf(to, "<text x=\"%u\" y=\"22\" font-size=\"15\">", MARGIN);
  escape_text(to, head->title);
  fprintf(to, "</text>\n<text x=\"%u\" y=\"42\">", MARGIN);
  escape_text(to, head->part);
  fputs(", ", to);
  escape_text(to, head->how);
  fputs("</text>\n", to);
  unsigned y = TOP;
  for (unsigned i = 0; i < CLASS_COUNT_; i++) {
    if (s.first[i] == NULL) continue;
    put_row(&p, i, s.points[i], y);
    y += ROW;
  }
  put_axis(&p, y);
  fputs("</svg>\n", to);
}

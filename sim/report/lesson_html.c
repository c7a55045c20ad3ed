/* A lesson as a page: each answer is behind a summary, which opens by mouse
 * and by keyboard, without a script. */
#include <inttypes.h>

#include "report/html_parts.h"
#include "report/lesson.h"

static void put_rules(struct html *h, const struct lesson *l)
{
  struct page page;
  html_section(h, "rules", "Rules");
  page_open_markup(&page, h->to, PAGE_PARAGRAPHS);
  lesson_rules(&page, l);
  html_section_end(h);
}

static void put_answer(struct html *h, const struct lesson *l,
                       const struct start *s)
{
  struct page page;
  html_put(h,
           "<details data-start=\"%" PRIu32 "\">\n<summary>%s start %" PRIu32
           "</summary>\n",
           s->number,
           lesson_asks(s) ? "Decide first, then open: " : "What happens: ",
           s->number);
  page_open_markup(&page, h->to, PAGE_PARAGRAPHS);
  lesson_answer(&page, l, s);
  html_put(h, "<dl>\n");
  page_open_markup(&page, h->to, PAGE_ROWS);
  lesson_reasons(&page, l, s);
  html_put(h, "</dl>\n</details>\n");
}

static void put_question(struct html *h, const struct lesson *l,
                         const struct start *s)
{
  if (!lesson_asks(s)) return;
  html_put(h, "<p><strong>Where will start %" PRIu32 " begin (", s->number);
  const char *region;
  for (uint32_t i = 0; (region = lesson_region(l, i)) != NULL; i++) {
    if (i > 0) html_put(h, ", ");
    html_text(h, region);
  }
  html_put(h, "), and by which rule?</strong></p>\n");
}

static void put_start(struct html *h, const struct lesson *l,
                      const struct start *s, uint32_t from)
{
  char id[32], heading[32];
  snprintf(id, sizeof id, "start-%" PRIu32, s->number);
  snprintf(heading, sizeof heading, "Start %" PRIu32, s->number);
  html_section(h, id, heading);
  html_steps(h, l->script, from, s->step + 1);
  put_question(h, l, s);
  put_answer(h, l, s);
  html_section_end(h);
}

void lesson_html(struct html *h, const struct lesson *l)
{
  struct page page;
  uint32_t told = 0;
  html_begin(h, l->script->title);
  page_open_markup(&page, h->to, PAGE_PARAGRAPHS);
  lesson_head(&page, l);
  put_rules(h, l);
  for (uint32_t i = 0; i < l->result->start_count; i++) {
    const struct start *s = &l->result->starts[i];
    put_start(h, l, s, told);
    if (s->step + 1 > told) told = s->step + 1;
  }
  html_section(h, "after", "And then");
  html_steps(h, l->script, told, l->script->step_count);
  page_open_markup(&page, h->to, PAGE_PARAGRAPHS);
  page_line(&page, 0, "That was the last start.");
  html_section_end(h);
  html_cautions(h, l->result->contention);
  html_end(h);
}

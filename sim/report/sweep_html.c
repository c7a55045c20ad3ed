#include "report/sweep_html.h"

#include <inttypes.h>

#include "report/html.h"
#include "report/page.h"
#include "report/sweep_report.h"
#include "report/text_after.h"
#include "run/sweep_summary.h"

static void put_head(struct html *h, const struct sweep_head *head,
                     const struct sweep_summary *s)
{
  unsigned classes = 0;
  for (unsigned i = 0; i < CLASS_COUNT_; i++) {
    if (s->first[i] != NULL) classes++;
  }
  html_put(h, "<p class=\"soft\">Part <strong>");
  html_text(h, head->part);
  html_put(h, "</strong>, case file <code>");
  html_text(h, head->case_file);
  html_put(h, "</code>.</p>\n<p class=\"verdict\"><strong>");
  html_text(h, head->how);
  html_put(h, ".</strong> %" PRIu64 " point%s, %u kind%s of answer",
           head->point_count, head->point_count == 1 ? "" : "s", classes,
           classes == 1 ? "" : "s");
  if (head->shards > 1)
    html_put(h, "; shard %" PRIu32 " of %" PRIu32 " only", head->shard,
             head->shards);
  html_put(h, ".</p>\n");
}

static void put_example(struct html *h, const struct sweep_head *head,
                        const struct sweep_record *r)
{
  struct page page;
  html_put(h, "<td><code>");
  html_text(h, head->fault);
  html_put(h, "%s", head->fault[0] ? ":" : "");
  html_text(h, head->kind);
  html_put(h, ":%" PRIu64 "</code></td><td>", r->first);
  html_time(h, r->at_first);
  if (r->what[0] != '\0') {
    html_put(h, ", ");
    html_text(h, r->what);
  }
  html_put(h, "</td><td>");
  page_open_markup(&page, h->to, PAGE_INLINE);
  page_item(&page, 0, 0, "");
  if (r->answer.started) {
    page_say(&page, "after ");
    page_say(&page, r->answer.cause);
    page_say(&page, " ");
  }
  text_answer(&page, &r->answer);
  page_end(&page);
  html_put(h, "</td>");
}

static void put_classes(struct html *h, const struct sweep_head *head,
                        const struct sweep_summary *s)
{
  static const char *const columns[] = {
      "class",           "points",      "meaning", "id of the first",
      "the first is at", "and answers", NULL};
  html_section(h, "classes", "Answers by class");
  html_table(h, "Classes that came up, with the first example of each",
             columns);
  for (unsigned i = 0; i < CLASS_COUNT_; i++) {
    if (s->first[i] == NULL) continue;
    html_row(h, answer_class_words[i], false);
    html_put(h, "<td>%" PRIu64 "</td><td>the part %s</td>", s->points[i],
             answer_class_sentences[i]);
    put_example(h, head, s->first[i]);
    html_row_end(h);
  }
  html_table_end(h);
  html_put(h, "<p><code>firstfetch sweep ... --point ID</code> asks one of "
              "them alone.</p>\n");
  if (s->with_cells > 0)
    html_put(h,
             "<p>After a full power loss only the non-volatile cells are "
             "left: %" PRIu64 " different one%s in %" PRIu64 " point%s.</p>\n",
             s->cells, s->cells == 1 ? "" : "s", s->with_cells,
             s->with_cells == 1 ? "" : "s");
  html_section_end(h);
}

void sweep_html(FILE *to, const struct sweep_head *head,
                const struct sweep_records *records)
{
  struct html h = {.to = to};
  struct sweep_summary s;
  sweep_summarize(records, &s);
  html_begin(&h, head->title);
  put_head(&h, head, &s);
  put_classes(&h, head, &s);
  html_section(&h, "picture", "Outcome over time");
  html_put(&h, "<figure role=\"region\" tabindex=\"0\" "
               "aria-label=\"Picture, scrolls sideways\">\n");
  sweep_svg(to, head, records);
  html_put(&h, "<figcaption class=\"soft\">A row a class, a mark wherever it "
               "came up; the number is that of its points.</figcaption>\n"
               "</figure>\n");
  html_section_end(&h);
  html_cautions(&h, false);
  html_end(&h);
}

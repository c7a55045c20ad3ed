#include <inttypes.h>

#include "describe/names.h"
#include "report/page.h"
#include "report/sweep_report.h"
#include "report/text_after.h"
#include "report/text_parts.h"
#include "run/sweep_summary.h"

static void put_point_count(struct page *page, uint64_t count)
{
  page_format(page, "%" PRIu64 " point%s", count, count == 1 ? "" : "s");
}

/* "cut:cycle:17" */
static void put_id(struct page *page, const struct sweep_head *head,
                   uint64_t point)
{
  page_say(page, head->fault);
  page_format(page, "%s%s:%" PRIu64, head->fault[0] ? ":" : "", head->kind,
              point);
}

static void put_head(struct page *page, const struct sweep_head *head)
{
  page_item(page, 0, 2, "");
  page_say(page, head->title);
  page_end(page);
  page_item(page, 0, 2, "");
  page_say(page, "part ");
  page_say(page, head->part);
  page_say(page, ", ");
  page_say(page, head->how);
  page_say(page, ": ");
  put_point_count(page, head->point_count);
  if (head->shards > 1)
    page_format(page, "; shard %" PRIu32 " of %" PRIu32, head->shard,
                head->shards);
  page_end(page);
  page_gap(page);
}

static void put_answer(struct page *page, const struct answer *a)
{
  if (a->started) {
    page_say(page, "after ");
    page_say(page, a->cause);
    page_say(page, " ");
  }
  text_answer(page, a);
}

/* What made this answer the worst, where another kind would not: the first
 * that enum torn has of its class. */
static void put_left(struct page *page, const struct answer *a)
{
  bool better = false;
  for (unsigned i = 0; i < TORN_COUNT_; i++)
    if (a->left[i] != 0 && a->left[i] != a->class + 1) better = true;
  for (unsigned i = 0; better && i < TORN_COUNT_; i++) {
    if (a->left[i] != a->class + 1) continue;
    page_say(page, ", if the order that is cut leaves ");
    page_say(page, torn_words[i]);
    return;
  }
}

static void put_place(struct page *page, const struct sweep_record *r)
{
  page_say(page, " at ");
  text_time(page, r->at_first);
  if (r->what[0] == '\0') return;
  page_say(page, ", ");
  page_say(page, r->what);
}

static void put_class(struct page *page, const struct sweep_head *head,
                      const struct sweep_summary *s, unsigned class)
{
  const struct sweep_record *first = s->first[class];
  page_item(page, 2, 16, answer_class_words[class]);
  put_point_count(page, s->points[class]);
  page_say(page, ": the part ");
  page_say(page, answer_class_sentences[class]);
  page_say(page, "; first ");
  put_id(page, head, first->first);
  put_place(page, first);
  put_left(page, &first->answer);
  page_say(page, ": ");
  put_answer(page, &first->answer);
  page_end(page);
}

static bool only_old(const struct sweep_summary *s)
{
  for (unsigned i = 0; i < TORN_COUNT_; i++)
    if (i != TORN_OLD && s->cut[i] > 0) return false;
  return true;
}

static void put_cut(struct page *page, const struct sweep_summary *s)
{
  if (s->cut_points == 0) return;
  page_item(page, 0, 0, "");
  page_say(page, "In ");
  put_point_count(page, s->cut_points);
  page_say(page,
           " a flash order is cut short, and counts by the worst of what "
           "the part says it may leave:");
  page_end(page);
  for (unsigned i = 0; i < TORN_COUNT_; i++) {
    if (s->cut[i] == 0) continue;
    page_item(page, 2, 16, torn_words[i]);
    put_point_count(page, s->cut[i]);
    page_say(page, ", at worst ");
    page_say(page, answer_class_words[s->worst[i]]);
    page_end(page);
  }
  if (only_old(s))
    page_line(page, 2,
              "The part file names nothing else: assumed. A real "
              "part may leave worse.");
  page_gap(page);
}

static void put_shared(struct page *page, const struct sweep_summary *s)
{
  if (s->with_cells == 0) return;
  page_item(page, 0, 0, "");
  page_format(page,
              "After a full power loss only the non-volatile cells are left: "
              "%" PRIu64 " different one%s in ",
              s->cells, s->cells == 1 ? "" : "s");
  put_point_count(page, s->with_cells);
  page_format(page, "; %" PRIu64 " answered as an equal one.",
              s->with_cells - s->cells);
  page_end(page);
}

void sweep_text(FILE *to, const struct sweep_head *head,
                const struct sweep_records *records)
{
  struct sweep_summary s;
  struct page page;
  sweep_summarize(records, &s);
  page_open(&page, to);
  put_head(&page, head);
  for (unsigned i = 0; i < CLASS_COUNT_; i++)
    if (s.first[i] != NULL) put_class(&page, head, &s, i);
  page_gap(&page);
  put_cut(&page, &s);
  put_shared(&page, &s);
  page_line(&page, 0, "--point ID asks one of them alone.");
  text_caution(&page, false);
}

void sweep_text_point(FILE *to, const struct sweep *s,
                      const struct sweep_record *r)
{
  char id[64];
  struct page page;
  page_open(&page, to);
  sweep_id(s, r->first, id, sizeof(id));
  page_item(&page, 0, 2, "");
  page_say(&page, id);
  put_place(&page, r);
  page_say(&page, ": ");
  page_say(&page, answer_class_words[r->answer.class]);
  page_end(&page);
  page_item(&page, 2, 2, "");
  page_say(&page, "the part ");
  page_say(&page, answer_class_sentences[r->answer.class]);
  page_say(&page, ": ");
  put_answer(&page, &r->answer);
  if (r->answer.image[0] != '\0') {
    page_say(&page, "; flash holds ");
    page_say(&page, r->answer.image);
    page_say(&page, " whole");
  }
  page_end(&page);
  for (unsigned i = 0; i < TORN_COUNT_; i++) {
    if (r->answer.left[i] == 0) continue;
    page_item(&page, 2, 4, "");
    page_say(&page, "if the order that is cut leaves ");
    page_say(&page, torn_words[i]);
    page_say(&page, ": ");
    page_say(&page, answer_class_words[r->answer.left[i] - 1]);
    page_end(&page);
  }
}

/* --- an edge ------------------------------------------------------------- */

static void put_side(struct page *page, const struct sweep_head *head,
                     const char *lead, const struct sweep_record *r)
{
  page_item(page, 2, 9, lead);
  page_say(page, r->what);
  page_say(page, ": ");
  page_say(page, answer_class_words[r->answer.class]);
  page_say(page, ", ");
  put_answer(page, &r->answer);
  page_say(page, " (");
  put_id(page, head, r->first);
  page_say(page, ")");
  page_end(page);
}

void sweep_text_edge(FILE *to, const struct sweep_head *head,
                     const struct sweep_record *below,
                     const struct sweep_record *above, bool found)
{
  struct page page;
  page_open(&page, to);
  put_head(&page, head);
  page_line(&page, 0,
            found ? "The answer changes between two neighbours:"
                  : "The first and the last point have one answer: no edge "
                    "was looked for between them.");
  put_side(&page, head, found ? "up to" : "first", below);
  put_side(&page, head, found ? "from" : "last", above);
  page_gap(&page);
  text_caution(&page, false);
}

/* --- corners ------------------------------------------------------------- */

static void put_margin(struct page *page, ps_t margin)
{
  if (margin == PS_NEVER)
    page_say(page, "none, it does not hold");
  else
    text_time(page, margin);
}

static void put_corner_name(struct page *page, const struct corner *c)
{
  char text[128];
  vary_text(text, sizeof(text), c->number->path, c->number->unit, c->value);
  page_say(page, text);
  page_say(page, " (");
  page_say(page, c->which);
  page_say(page, ")");
}

static void put_step_margin(struct page *page,
                            const struct case_script *script,
                            const struct corners *c,
                            const struct corner_margin *m)
{
  const char *label = script->steps[m->step].label;
  page_item(page, 2, 4, "");
  text_step(page, m->step);
  if (label != NULL) {
    page_say(page, " ");
    page_say(page, label);
  }
  page_say(page, ": margin ");
  put_margin(page, m->typical);
  if (m->corner == PART_NONE) {
    page_say(page, ", and no corner has less");
  } else {
    page_say(page, "; least ");
    put_margin(page, m->least);
    page_say(page, " with ");
    put_corner_name(page, &c->corners[m->corner]);
  }
  page_end(page);
}

void corners_text(FILE *to, const struct case_script *script,
                  const struct part *part, const struct corners *c)
{
  struct page page;
  uint32_t matter = 0;
  page_open(&page, to);
  page_line(&page, 0, script->title);
  page_item(&page, 0, 2, "");
  page_say(&page, "part ");
  page_say(&page, part->name);
  page_format(&page, ", each of its tolerances in turn: %" PRIu32 " corner%s",
              c->corner_count, c->corner_count == 1 ? "" : "s");
  page_end(&page);
  page_gap(&page);
  for (uint32_t i = 0; i < c->margin_count; i++)
    put_step_margin(&page, script, c, &c->margins[i]);
  page_gap(&page);
  page_line(&page, 0, "Corners that matter here:");
  for (uint32_t i = 0; i < c->corner_count; i++) {
    const struct corner *corner = &c->corners[i];
    if (!corner->matters) continue;
    matter++;
    page_item(&page, 2, 4, "");
    put_corner_name(&page, corner);
    if (corner->judged) page_say(&page, corner->held ? ": held" : ": failed");
    page_end(&page);
  }
  if (matter == 0) page_line(&page, 2, "none");
  page_gap(&page);
  text_caution(&page, false);
}

#include <inttypes.h>
#include <string.h>

#include "report/page.h"
#include "report/route_report.h"
#include "report/route_words.h"
#include "report/text_parts.h"

static void put_moves(struct page *page, const struct route_move *moves,
                      uint32_t count)
{
  if (count == 0) page_say(page, route_nothing_to_do);
  for (uint32_t i = 0; i < count; i++) {
    if (i > 0) page_say(page, "; ");
    page_say(page, moves[i].name);
  }
}

static void put_list(struct page *page, const char *lead,
                     const char *const *words, uint32_t count)
{
  page_item(page, 2, 15, lead);
  for (uint32_t i = 0; i < count; i++) {
    if (i > 0) page_say(page, ", ");
    page_say(page, words[i]);
  }
  if (count == 0) page_say(page, "nothing");
  page_end(page);
}

static void put_head(struct page *page, const struct route_result *r)
{
  page_line(page, 0, r->script->title);
  page_item(page, 2, 15, "part");
  page_say(page, r->part->name);
  page_end(page);
  page_item(page, 2, 15, "goal");
  page_say(page, r->goal);
  page_end(page);
  put_list(page, "never", r->nevers, r->never_count);
  put_list(page, "at hand", r->at_hand, r->at_hand_count);
  put_list(page, "arrives as", r->states, r->state_count);
  put_list(page, "must outlive", r->field, r->field_count);
  page_gap(page);
}

static void put_notes(struct page *page, const struct route_result *r)
{
  for (uint32_t i = 0; i < r->note_count; i++) {
    page_item(page, 0, 2, "");
    page_say(page, "Before anybody does anything, ");
    page_say(page, r->notes[i].state);
    page_say(page, ": ");
    page_say(page, r->notes[i].text);
    page_say(page, ".");
    page_end(page);
  }
  if (r->note_count > 0) page_gap(page);
}

static void put_times(struct page *page, const struct route_procedure *p)
{
  page_item(page, 2, 13, "time");
  for (uint32_t i = 0; i < p->time_count; i++) {
    if (i > 0) page_say(page, ", ");
    text_time(page, p->times[i].simulated);
    page_say(page, " from ");
    page_say(page, p->times[i].state);
  }
  page_say(page, "; a person's ");
  text_time(page, p->person);
  page_say(page, " on top (assumed)");
  page_end(page);
}

static bool begins_alike(const struct route_shipped *x,
                         const struct route_shipped *y)
{
  return strcmp(x->answer.region, y->answer.region) == 0 &&
         strcmp(x->answer.rule, y->answer.rule) == 0 &&
         strcmp(x->answer.landing, y->answer.landing) == 0;
}

/* The resets after which it begins as after the first, each once. */
static void put_resets(struct page *page, const struct route_procedure *p,
                       uint32_t first)
{
  const char *before = " after ";
  for (uint32_t i = first; i < p->shipped_count; i++) {
    bool told = false;
    for (uint32_t k = first; k < i; k++)
      told |= begins_alike(&p->shipped[k], &p->shipped[first]) &&
              strcmp(p->shipped[k].after, p->shipped[i].after) == 0;
    if (told || !begins_alike(&p->shipped[i], &p->shipped[first])) continue;
    page_say(page, before);
    page_say(page, p->shipped[i].after);
    before = ", ";
  }
}

static void put_shipped(struct page *page, const struct route_procedure *p)
{
  bool any = false;
  for (uint32_t i = 0; i < p->shipped_count; i++) {
    const struct answer *a = &p->shipped[i].answer;
    bool told = false;
    for (uint32_t k = 0; k < i; k++)
      told |= begins_alike(&p->shipped[k], &p->shipped[i]);
    if (told) continue;
    page_item(page, any ? 13 : 2, 13, any ? "" : "shipped");
    page_say(page, a->started ? "starts in " : "does not start");
    page_say(page, a->region);
    if (a->landing[0] != '\0') {
      page_say(page, ", lands in ");
      page_say(page, a->landing);
    }
    page_say(page, a->rule[0] != '\0' ? " by rule " : "");
    page_say(page, a->rule);
    put_resets(page, p, i);
    page_end(page);
    any = true;
  }
}

static void put_procedure(struct page *page, const struct route_procedure *p,
                          const char *lead)
{
  page_item(page, 0, 2, "");
  page_say(page, lead);
  page_say(page, ":");
  page_end(page);
  for (uint32_t i = 0; i < p->move_count; i++) {
    char number[16];
    snprintf(number, sizeof(number), "%" PRIu32, i + 1);
    page_item(page, 3, 6, number);
    page_say(page, p->moves[i].name);
    page_end(page);
  }
  if (p->move_count == 0) page_line(page, 2, route_nothing_to_do);
  put_times(page, p);
  put_shipped(page, p);
}

static void put_effort(struct page *page, const struct route_result *r,
                       const struct route_effort *e)
{
  page_item(page, 0, 0, "");
  route_effort(page, e, r->depth_asked);
  page_end(page);
}

static void put_alone(struct page *page, const struct route_result *r)
{
  if (r->alone_count == 0) return;
  page_gap(page);
  page_line(page, 0, "From each of these states alone:");
  for (uint32_t i = 0; i < r->alone_count; i++) {
    const struct route_alone *a = &r->alone[i];
    page_item(page, 2, 4, "");
    page_say(page, a->state);
    page_say(page, ": ");
    if (a->found)
      put_moves(page, a->procedure.moves, a->procedure.move_count);
    else
      page_say(page, route_alone_found(a));
    page_end(page);
  }
}

static void put_dead_ends(struct page *page, const struct route_result *r)
{
  if (r->dead_end_count == 0) return;
  page_gap(page);
  page_line(page, 0, "How attempts ended, the shortest of each:");
  for (uint32_t i = 0; i < r->dead_end_count; i++) {
    const struct route_dead_end *d = &r->dead_ends[i];
    page_item(page, 2, 4, "");
    put_moves(page, d->moves, d->move_count);
    page_say(page, " (");
    page_say(page, d->state);
    page_say(page, "): ");
    page_say(page, d->why);
    page_format(page, "; %" PRIu64 " attempt%s", d->attempts,
                d->attempts == 1 ? "" : "s");
    page_end(page);
  }
}

/* What helps first, and in one item what does not. */
static void put_lifts(struct page *page, const struct route_result *r)
{
  const char *before = "still none with one of these lifted: ";
  bool any = false;
  if (r->lift_count == 0) return;
  page_gap(page);
  page_line(page, 0, "What stands in the way, each constraint lifted:");
  for (uint32_t i = 0; i < r->lift_count; i++) {
    const struct route_lift *l = &r->lifts[i];
    if (!l->found) continue;
    page_item(page, 2, 4, "");
    page_say(page, l->what);
    page_say(page, ", lifted: ");
    put_moves(page, l->moves, l->move_count);
    page_end(page);
  }
  for (uint32_t i = 0; i < r->lift_count; i++) {
    if (r->lifts[i].found) continue;
    if (!any) page_item(page, 2, 4, "");
    page_say(page, any ? "; " : before);
    page_say(page, r->lifts[i].what);
    if (r->lifts[i].effort.end == ROUTE_LIMIT)
      page_format(page,
                  " (incomplete: %" PRIu64 " states, %" PRIu64 " attempts)",
                  r->lifts[i].effort.states, r->lifts[i].effort.attempts);
    any = true;
  }
  if (any) page_end(page);
}

static void put_none(struct page *page, const struct route_result *r)
{
  page_line(page, 0, route_none(r));
  put_effort(page, r, &r->effort);
  put_alone(page, r);
  put_dead_ends(page, r);
  put_lifts(page, r);
}

void route_text(FILE *to, const struct route_result *r)
{
  struct page page;
  page_open(&page, to);
  put_head(&page, r);
  put_notes(&page, r);
  for (uint32_t i = 0; i < r->procedure_count; i++) {
    char lead[32];
    snprintf(lead, sizeof(lead), "procedure %" PRIu32, i + 1);
    put_procedure(&page, &r->procedures[i], lead);
    page_gap(&page);
  }
  if (r->procedure_count > 0)
    put_effort(&page, r, &r->effort);
  else
    put_none(&page, r);
  page_gap(&page);
  text_caution(&page, true);
}

#include <inttypes.h>
#include <string.h>

#include "report/page.h"
#include "report/route_report.h"
#include "report/text_parts.h"

static void put_moves(struct page *page, const struct route_move *moves,
                      uint32_t count)
{
  if (count == 0) page_say(page, "nothing needs to be done");
  for (uint32_t i = 0; i < count; i++) {
    if (i > 0) page_say(page, "; ");
    page_say(page, moves[i].name);
  }
}

static void put_head(struct page *page, const struct route_result *r)
{
  page_line(page, 0, r->script->title);
  page_item(page, 0, 2, "");
  page_say(page, "part ");
  page_say(page, r->part->name);
  page_say(page, "; goal: ");
  page_say(page, r->goal);
  page_end(page);
  page_item(page, 0, 2, "");
  page_say(page, "from");
  for (uint32_t i = 0; i < r->state_count; i++) {
    page_say(page, i > 0 ? ", " : " ");
    page_say(page, r->states[i]);
  }
  page_say(page, "; in the field it must outlive");
  for (uint32_t i = 0; i < r->field_count; i++) {
    page_say(page, i > 0 ? ", " : " ");
    page_say(page, r->field[i]);
  }
  if (r->field_count == 0) page_say(page, " nothing");
  page_end(page);
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
  page_item(page, 2, 8, "time");
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
    page_item(page, 2, 8, number);
    page_say(page, p->moves[i].name);
    page_end(page);
  }
  if (p->move_count == 0) page_line(page, 2, "nothing needs to be done");
  put_times(page, p);
}

static void put_effort(struct page *page, const struct route_result *r,
                       const struct route_effort *e)
{
  page_item(page, 0, 0, "");
  page_format(page, "Looked at %" PRIu64 " state%s, %" PRIu64 " attempts. ",
              e->states, e->states == 1 ? "" : "s", e->attempts);
  switch (e->end) {
  case ROUTE_FOUND:
    page_format(page,
                "Complete: of all lists of up to %" PRIu32
                " actions none is quicker.",
                r->depth_asked);
    break;
  case ROUTE_EXHAUSTED:
    page_format(page,
                "Complete: all lists of up to %" PRIu32
                " actions are answered for.",
                e->depth);
    break;
  case ROUTE_LIMIT:
    page_format(page,
                "Incomplete: the limit of states came first; lists of up to "
                "%" PRIu32 " actions are answered for. --limit raises it.",
                e->depth);
    break;
  }
  page_end(page);
}

static void put_alone(struct page *page, const struct route_result *r)
{
  if (r->alone_count == 0) return;
  page_gap(page);
  page_line(page, 0, "No procedure works from all of these states. Alone:");
  for (uint32_t i = 0; i < r->alone_count; i++) {
    const struct route_alone *a = &r->alone[i];
    page_item(page, 2, 4, "");
    page_say(page, a->state);
    page_say(page, ": ");
    if (a->found)
      put_moves(page, a->procedure.moves, a->procedure.move_count);
    else
      page_say(page, a->effort.end == ROUTE_LIMIT ? "none found, incomplete"
                                                  : "none");
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

static void put_lifts(struct page *page, const struct route_result *r)
{
  if (r->lift_count == 0) return;
  page_gap(page);
  page_line(page, 0, "What stands in the way, each tried without:");
  for (uint32_t i = 0; i < r->lift_count; i++) {
    const struct route_lift *l = &r->lifts[i];
    page_item(page, 2, 4, "");
    page_say(page, l->what);
    page_say(page, l->found ? ": without it, " : ": without it, still none");
    if (l->found) put_moves(page, l->moves, l->move_count);
    page_end(page);
  }
}

static void put_none(struct page *page, const struct route_result *r)
{
  page_line(page, 0,
            r->effort.end == ROUTE_LIMIT
                ? "None was found: no list of actions that was looked at "
                  "reaches the goal."
                : "None: no list of actions reaches the goal.");
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

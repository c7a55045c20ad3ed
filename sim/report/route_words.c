#include "report/route_words.h"

#include <inttypes.h>
#include <string.h>

const char route_nothing_to_do[] = "nothing needs to be done";
const char route_if_a_step_fails[] =
    "If a step fails, stop: the part is not in the state that the next one "
    "needs.";

const char *route_none(const struct route_result *r)
{
  if (r->effort.end == ROUTE_LIMIT)
    return "None was found: no list of actions that was looked at reaches the "
           "goal.";
  return r->state_count > 1 ? "None: no list of actions reaches the goal from "
                              "all of these states."
                            : "None: no list of actions reaches the goal.";
}

const char *route_alone_found(const struct route_alone *a)
{
  if (a->found) return "found";
  return a->effort.end == ROUTE_LIMIT ? "none found, incomplete" : "none";
}

const char *route_lift_found(const struct route_lift *l)
{
  if (l->found) return "there is one";
  return l->effort.end == ROUTE_LIMIT ? "none found, incomplete"
                                      : "still none";
}

void route_effort(struct page *page, const struct route_effort *e,
                  uint32_t depth_asked)
{
  page_format(page, "Looked at %" PRIu64 " state%s, %" PRIu64 " attempt%s. ",
              e->states, e->states == 1 ? "" : "s", e->attempts,
              e->attempts == 1 ? "" : "s");
  switch (e->end) {
  case ROUTE_FOUND:
    page_format(page,
                "Complete: of all lists of up to %" PRIu32
                " actions none is quicker.",
                depth_asked);
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
}

bool route_shipped_alike(const struct route_shipped *one,
                         const struct route_shipped *other)
{
  return strcmp(one->after, other->after) == 0 &&
         memcmp(&one->answer, &other->answer, sizeof(one->answer)) == 0;
}

bool route_shipped_first(const struct route_procedure *p, uint32_t index,
                         const char *after)
{
  if (strcmp(p->shipped[index].after, after) != 0) return false;
  for (uint32_t i = 0; i < index; i++)
    if (route_shipped_alike(&p->shipped[i], &p->shipped[index])) return false;
  return true;
}

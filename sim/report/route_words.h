/* route_words.h -- what text, page and work instruction of a route say alike.
 *
 * Owns, borrows: nothing.
 */
#ifndef REPORT_ROUTE_WORDS_H
#define REPORT_ROUTE_WORDS_H

#include <stdbool.h>

#include "describe/route.h"
#include "report/page.h"

extern const char route_nothing_to_do[];
extern const char route_if_a_step_fails[];

/* "None: no list of actions reaches the goal." */
const char *route_none(const struct route_result *result);

/* "found", "none", "none found, incomplete" */
const char *route_alone_found(const struct route_alone *alone);

/* "there is one", "still none", "none found, incomplete" */
const char *route_lift_found(const struct route_lift *lift);

/* How far was looked, as words of an item. */
void route_effort(struct page *page, const struct route_effort *effort,
                  uint32_t depth_asked);

/* After the same reset in the field the unit starts the same. */
bool route_shipped_alike(const struct route_shipped *one,
                         const struct route_shipped *other);

/* True for the first of those of `after` that are alike. */
bool route_shipped_first(const struct route_procedure *p, uint32_t index,
                         const char *after);

#endif

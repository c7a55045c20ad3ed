/* route_html.h -- what `route` found as one page (html.h): goal and nevers in
 * words; each procedure as a work instruction, with its time, what the shipped
 * unit does, and a picture of it over time; where there is none, what stands
 * in the way.
 *
 * Owns, borrows: nothing. Errors stay in the stream.
 */
#ifndef REPORT_ROUTE_HTML_H
#define REPORT_ROUTE_HTML_H

#include <stdio.h>

#include "describe/result.h"
#include "describe/route.h"
#include "report/timeline.h"

/* A procedure played from the first of its states; timeline NULL: it has no
 * picture. */
struct route_replay_shown {
  const struct result *result;
  const struct timeline *timeline; /* timeline_brief */
};

/* `shown` has one for each procedure, or if there is none for each state
 * alone. */
void route_html(FILE *to, const struct route_result *result,
                const struct route_replay_shown *shown);

#endif

/* route_page.h -- the page of a route: plays each procedure once more for its
 * picture.
 *
 * Owns, borrows: nothing. Errors of the stream stay in it.
 */
#ifndef CLI_ROUTE_PAGE_H
#define CLI_ROUTE_PAGE_H

#include <stdio.h>

#include "base/arena.h"
#include "base/status.h"
#include "describe/route.h"

/* Errors: those of play_prepare, if a file has changed meanwhile. */
enum sim_status route_page(FILE *to, const struct route_result *result,
                           struct arena *arena, struct sim_error *err);

#endif

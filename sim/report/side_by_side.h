/* side_by_side.h -- one case on several parts, as a table for people.
 *
 *                  latched      checked
 *
 *   steps[0]       rom          rom
 *   power_on       latch-blank  flash-blank
 *
 *   steps[5]       rom, stale   flash
 *   pin            latch-blank  otherwise
 *
 * A row is a start; starts of one step of the script stand beside one
 * another. A cell says the region, whether the latch was stale, the rule, and
 * where execution landed after the boot ROM. Where the parts started for
 * different reasons each cell says its own. As many parts stand side by side
 * as fit into 80 columns; the others follow below. Under the table: from
 * which start on they differ, and what did not hold.
 *
 * Owns, borrows: nothing. Errors stay in the stream.
 */
#ifndef REPORT_SIDE_BY_SIDE_H
#define REPORT_SIDE_BY_SIDE_H

#include <stdint.h>
#include <stdio.h>

#include "describe/result.h"
#include "report/rows.h"

/* `count` results of one case: 1 to ROWS_MAX_RESULTS, asserted. */
void report_side_by_side(FILE *to, const struct result *const *results,
                         uint32_t count);

#endif

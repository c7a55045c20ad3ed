/* rows.h -- the starts of several results of one case, aligned by step.
 *
 *   struct rows rows;
 *   rows_begin(&rows, results, count);
 *   while (rows_next(&rows)) ... rows.starts[i], or NULL ...
 *
 * Starts of one step of the script share rows, the first with the first and
 * so on; a part that has none there has NULL.
 *
 * Owns: nothing. Borrows: the results.
 */
#ifndef REPORT_ROWS_H
#define REPORT_ROWS_H

#include <stdbool.h>
#include <stdint.h>

#include "describe/result.h"

#define ROWS_MAX_RESULTS 64

struct rows {
  const struct result *const *results;
  uint32_t count;
  uint32_t next[ROWS_MAX_RESULTS]; /* index of each one's next start */
  const struct start *starts[ROWS_MAX_RESULTS]; /* of this row */
  uint32_t step;                                /* of this row */
};

/* Asserts 1 <= count <= ROWS_MAX_RESULTS. */
void rows_begin(struct rows *rows, const struct result *const *results,
                uint32_t count);

/* Move to the first or next row; false after the last. */
bool rows_next(struct rows *rows);

/* Why a start began: the word of its cause, or "hand-over". */
const char *rows_why(const struct start *start);

/* The reason that all starts of the row share, or NULL. */
const char *rows_common_why(const struct rows *rows);

/* True if all start, and all lead to the same regions: where they begin and
 * where they land. Rules are not compared, their names are the part's own. */
bool rows_alike(const struct rows *rows);

#endif

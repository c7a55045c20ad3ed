/* against.h -- where the trace of this run leaves one that was written before.
 *
 * Both are texts of lines. The first line that differs is shown with up to
 * five before it and five from there on of each:
 *
 *   before.trace:42: here they part; "-" was before, "+" is now
 *        360083.334       2454  rule           rule=latch-blank
 *   -    360083.334       2454  map            region=rom base=0x00000000
 *   +    360083.334       2454  map            region=flash base=0x00000000
 *
 * Owns, borrows: nothing.
 */
#ifndef REPORT_AGAINST_H
#define REPORT_AGAINST_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>

#define AGAINST_LINES 5

struct against_text {
  const char *bytes;
  size_t length;
};

struct against {
  bool same;
  uint64_t line;    /* from 1; of the first that differs, or how many */
  size_t before_at; /* where that line begins in each */
  size_t now_at;
};

struct against against_compare(struct against_text before,
                               struct against_text now);

/* Tell it, for people; `name` is that of the file written before. */
void against_tell(const struct against *a, const char *name,
                  struct against_text before, struct against_text now,
                  FILE *to);

#endif

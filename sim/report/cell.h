/* cell.h -- a cell of a table: a few short lines, broken hard at its width.
 *
 * The rule a reader would get wrong: a cell has CELL_LINES lines and what
 * does not fit them is cut.
 *
 * Owns: its text. Borrows: nothing.
 */
#ifndef REPORT_CELL_H
#define REPORT_CELL_H

#include <stdio.h>

#define CELL_WIDTH 24 /* columns at most */
#define CELL_LINES 12

struct cell {
  unsigned width;                        /* columns of a line */
  unsigned count;                        /* lines begun */
  unsigned columns[CELL_LINES];          /* characters in a line */
  unsigned bytes[CELL_LINES];            /* bytes in a line */
  char text[CELL_LINES][4 * CELL_WIDTH]; /* not terminated */
};

/* An empty cell. Asserts 1 <= width <= CELL_WIDTH. */
void cell_begin(struct cell *cell, unsigned width);

/* Begin a line with `text`. */
void cell_line(struct cell *cell, const char *text);

/* Continue the last line. */
void cell_more(struct cell *cell, const char *text);

/* Length of the longest line in columns. */
unsigned cell_longest(const struct cell *cell);

/* Write line `line`, nothing if there is none; padded to `padded` columns
 * unless that is 0. */
void cell_put(const struct cell *cell, unsigned line, unsigned padded,
              FILE *to);

#endif

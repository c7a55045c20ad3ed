#include "report/cell.h"

#include <assert.h>
#include <string.h>

#include "report/page.h"

void cell_begin(struct cell *cell, unsigned width)
{
  assert(width >= 1 && width <= CELL_WIDTH);
  memset(cell, 0, sizeof *cell);
  cell->width = width;
}

void cell_line(struct cell *cell, const char *text)
{
  if (cell->count == CELL_LINES) return;
  cell->count++;
  cell_more(cell, text);
}

void cell_more(struct cell *cell, const char *text)
{
  assert(cell->count > 0);
  char shown[4];
  size_t bytes, taken;
  for (; (taken = page_character(text, shown, &bytes)) > 0; text += taken) {
    if (cell->columns[cell->count - 1] == cell->width) {
      if (cell->count == CELL_LINES) return;
      cell->count++;
    }
    unsigned line = cell->count - 1;
    memcpy(cell->text[line] + cell->bytes[line], shown, bytes);
    cell->bytes[line] += (unsigned)bytes;
    cell->columns[line]++;
  }
}

unsigned cell_longest(const struct cell *cell)
{
  unsigned longest = 0;
  for (unsigned i = 0; i < cell->count; i++) {
    if (cell->columns[i] > longest) longest = cell->columns[i];
  }
  return longest;
}

void cell_put(const struct cell *cell, unsigned line, unsigned padded,
              FILE *to)
{
  unsigned columns = 0;
  if (line < cell->count) {
    fwrite(cell->text[line], 1, cell->bytes[line], to);
    columns = cell->columns[line];
  }
  if (columns < padded) fprintf(to, "%*s", (int)(padded - columns), "");
}

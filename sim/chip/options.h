/* options.h -- option words: the cells, and the copy that acts.
 *
 * Programming changes the cells. Only a load copies them to where the start
 * rules and the other blocks read them; which resets load is the part's reset
 * table.
 *
 * Not modelled: an integrity check over the cells.
 *
 * Owns: its fields. Borrows: the part.
 */
#ifndef CHIP_OPTIONS_H
#define CHIP_OPTIONS_H

#include <stdint.h>

#include "base/trace.h"
#include "base/units.h"
#include "describe/part.h"

struct options {
  const struct part_options *part;
  uint32_t cells[PART_MAX_WORDS];  /* non-volatile */
  uint32_t active[PART_MAX_WORDS]; /* since the last load */
};

/* Factory values in the cells; nothing loaded yet. */
void options_init(struct options *o, const struct part_options *part);

/* Copy every cell; adds one TRACE_OPTION each. */
void options_load(struct options *o, struct moment now, struct trace *tr);

/* Change one cell (the controller has erased and programmed it). */
void options_program(struct options *o, uint32_t word, uint32_t value,
                     struct moment now, struct trace *tr);

/* Field of the loaded words. */
uint32_t options_field(const struct options *o, uint32_t word, uint32_t field);

/* `value` with one field replaced. */
uint32_t options_with(const struct part_option_field *field, uint32_t value,
                      uint32_t setting);

#endif

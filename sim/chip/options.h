/* options.h -- option words: the cells, and the copy that acts.
 *
 * Programming changes the cells. Only a load copies them to where the start
 * rules and the other blocks read them; which resets load is the part's reset
 * table.
 *
 * The rule a reader would get wrong: what a load copies is not always what the
 * cells say. Where the part checks them, the controller writes a complement
 * beside each word, or one checksum over all, with every word it programs; if
 * they don't fit when they are loaded, the fallback values are loaded, and the
 * cells stay as they are.
 *
 *   COMPLEMENT   check[i] == ~cells[i], for each word
 *   CHECKSUM     check[0] == ~(cells[0] + cells[1] + ...), modulo 2^32
 *
 * Owns: its fields. Borrows: the part.
 */
#ifndef CHIP_OPTIONS_H
#define CHIP_OPTIONS_H

#include <stdbool.h>
#include <stdint.h>

#include "base/trace.h"
#include "base/units.h"
#include "describe/part.h"

struct options {
  const struct part_options *part;
  uint32_t cells[PART_MAX_WORDS];  /* non-volatile */
  uint32_t check[PART_MAX_WORDS];  /* non-volatile, beside them */
  uint32_t active[PART_MAX_WORDS]; /* since the last load */
};

/* Factory values in the cells; nothing loaded yet. */
void options_init(struct options *o, const struct part_options *part);

/* True if the cells of this word fit their check. */
bool options_sound(const struct options *o, uint32_t word);

/* Copy every cell, or the fallback of those that are not sound (told by
 * TRACE_OPTION_FALLBACK); adds one TRACE_OPTION each. */
void options_load(struct options *o, struct moment now, struct trace *tr);

/* Change one cell (the controller has erased and programmed it). */
void options_program(struct options *o, uint32_t word, uint32_t value,
                     struct moment now, struct trace *tr);

/* The same, cut short: word and check bits become what is left. Of cells that
 * are left in part it depends on the word which bits are old. Weak ones count
 * as programmed: how long they last is not modelled. */
void options_tear(struct options *o, uint32_t word, uint32_t value,
                  enum torn left, struct moment now, struct trace *tr);

/* Field of the loaded words. */
uint32_t options_field(const struct options *o, uint32_t word, uint32_t field);

/* `value` with one field replaced. */
uint32_t options_with(const struct part_option_field *field, uint32_t value,
                      uint32_t setting);

#endif

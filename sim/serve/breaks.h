/* breaks.h -- breakpoints that gdb asked for: in the comparators of the
 * part's breakpoint unit, and as instructions in RAM.
 *
 * The unit compares addresses below 0x20000000 only (ARM DDI 0419E C1.8) and
 * has as many comparators as its control register says. Above them a
 * breakpoint is a BKPT instruction put into RAM, where gdb asks for one by
 * software; reads of that RAM (breaks_hide) show what it replaced.
 *
 * The rule a reader would get wrong: the unit belongs to the program too. A
 * comparator that is in use already is left alone, and a reset that clears the
 * debug logic clears the unit: breaks_renew puts them back.
 *
 * Not modelled: a program that writes over such a BKPT has removed it.
 *
 * Owns: nothing. Borrows: the machine.
 */
#ifndef SERVE_BREAKS_H
#define SERVE_BREAKS_H

#include <stdbool.h>
#include <stdint.h>

#include "core/core.h"
#include "run/machine.h"

#define BREAKS_IN_RAM 32

struct breaks_ram {
  addr_t at;
  uint8_t replaced[2];
};

struct breaks {
  struct machine *machine;
  addr_t held[CORE_BREAKPOINTS]; /* by comparator */
  uint32_t used;                 /* bit per comparator: it is ours */
  struct breaks_ram ram[BREAKS_IN_RAM];
  uint32_t ram_count;
};

enum breaks_answer {
  BREAKS_DONE,
  BREAKS_NONE_LEFT,   /* every comparator, or every place, is in use */
  BREAKS_OUT_OF_REACH /* neither the unit nor RAM reaches there */
};

void breaks_init(struct breaks *b, struct machine *m);

/* How many comparators the unit has. */
uint32_t breaks_comparators(const struct breaks *b);

/* Set one at an even address; `software` where it may be an instruction. One
 * that is there already is done. Where the probe does not reach the unit now,
 * a comparator is kept for it until breaks_renew. */
enum breaks_answer breaks_set(struct breaks *b, addr_t at, bool software,
                              bool reaches);

/* Take it away; false: there is none. */
bool breaks_clear(struct breaks *b, addr_t at);
void breaks_clear_all(struct breaks *b);

/* The probe has attached: load the comparators, which a reset may have
 * cleared. */
void breaks_renew(struct breaks *b);

/* Put what was replaced into `bytes`, which were read at `at`. */
void breaks_hide(const struct breaks *b, addr_t at, uint8_t *bytes,
                 uint32_t count);

#endif

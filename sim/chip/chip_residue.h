/* chip_residue.h -- what of an earlier life a start begins with.
 *
 * A reset leaves what its row of the reset table keeps: the clock, and what a
 * debugger armed. A start that is no reset leaves everything; told is what
 * differs from how a reset would have had it. Such starts are the first step
 * of execution since a reset from the boot ROM to elsewhere or from elsewhere
 * into it, and the probe's load and go.
 *
 * The rule a reader would get wrong: stack and vector base are judged against
 * the vector table whose reset vector is the address that execution came to.
 * It is looked for where the vector base points, at the base of the region,
 * and where chip_expect_table says. Code that is no such table's is not judged
 * by them: a routine called in RAM has none.
 *
 * Reports: TRACE_RESIDUE, one an item, behind the TRACE_START or TRACE_ENTER
 * that it belongs to. Debug enable is left out: whether a probe set it that is
 * gone, the trace tells elsewhere.
 *
 * Not modelled: registers of peripherals other than clocks and pins; freeze
 * bits, which no part has; a program in flash that starts another one there.
 *
 * Owns, borrows: nothing.
 */
#ifndef CHIP_CHIP_RESIDUE_H
#define CHIP_CHIP_RESIDUE_H

#include <stdbool.h>

#include "base/units.h"

struct chip;

struct chip_residue {
  unsigned region;            /* that execution was in; BUS_NO_REGION: none */
  bool left_rom, entered_rom; /* since the start: told once */
  bool expects;               /* a table at `table` is about to be started */
  addr_t table;
};

void chip_residue_init(struct chip_residue *r);

/* The core was reset. */
void chip_residue_reset(struct chip *c, struct moment now);

/* A debugger lets the core go at its PC: where it was before counts no more.
 */
void chip_residue_resume(struct chip *c);

/* Execution goes into another region, at `pc`. The core's registers are as
 * they were at that instruction as far as SP and what is no number register
 * goes. */
void chip_residue_enter(struct chip *c, unsigned region, addr_t pc,
                        struct moment now);

/* The host asks the boot ROM to start what has its vectors there. */
void chip_expect_table(struct chip *c, addr_t table);

/* The probe starts what has its vectors at `table`. */
void chip_residue_started(struct chip *c, addr_t table, struct moment now);

#endif

/* disassembly.h -- bytes of code as instructions, through Capstone: Thumb, as
 * M-profile has it.
 *
 * The rule a reader would get wrong: before an instruction others can only be
 * guessed. Code is read from every earlier halfword in turn, and what most
 * ways that end just there pass last is taken; where data stands in between,
 * it shows what never ran.
 *
 * Not modelled: which instructions the part's core has. One that it would
 * refuse is shown like any other.
 *
 * Owns, borrows: nothing.
 */
#ifndef REPORT_DISASSEMBLY_H
#define REPORT_DISASSEMBLY_H

#include <stdbool.h>
#include <stdint.h>

#include "base/units.h"
#include "describe/result.h"

#define DISASSEMBLY_AHEAD  6 /* instructions */
#define DISASSEMBLY_AROUND 3 /* with the one before, if there is one */

struct instruction {
  addr_t at;
  bool here;      /* it is the one that the code is about */
  char bytes[16]; /* "4805", "f3bf 8f4f": halfwords */
  char text[200]; /* "ldr r0, [pc, #0x14]" or "no instruction" */
};

/* From code->at on, at most DISASSEMBLY_AHEAD. Returns how many. */
uint32_t disassembly_ahead(const struct code_bytes *code,
                           struct instruction list[DISASSEMBLY_AHEAD]);

/* The one before, the one at code->at, the one behind. Returns how many. */
uint32_t disassembly_around(const struct code_bytes *code,
                            struct instruction list[DISASSEMBLY_AROUND]);

#endif

/* space.h -- memory and registers of the part as gdb reads and writes them,
 * and the memory map that tells gdb what is where.
 *
 * Reads are those of the debug port: a readout lock that denies it hides the
 * flash, and a register that a read changes is changed. Writes need the port
 * (target_reaches) and go to RAM byte by byte, to registers and the system
 * control space as whole words. Flash takes none: gdb's `load` goes through
 * its controller (loading.h).
 *
 * The rule a reader would get wrong: the map leaves no address out, as gdb
 * refuses by itself what is not in it. What is no memory of the part counts
 * there as RAM, and the server answers for it: with an error where nothing is.
 *
 * Owns, borrows: nothing.
 */
#ifndef SERVE_SPACE_H
#define SERVE_SPACE_H

#include <stdbool.h>
#include <stdint.h>
#include <stdio.h>

#include "serve/target.h"

/* Returns how many bytes there were from `at` on, at most `count`. */
uint32_t space_read(struct target *t, addr_t at, uint8_t *bytes,
                    uint32_t count);

/* True if all were taken; else the console is told why not. */
bool space_write(struct target *t, addr_t at, const uint8_t *bytes,
                 uint32_t count);

/* The memory map, XML. */
void space_describe(const struct part *part, FILE *to);

#endif

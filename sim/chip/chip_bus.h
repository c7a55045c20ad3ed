/* chip_bus.h -- the chip's side of the core's bus.
 *
 *   at                        answer
 *   a described register      its fields, by access and role
 *   0x40000000-0x5FFFFFFF,    by the part's policy for unknown registers:
 *   and what the register       learn   learn.h
 *   names know                  zero    reads 0, writes lost
 *                               fault   bus fault
 *   anywhere else             bus fault
 *
 * TRACE_UNMODELLED tells of an unknown register when it is touched first (of
 * every access by another instruction or to another place than the last, where
 * nothing is learned). The span is the device space of ARM DDI 0419E Table
 * B3-1. Sub-word accesses act on their byte lanes of the word.
 *
 * Owns: nothing.
 */
#ifndef CHIP_CHIP_BUS_H
#define CHIP_CHIP_BUS_H

struct chip;

/* Fill chip->bus from the part and the memory; nothing is aliased yet. */
void chip_bus_init(struct chip *chip);

#endif

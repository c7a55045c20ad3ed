/* chip_cells.h -- flash cells: what orders do to them, whole or cut short, and
 * what a read of them finds. For the wiring only.
 *
 * The rule a reader would get wrong: a readout lock is in force as loaded, not
 * as the cells say. An option write after which the cells no longer ask for it
 * erases all flash first, protected pages too; so does one that mends cells
 * whose fallback locked.
 *
 * Not modelled: a lock that is lifted for a hand-over: flash that reads as
 * zeros to a start from ROM does so until the next start.
 *
 * Owns: nothing.
 */
#ifndef CHIP_CHIP_CELLS_H
#define CHIP_CHIP_CELLS_H

#include "chip/chip.h"

/* Bytes of a region are others now: whoever keeps code of them, forget it. */
void chip_bytes_changed(struct chip *c, uint32_t region, uint32_t offset,
                        uint32_t size);

/* True if the ranges that the blank check reads count as erased; `tell` adds
 * what ECC finds to the trace. */
bool chip_first_words_blank(struct chip *c, bool tell, struct moment now);

/* Flash or options changed: what would a blank check say now? */
void chip_judge_afresh(struct chip *c, struct moment now);

/* The order that has ended by now, if any, changes its cells. */
bool chip_follow_flash(struct chip *c, struct moment now);

/* A reset or the loss of supply: what is running is cut short. */
void chip_cut_flash(struct chip *c, bool lock, struct moment now);

/* A power-on: weak cells that a start has read give way. */
void chip_fade_cells(struct chip *c, struct moment now);

/* A start takes its vectors: false if ECC can't correct them. */
bool chip_read_vectors(struct chip *c, struct moment now);

/* What the readout lock leaves of flash to the start that begins. */
void chip_show_flash(struct chip *c);

/* The loaded options ask for all of this. */
bool chip_options_hold(const struct chip *c, const struct part_term *terms,
                       uint32_t count);

/* True while the readout lock is in force. */
bool chip_readout_locked(const struct chip *c);

/* True if an order on these cells is refused. */
bool chip_protected(const struct chip *c, uint32_t region, uint32_t offset,
                    uint32_t size);

/* Cells or the controller changed: does a program's read of flash need to be
 * looked at? The engine looks closer
 * from the next instruction on. */
void chip_guard_flash(struct chip *c);

/* Such a read: how long it waits, and whether it fails. */
struct bus_answer chip_guarded_read(struct chip *c, uint32_t region,
                                    uint32_t offset, uint32_t words,
                                    struct moment now);

/* True while a program can't fetch from this region. */
bool chip_flash_busy(const struct chip *c, uint32_t region);

#endif

/* bench.h -- what a person with a probe does, with the time it takes.
 *
 * Flash and options are programmed through the controller's registers, found
 * by their roles, with the probe's latency on every access: so locks, keys,
 * refusals and busy times count. Where the part has no register for it, that
 * is told (TRACE_PROBE_FAILED) and nothing happens. Only where the part file
 * says nothing of a flash controller at all, the probe gets by without.
 *
 * Owns: nothing.
 */
#ifndef RUN_BENCH_H
#define RUN_BENCH_H

#include <stdbool.h>
#include <stdint.h>

#include "image/image.h"
#include "run/loader.h"
#include "run/machine.h"

/* Held: pull the line, attach, arm reset catch, release, and wait until the
 * part has halted at its vector. Pulsed: pull it and let it go, and after a
 * time attach and halt the part where it is. Running: the same without. A
 * probe that has no reset line tells so, and attaches to what runs. */
void bench_attach(struct machine *m, enum attach_reset how, ps_t after);

/* Attach at this instant, where the debug port can be reached, whatever the
 * core is doing: no time passes, which no probe on a bench can do. False: it
 * can't be reached; nothing is told of that. */
bool bench_seize(struct machine *m);
void bench_detach(struct machine *m, bool cleans);
void bench_halt(struct machine *m);
void bench_go(struct machine *m);

/* Execute `count` instructions. */
void bench_step(struct machine *m, uint32_t count);

/* Reset the part; `caught`: it halts at its vector, and that is waited for. */
void bench_reset(struct machine *m, enum reset_way way, bool caught,
                 ps_t hold);

/* Load and go: stack pointer, program counter and, where there is one, the
 * vector base from the vector table at `table`; then go. Everything else stays
 * as it is. */
void bench_start(struct machine *m, addr_t table);

/* Registers of a halted core, by core_register_words. */
void bench_read_register(struct machine *m, unsigned number);
void bench_read_registers(struct machine *m);
void bench_set_register(struct machine *m, unsigned number, uint32_t value);

void bench_read(struct machine *m, addr_t at);
void bench_write_word(struct machine *m, addr_t at, uint32_t value);
void bench_write_latch(struct machine *m, bool programmed);
void bench_write_option(struct machine *m, uint32_t word, uint32_t value);
void bench_write_image(struct machine *m, const struct image *image,
                       enum erase_extent erase, enum write_order sequence);

/* The same by a loader that runs on the core (bench_loader.c). */
void bench_write_through(struct machine *m, const struct loader *loader,
                         const struct image *image, enum erase_extent erase);

/* One page, or all of the flash. */
void bench_erase(struct machine *m, bool one_page, addr_t at);
void bench_reload_options(struct machine *m);

#endif

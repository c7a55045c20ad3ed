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
#include "run/machine.h"

/* `held`: pull the line, attach, arm reset catch, release, and wait until the
 * part has halted at its vector. Otherwise attach and halt it where it is. */
void bench_attach(struct machine *m, bool held);
void bench_detach(struct machine *m);
void bench_halt(struct machine *m);
void bench_go(struct machine *m);

void bench_read(struct machine *m, addr_t at);
void bench_write_word(struct machine *m, addr_t at, uint32_t value);
void bench_write_latch(struct machine *m, bool programmed);
void bench_write_option(struct machine *m, uint32_t word, uint32_t value);
void bench_write_image(struct machine *m, const struct image *image,
                       enum erase_extent erase);
/* One page, or all of the flash. */
void bench_erase(struct machine *m, bool one_page, addr_t at);
void bench_reload_options(struct machine *m);

#endif

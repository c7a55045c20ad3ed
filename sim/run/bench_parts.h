/* bench_parts.h -- what the bench*.c share; nobody else.
 */
#ifndef RUN_BENCH_PARTS_H
#define RUN_BENCH_PARTS_H

#include <stdbool.h>

#include "describe/trace_kinds.h"
#include "image/image.h"
#include "run/loader.h"
#include "run/machine.h"

/* Let time pass. */
void bench_pass(struct machine *m, ps_t lasts);

struct moment bench_now(const struct machine *m);

/* Tell what the probe did. */
void bench_tell(struct machine *m, enum trace_action action, uint32_t detail);

/* True if the probe is wired to the reset line; else tells that it is not. */
bool bench_has_line(struct machine *m, enum trace_action action);
void bench_pulse_line(struct machine *m, ps_t hold);
bool bench_caught(struct machine *m, enum trace_action action);

/* Tell that the probe could not do it, and why. Returns false. */
bool bench_fail(struct machine *m, enum trace_action action,
                enum trace_obstacle why);

/* One programming unit with what the image has for it; the rest is left
 * erased. */
void bench_unit_bytes(const struct image *image, addr_t at, uint32_t unit,
                      uint8_t *bytes);

/* The region that holds an address of a planned image. */
const struct part_memory *bench_memory_of(const struct machine *m, addr_t at);

/* Every page, or else every programming unit, that the image touches, once
 * each, ascending, until `work` returns false: segments are ascending and
 * never overlap, but two may share a block. */
typedef bool (*bench_block_work)(struct machine *m, const struct image *image,
                                 addr_t at, uint32_t block, void *context);
bool bench_each_block(struct machine *m, const struct image *image, bool pages,
                      bench_block_work work, void *context);

/* An image that lies in RAM. */
bool bench_load_ram(struct machine *m, const struct image *image);

/* bench_loader.c: false where it failed, which has been told. */
bool bench_by_loader(struct machine *m, const struct loader *loader,
                     const struct image *image, enum erase_extent erase);

/* True if memory can be reached; else tells why not. */
bool bench_reaches_memory(struct machine *m, enum trace_action action);

#endif

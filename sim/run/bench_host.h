/* bench_host.h -- what a person with a computer on the serial line does, with
 * the time it takes.
 *
 * Everything goes over the wire: whether anybody listens, and what becomes of
 * it, is the boot ROM's affair. How it ended is in the trace (TRACE_HOST_END),
 * the last of a step for the whole of it.
 *
 * Owns: nothing.
 */
#ifndef RUN_BENCH_HOST_H
#define RUN_BENCH_HOST_H

#include "image/image.h"
#include "run/machine.h"

/* Plug the host in, or unplug it. */
void bench_host_plug(struct machine *m, bool plug);

void bench_host_hello(struct machine *m);

/* `pages` from `at`, one request a page; PROTOCOL_ALL_PAGES: all of the
 * flash, in one. */
void bench_host_wipe(struct machine *m, addr_t at, uint32_t pages);

/* Program an image, in as many requests as it takes. What lies between its
 * segments in a programming unit is left erased. */
void bench_host_put(struct machine *m, const struct image *image);

/* One word; tells it as a read (TRACE_READ). */
void bench_host_get(struct machine *m, addr_t at);

/* Each segment of the image. */
void bench_host_compare(struct machine *m, const struct image *image);

void bench_host_launch(struct machine *m, addr_t vectors);
void bench_host_say(struct machine *m, const struct case_octets *octets);

/* Hello, wipe, put, compare, until one of them is not done. */
void bench_host_write(struct machine *m, const struct image *image,
                      enum erase_extent erase);

#endif

/* expect.h -- waits for a state of the last start, and judges it.
 *
 * An expectation is about the newest start. While a boot sequence is under
 * way it waits for the start that comes of it. It holds as soon as all that
 * was asked is so at one instant; it fails when its time is over, and then
 * says what was seen instead.
 *
 * Owns: nothing.
 */
#ifndef RUN_EXPECT_H
#define RUN_EXPECT_H

#include <stdbool.h>
#include <stddef.h>

#include "run/actions.h"
#include "run/judge.h"

/* Listen for the records that may make an expectation hold, so that the run
 * pauses there. Call once, after starts_init. */
void expect_listen(struct machine *m);

/* What is asked, in words: "region flash, reaches main within 3 ms". */
void expect_text(const struct acting *a, char *text, size_t size);

/* Let time pass until it holds or its time is over; true if it holds. Judge
 * it, unless `judges` is false. */
bool expect_wait(const struct acting *a, struct judge *judge, bool judges);

#endif

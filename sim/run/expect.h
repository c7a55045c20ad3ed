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

#include "run/actions.h"
#include "run/judge.h"

/* Listen for the records that may make an expectation hold, so that the run
 * pauses there. Call once, after starts_init. */
void expect_listen(struct machine *m);

/* Let time pass until it holds or its time is over. Judge it, unless `judges`
 * is false. */
void expect_wait(const struct acting *a, struct judge *judge, bool judges);

#endif

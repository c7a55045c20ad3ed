/* differential.h -- random instructions in random states, executed by two
 * engines that must agree.
 *
 * Two benches in states of random_state.h. Mostly one instruction is executed,
 * by the engine alone or with the exceptions and faults around it; sometimes a
 * stretch of flash, up to a random deadline.
 *
 * Compared: how it ended, the core, all memory, every access and report with
 * its cycle.
 */
#ifndef TESTS_DIFFERENTIAL_H
#define TESTS_DIFFERENTIAL_H

#include <stdbool.h>
#include <stdint.h>

/* `count` states from this seed. False, and printed: the engines did not
 * agree, or an instruction or an outcome never came up. How often each did is
 * printed on request. */
bool differential_run(uint64_t seed, uint64_t count, bool print_summary);

#endif

/* words.h -- values on the command line.
 *
 * Owns, borrows: nothing.
 */
#ifndef CLI_WORDS_H
#define CLI_WORDS_H

#include "base/status.h"
#include "base/units.h"

/* "0x04000000". Errors: SIM_USAGE, naming the option. */
enum sim_status words_address(const char *option, const char *text,
                              addr_t *address, struct sim_error *err);

/* A decimal number of at most `most`. Errors: the same. */
enum sim_status words_number(const char *option, const char *text,
                             uint32_t most, uint32_t *number,
                             struct sim_error *err);

#endif

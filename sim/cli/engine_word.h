/* engine_word.h -- the value of --engine.
 *
 * Owns, borrows: nothing.
 */
#ifndef CLI_ENGINE_WORD_H
#define CLI_ENGINE_WORD_H

#include "base/status.h"
#include "core/cpu.h"

/* `word` may be NULL: `usual`. SIM_USAGE for one that is no engine. */
enum sim_status engine_word(const char *word, enum cpu_engine usual,
                            enum cpu_engine *engine, struct sim_error *err);

#endif

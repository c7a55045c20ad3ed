#include "cli/engine_word.h"

#include <string.h>

enum sim_status engine_word(const char *word, enum cpu_engine usual,
                            enum cpu_engine *engine, struct sim_error *err)
{
  static const char *const words[] = {[CPU_ENGINE_UNICORN] = "unicorn",
                                      [CPU_ENGINE_OWN] = "own",
                                      [CPU_ENGINE_BOTH] = "both"};
  const struct sim_place where = {.path = "--engine"};
  *engine = usual;
  if (word == NULL) return SIM_OK;
  for (size_t i = 0; i < sizeof words / sizeof words[0]; i++) {
    if (strcmp(word, words[i]) != 0) continue;
    *engine = (enum cpu_engine)i;
    return SIM_OK;
  }
  return sim_fail(err, SIM_USAGE, &where,
                  "is \"%s\"; expected unicorn, own or both", word);
}

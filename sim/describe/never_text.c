#include "describe/never_text.h"

#include <assert.h>
#include <stdio.h>

#include "base/units.h"
#include "describe/names.h"

void never_text(const struct case_never *never, char *text, size_t size)
{
  char beyond[40] = "", limit[32];
  if (never->beyond.asked) {
    units_text(limit, sizeof(limit),
               never->beyond.in_cycles ? UNIT_CYCLES : UNIT_TIME,
               never->beyond.value);
    snprintf(beyond, sizeof(beyond), " beyond %s", limit);
  }
  const char *what = never->region != NULL ? never->region : never->pin;
  const char *before = never->region != NULL ? " " : ", ";
  snprintf(text, size, "%s%s%s%s%s", never_words[never->kind], beyond,
           what != NULL ? before : "", what != NULL ? what : "",
           never->by_anything ? ", by anything" : "");
}

const char *never_sentence(enum never_kind kind)
{
  static const char *const sentences[NEVER_COUNT_] = {
      [NEVER_ROM_RUNS] = "The core executes an instruction of the boot ROM.",
      [NEVER_PIN_DRIVEN] = "A pin is driven that ought to be left alone.",
      [NEVER_CONTENTION] = ("Two drivers disagree on a net: parts may be "
                            "damaged."),
      [NEVER_START_IN] = "A start begins in this region.",
      [NEVER_LOCKUP] = "The core locks up: it executes nothing any more.",
  };
  assert(kind < NEVER_COUNT_);
  return sentences[kind];
}

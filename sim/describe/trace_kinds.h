/* trace_kinds.h -- the kinds of trace records, and the small words in them.
 */
#ifndef DESCRIBE_TRACE_KINDS_H
#define DESCRIBE_TRACE_KINDS_H

#include <stdbool.h>
#include <stdint.h>

#include "base/trace.h"

enum trace_kind {
#define X(name, text, a, b) TRACE_##name,
#include "describe/trace_kinds.def"
#undef X
  TRACE_KIND_COUNT_
};

_Static_assert(TRACE_KIND_COUNT_ <= TRACE_MAX_KINDS,
               "kinds are bits of a mask");

struct trace_kind_info {
  const char *text;  /* the word in a text trace */
  const char *a, *b; /* "name:format", or "-" */
};

/* One row a kind, indexed by enum trace_kind. */
extern const struct trace_kind_info trace_kinds[TRACE_KIND_COUNT_];

/* Values of arguments that are words. The word for each value is found with
 * trace_word("format", value); NULL if the format is no list of words, or the
 * list has none for that value. */
enum trace_threshold {
  THRESHOLD_BROWN_OUT_RISE,
  THRESHOLD_BROWN_OUT_FALL,
  THRESHOLD_ON_RISE,
  THRESHOLD_ON_FALL,
  THRESHOLD_RAM_KEEP,
  THRESHOLD_REARM
};
enum trace_sampler { SAMPLER_CHECK, SAMPLER_REGISTER, SAMPLER_PRESET };
enum trace_driver { DRIVER_PART, DRIVER_PROBE, DRIVER_BENCH };
enum trace_watchdog {
  WATCHDOG_STARTED,
  WATCHDOG_FED,
  WATCHDOG_EXPIRED,
  WATCHDOG_TOO_EARLY
};
enum trace_sleep { SLEEP_ENTERED, SLEEP_WOKEN_BY_PIN, SLEEP_WOKEN_BY_TIMER };
enum trace_refusal {
  REFUSAL_LOCKED,
  REFUSAL_BUSY,
  REFUSAL_WRONG_KEY,
  REFUSAL_ALIGNMENT,
  REFUSAL_NOT_ERASED,
  REFUSAL_ADDRESS,
  REFUSAL_PROTECTED
};
enum trace_obstacle {
  OBSTACLE_NO_POWER,
  OBSTACLE_IN_RESET,
  OBSTACLE_NOT_ATTACHED,
  OBSTACLE_RUNNING,
  OBSTACLE_NO_REGISTER,
  OBSTACLE_OUTSIDE,
  OBSTACLE_REFUSED,
  OBSTACLE_ASLEEP,
  OBSTACLE_PINS_TAKEN,
  OBSTACLE_ROM,
  OBSTACLE_NO_LINE,
  OBSTACLE_LOST
};
/* What the probe does: the actions of a `probe` step, then what a `write` and
 * a `reload` step have it do. */
enum trace_action {
  ACTION_ATTACH,
  ACTION_DETACH,
  ACTION_HALT,
  ACTION_GO,
  ACTION_READ,
  ACTION_ERASE,
  ACTION_WRITE,
  ACTION_RELOAD,
  ACTION_STEP,
  ACTION_SET,
  ACTION_RESET,
  ACTION_START, /* detail: where execution goes on */
  ACTION_LOADER /* detail: 1 it is put into RAM, 0 all is as it was */
};
/* What a serial port loses: a character that came too early, one whose stop
 * bit was low. */
enum trace_loss { LOSS_OVERRUN, LOSS_BROKEN };
enum trace_request {
#define X(name, word, sentence) REQUEST_##name,
#include "describe/requests.def"
#undef X
  REQUEST_COUNT_
};
enum trace_reply {
#define X(name, word, sentence) REPLY_##name,
#include "describe/replies.def"
#undef X
  REPLY_COUNT_
};
enum trace_stop { STOP_TRACE_LIMIT, STOP_INSTRUCTION_LIMIT, STOP_TIME_LIMIT };
/* Pin states: what the part does with it. */
enum trace_drive { PIN_RELEASED, PIN_DRIVEN_LOW, PIN_DRIVEN_HIGH };

/* True where falling through it resets the part. */
static inline bool threshold_resets(uint32_t t)
{
  return t == THRESHOLD_BROWN_OUT_FALL || t == THRESHOLD_ON_FALL;
}

const char *trace_word(const char *format, uint32_t value);

#endif

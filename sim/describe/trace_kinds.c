#include "describe/trace_kinds.h"

#include <stddef.h>
#include <string.h>

#include "describe/names.h"
#include "describe/residue.h"

const struct trace_kind_info trace_kinds[TRACE_KIND_COUNT_] = {
#define X(name, text, a, b) [TRACE_##name] = {text, a, b},
#include "describe/trace_kinds.def"
#undef X
};

static const char *const level_words[] = {"low", "high", NULL};

static const char *const threshold_words[] = {
    [THRESHOLD_BROWN_OUT_RISE] = "brown-out-rise",
    [THRESHOLD_BROWN_OUT_FALL] = "brown-out-fall",
    [THRESHOLD_ON_RISE] = "on-rise",
    [THRESHOLD_ON_FALL] = "on-fall",
    [THRESHOLD_RAM_KEEP] = "ram-keep",
    [THRESHOLD_REARM] = "rearm",
    NULL,
};

static const char *const sampler_words[] = {
    [SAMPLER_CHECK] = "check",
    [SAMPLER_REGISTER] = "register",
    [SAMPLER_PRESET] = "preset",
    NULL,
};

static const char *const driver_words[] = {
    [DRIVER_PART] = "part",
    [DRIVER_PROBE] = "probe",
    [DRIVER_BENCH] = "bench",
    NULL,
};

static const char *const watchdog_words[] = {
    [WATCHDOG_STARTED] = "started",
    [WATCHDOG_FED] = "fed",
    [WATCHDOG_EXPIRED] = "expired",
    [WATCHDOG_TOO_EARLY] = "fed-too-early",
    NULL,
};

static const char *const sleep_words[] = {
    [SLEEP_ENTERED] = "entered",
    [SLEEP_WOKEN_BY_PIN] = "woken-by-pin",
    [SLEEP_WOKEN_BY_TIMER] = "woken-by-timer",
    NULL,
};

static const char *const refusal_words[] = {
    [REFUSAL_LOCKED] = "locked",         [REFUSAL_BUSY] = "busy",
    [REFUSAL_WRONG_KEY] = "wrong-key",   [REFUSAL_ALIGNMENT] = "alignment",
    [REFUSAL_NOT_ERASED] = "not-erased", [REFUSAL_ADDRESS] = "address",
    [REFUSAL_PROTECTED] = "protected",   NULL,
};

static const char *const obstacle_words[] = {
    [OBSTACLE_NO_POWER] = "no-power",
    [OBSTACLE_IN_RESET] = "in-reset",
    [OBSTACLE_NOT_ATTACHED] = "not-attached",
    [OBSTACLE_RUNNING] = "running",
    [OBSTACLE_NO_REGISTER] = "no-register",
    [OBSTACLE_OUTSIDE] = "outside",
    [OBSTACLE_REFUSED] = "refused",
    [OBSTACLE_ASLEEP] = "asleep",
    [OBSTACLE_PINS_TAKEN] = "pins-taken",
    [OBSTACLE_ROM] = "rom",
    [OBSTACLE_NO_LINE] = "no-line",
    [OBSTACLE_LOST] = "lost",
    NULL,
};

static const char *const action_words[] = {
    [ACTION_ATTACH] = "attach", [ACTION_DETACH] = "detach",
    [ACTION_HALT] = "halt",     [ACTION_GO] = "go",
    [ACTION_READ] = "read",     [ACTION_ERASE] = "erase",
    [ACTION_WRITE] = "write",   [ACTION_RELOAD] = "reload",
    [ACTION_STEP] = "step",     [ACTION_SET] = "set",
    [ACTION_RESET] = "reset",   [ACTION_START] = "start",
    [ACTION_LOADER] = "loader", NULL,
};

static const char *const loss_words[] = {
    [LOSS_OVERRUN] = "overrun",
    [LOSS_BROKEN] = "broken",
    NULL,
};

static const char *const stop_words[] = {
    [STOP_TRACE_LIMIT] = "trace-limit",
    [STOP_INSTRUCTION_LIMIT] = "instruction-limit",
    [STOP_TIME_LIMIT] = "time-limit",
    NULL,
};

static const char *const pin_words[] = {
    [PIN_RELEASED] = "released",
    [PIN_DRIVEN_LOW] = "low",
    [PIN_DRIVEN_HIGH] = "high",
    NULL,
};

/* Three enumerations of blocks that stand above this folder: enum core_mode,
 * enum boot_phase, enum flash_op. tests/test_names.c holds them together. */
static const char *const mode_words[] = {
    "off", "held", "running", "sleeping", "halted", "lockup", NULL};

static const char *const phase_words[] = {"off",     "held",    "options",
                                          "check",   "line",    "straps",
                                          "vectors", "running", NULL};

static const char *const op_words[] = {
    "idle",           "program",       "erase-page", "erase-all",
    "program-option", "unlock-option", "erase-bank", NULL};

static const char *const granule_words[] = {"erased", "good", "corrected",
                                            "bad", NULL};

/* By exception number, ARM DDI 0419E Table B1-3; reserved ones have none. */
#define NO_WORD ""
static const char *const exception_words[] = {
    NO_WORD,  "Reset",   "NMI",   "HardFault", NO_WORD,  NO_WORD, NO_WORD,
    NO_WORD,  NO_WORD,   NO_WORD, NO_WORD,     "SVCall", NO_WORD, NO_WORD,
    "PendSV", "SysTick", "IRQ0",  "IRQ1",      "IRQ2",   "IRQ3",  "IRQ4",
    "IRQ5",   "IRQ6",    "IRQ7",  "IRQ8",      "IRQ9",   "IRQ10", "IRQ11",
    "IRQ12",  "IRQ13",   "IRQ14", "IRQ15",     "IRQ16",  "IRQ17", "IRQ18",
    "IRQ19",  "IRQ20",   "IRQ21", "IRQ22",     "IRQ23",  "IRQ24", "IRQ25",
    "IRQ26",  "IRQ27",   "IRQ28", "IRQ29",     "IRQ30",  "IRQ31", NULL};

static const struct {
  const char *format;
  const char *const *words;
} lists[] = {
    {"cause", cause_words},         {"verb", verb_words},
    {"latch", latch_words},         {"role", role_words},
    {"action", action_words},       {"level", level_words},
    {"drive", pin_words},           {"threshold", threshold_words},
    {"sampler", sampler_words},     {"driver", driver_words},
    {"refusal", refusal_words},     {"obstacle", obstacle_words},
    {"stop", stop_words},           {"mode", mode_words},
    {"phase", phase_words},         {"op", op_words},
    {"exception", exception_words}, {"register", core_register_words},
    {"torn", torn_words},           {"granule", granule_words},
    {"loss", loss_words},           {"request", request_words},
    {"reply", reply_words},         {"watchdog", watchdog_words},
    {"sleep", sleep_words},         {"residue", residue_words},
};

/* NULL where the list is shorter. */
static const char *nth(const char *const *words, uint32_t n)
{
  for (; *words && n > 0; n--) {
    words++;
  }
  return *words && **words ? *words : NULL;
}

const char *trace_word(const char *format, uint32_t value)
{
  for (size_t i = 0; i < sizeof lists / sizeof lists[0]; i++) {
    if (strcmp(lists[i].format, format) == 0)
      return nth(lists[i].words, value);
  }
  return NULL;
}

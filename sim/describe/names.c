#include "describe/names.h"

#include <assert.h>

#include "describe/result.h"

/* The same length as the enumeration, and a NULL. */
#define MATCHES(words, count)                                                 \
  _Static_assert(sizeof(words) / sizeof((words)[0]) == (count) + 1,           \
                 "one word for each value")

/* --- tables in files of their own ---------------------------------------- */

const char *const cause_words[] = {
#define X(name, word, sentence) word,
#include "describe/causes.def"
#undef X
    NULL};

static const char *const cause_sentences[] = {
#define X(name, word, sentence) sentence,
#include "describe/causes.def"
#undef X
};

const char *const verb_words[] = {
#define X(name, word, sentence) word,
#include "describe/verbs.def"
#undef X
    NULL};

static const char *const verb_sentences[] = {
#define X(name, word, sentence) sentence,
#include "describe/verbs.def"
#undef X
};

const char *const request_words[] = {
#define X(name, word, sentence) word,
#include "describe/requests.def"
#undef X
    NULL};

const char *const reply_words[] = {
#define X(name, word, sentence) word,
#include "describe/replies.def"
#undef X
    NULL};

static const char *const reply_sentences[] = {
#define X(name, word, sentence) sentence,
#include "describe/replies.def"
#undef X
};

const char *const role_words[] = {"none",
#define X(name, word, phase, reading, writing) word,
#include "describe/roles.def"
#undef X
                                  NULL};

static const struct {
  const char *key, *words[2], *sentence;
} columns[] = {
#define X(name, key, yes, no, sentence) {key, {no, yes}, sentence},
#include "describe/reset_columns.def"
#undef X
};

static const struct {
  const char *word, *sentence;
} findings[] = {
#define X(name, word, sentence) {word, sentence},
#include "describe/findings.def"
#undef X
};

/* --- tables of a few words ----------------------------------------------- */

const char *const outcome_words[] = {
    [OUTCOME_RUNNING] = "running",   [OUTCOME_WAITING] = "waiting",
    [OUTCOME_SLEEPING] = "sleeping", [OUTCOME_HALTED] = "halted",
    [OUTCOME_LOCKUP] = "lockup",     [OUTCOME_RESET] = "reset",
    [OUTCOME_EXITED] = "exited",     [OUTCOME_HANDOVER] = "handover",
    [OUTCOME_OFF] = "off",           [OUTCOME_COUNT_] = NULL,
};

static const char *const section_words[] = {
    [SECTION_CORE] = "core",         [SECTION_CLOCK] = "clock",
    [SECTION_MEMORY] = "memory",     [SECTION_POWER] = "power",
    [SECTION_BOOT] = "boot",         [SECTION_RESET] = "resets",
    [SECTION_OPTIONS] = "options",   [SECTION_FLASH] = "flash",
    [SECTION_PINS] = "pins",         [SECTION_PROBE] = "probe",
    [SECTION_WATCHDOG] = "watchdog", [SECTION_DEEP_SLEEP] = "deep_sleep",
    [SECTION_COUNT_] = NULL,
};

static const char *const source_words[] = {
    [SOURCE_ASSUMED] = "assumed",
    [SOURCE_COMMON_PRACTICE] = "common practice",
    [SOURCE_PUBLISHED] = "published",
    NULL,
};

const char *const latch_words[] = {"blank", "programmed", NULL};

const char *const core_kind_words[] = {
    [CORE_KIND_M0] = "cortex-m0",   [CORE_KIND_M0PLUS] = "cortex-m0+",
    [CORE_KIND_M3] = "cortex-m3",   [CORE_KIND_M4] = "cortex-m4",
    [CORE_KIND_M4F] = "cortex-m4f", NULL};

const char *const memory_kind_words[] = {[MEMORY_FLASH] = "flash",
                                         [MEMORY_ROM] = "rom",
                                         [MEMORY_RAM] = "ram",
                                         [MEMORY_INFO] = "info",
                                         NULL};

const char *const unknown_words[] = {[UNKNOWN_LEARN] = "learn",
                                     [UNKNOWN_ZERO] = "zero",
                                     [UNKNOWN_FAULT] = "fault",
                                     NULL};

const char *const answer_when_words[] = {[ANSWER_ALWAYS] = "always",
                                         [ANSWER_POLLED] = "polled",
                                         [ANSWER_OUTSIDE] = "outside",
                                         NULL};

const char *const torn_words[] = {[TORN_OLD] = "old",
                                  [TORN_NEW] = "new",
                                  [TORN_PART] = "part",
                                  [TORN_ONES] = "ones",
                                  [TORN_ZEROS] = "zeros",
                                  [TORN_WEAK] = "weak",
                                  NULL};

const char *const while_busy_words[] = {
    [WHILE_BUSY_STALL] = "stall", [WHILE_BUSY_FAULT] = "fault", NULL};

const char *const integrity_words[] = {[INTEGRITY_NONE] = "none",
                                       [INTEGRITY_COMPLEMENT] = "complement",
                                       [INTEGRITY_CHECKSUM] = "checksum",
                                       NULL};

const char *const blank_held_words[] = {[BLANK_NONE] = "none",
                                        [BLANK_LATCHED] = "latched",
                                        [BLANK_AFRESH] = "afresh",
                                        NULL};

const char *const access_words[] = {[ACCESS_RW] = "rw",
                                    [ACCESS_RO] = "ro",
                                    [ACCESS_WO] = "wo",
                                    [ACCESS_W1C] = "w1c",
                                    [ACCESS_W1S] = "w1s",
                                    [ACCESS_RC] = "rc",
                                    NULL};

const char *const net_level_words[] = {
    [NET_GROUND] = "ground", [NET_SUPPLY] = "supply", NULL};

const char *const driver_kind_words[] = {"push-pull", "open-drain", NULL};

const char *const never_words[] = {
    [NEVER_ROM_RUNS] = "rom runs",     [NEVER_PIN_DRIVEN] = "pin driven",
    [NEVER_CONTENTION] = "contention", [NEVER_START_IN] = "start in",
    [NEVER_LOCKUP] = "lockup",         NULL};

const char *const power_words[] = {
    [POWER_ON] = "on", [POWER_OFF] = "off", [POWER_DIP] = "dip", NULL};

const char *const erase_words[] = {
    [ERASE_PAGES] = "pages", [ERASE_ALL] = "all", [ERASE_NONE] = "none", NULL};

const char *const order_words[] = {[ORDER_ASCENDING] = "ascending",
                                   [ORDER_VECTORS_FIRST] = "vectors-first",
                                   [ORDER_VECTORS_LAST] = "vectors-last",
                                   NULL};

const char *const probe_words[] = {
    [PROBE_ATTACH] = "attach",       [PROBE_DETACH] = "detach",
    [PROBE_HALT] = "halt",           [PROBE_GO] = "go",
    [PROBE_READ] = "read",           [PROBE_ERASE] = "erase",
    [PROBE_STEP] = "step",           [PROBE_SET] = "set",
    [PROBE_REGISTERS] = "registers", [PROBE_RESET] = "reset",
    [PROBE_START] = "start",         NULL};

const char *const core_register_words[] = {
    "r0",   "r1",  "r2",  "r3",      "r4",      "r5",      "r6",        "r7",
    "r8",   "r9",  "r10", "r11",     "r12",     "sp",      "lr",        "pc",
    "xpsr", "msp", "psp", "primask", "control", "basepri", "faultmask", NULL};

const char *const attach_words[] = {[ATTACH_RUNNING] = "running",
                                    [ATTACH_HELD] = "held",
                                    [ATTACH_PULSED] = "pulsed",
                                    NULL};

const char *const reset_way_words[] = {[RESET_BY_LINE] = "line",
                                       [RESET_BY_REQUEST] = "request",
                                       [RESET_OF_CORE] = "core",
                                       NULL};

const char *const drive_words[] = {[DRIVE_LOW] = "low",
                                   [DRIVE_HIGH] = "high",
                                   [DRIVE_RELEASE] = "release",
                                   NULL};

MATCHES(cause_words, CAUSE_COUNT_);
MATCHES(verb_words, VERB_COUNT_);
MATCHES(role_words, ROLE_COUNT_);
MATCHES(outcome_words, OUTCOME_COUNT_);
MATCHES(never_words, NEVER_COUNT_);
MATCHES(section_words, SECTION_COUNT_);

/* ------------------------------------------------------------------------- */

const char *cause_word(enum cause c)
{
  assert(c < CAUSE_COUNT_);
  return cause_words[c];
}

const char *cause_sentence(enum cause c)
{
  assert(c < CAUSE_COUNT_);
  return cause_sentences[c];
}

const char *verb_word(enum verb v)
{
  assert(v < VERB_COUNT_);
  return verb_words[v];
}

const char *verb_sentence(enum verb v)
{
  assert(v < VERB_COUNT_);
  return verb_sentences[v];
}

const char *outcome_word(enum outcome o)
{
  assert(o < OUTCOME_COUNT_);
  return outcome_words[o];
}

const char *request_word(enum trace_request r)
{
  assert(r < REQUEST_COUNT_);
  return request_words[r];
}

const char *reply_word(enum trace_reply r)
{
  assert(r < REPLY_COUNT_);
  return reply_words[r];
}

const char *reply_sentence(enum trace_reply r)
{
  assert(r < REPLY_COUNT_);
  return reply_sentences[r];
}

const char *role_word(enum role r)
{
  assert(r < ROLE_COUNT_);
  return role_words[r];
}

const char *memory_kind_word(enum memory_kind k)
{
  assert(k <= MEMORY_INFO);
  return memory_kind_words[k];
}

const char *source_word(enum source s)
{
  assert(s <= SOURCE_PUBLISHED);
  return source_words[s];
}

const char *section_word(enum part_section s)
{
  assert(s < SECTION_COUNT_);
  return section_words[s];
}

const char *latch_word(bool programmed)
{
  return latch_words[programmed];
}

const char *column_key(enum reset_column c)
{
  assert(c < RESET_COLUMN_COUNT_);
  return columns[c].key;
}

const char *column_word(enum reset_column c, bool does)
{
  assert(c < RESET_COLUMN_COUNT_);
  return columns[c].words[does];
}

const char *column_sentence(enum reset_column c)
{
  assert(c < RESET_COLUMN_COUNT_);
  return columns[c].sentence;
}

const char *finding_word(enum finding_kind kind)
{
  assert(kind < FINDING_COUNT_);
  return findings[kind].word;
}

const char *finding_sentence(enum finding_kind kind)
{
  assert(kind < FINDING_COUNT_);
  return findings[kind].sentence;
}

const char *power_cycle_word(enum power_cycle_answer a)
{
  static const char *const words[] = {
      [POWER_CYCLE_POWER_ON] = "power-on",
      [POWER_CYCLE_BROWN_OUT] = "brown-out",
      [POWER_CYCLE_UNNOTICED] = "unnoticed",
      [POWER_CYCLE_OPEN] = "open",
  };
  assert(a <= POWER_CYCLE_OPEN);
  return words[a];
}

/* Words of enumerations: complete, different, and those of the vocabulary. */
#include "rows.h"

#include <string.h>

#include "chip/boot.h"
#include "chip/flash.h"
#include "core/core.h"
#include "describe/names.h"
#include "describe/newcomer.h"
#include "describe/result.h"
#include "describe/trace_kinds.h"

static size_t length_of(const char *const *words)
{
  size_t length = 0;
  while (words[length]) {
    length++;
  }
  return length;
}

static const struct list_row {
  const char *name;
  const char *const *words;
  size_t count;
} list_rows[] = {
    {"causes", cause_words, CAUSE_COUNT_},
    {"outcomes", outcome_words, OUTCOME_COUNT_},
    {"roles", role_words, ROLE_COUNT_},
    {"verbs", verb_words, VERB_COUNT_},
    {"latch", latch_words, 2},
    {"cores", core_kind_words, CORE_KIND_M4F + 1},
    {"memories", memory_kind_words, MEMORY_INFO + 1},
    {"unknown registers", unknown_words, UNKNOWN_FAULT + 1},
    {"answers", answer_when_words, ANSWER_OUTSIDE + 1},
    {"blank check", blank_held_words, BLANK_AFRESH + 1},
    {"access", access_words, ACCESS_RC + 1},
    {"levels of nets", net_level_words, NET_SUPPLY + 1},
    {"never", never_words, NEVER_COUNT_},
    {"power", power_words, POWER_DIP + 1},
    {"erase", erase_words, ERASE_NONE + 1},
    {"probe", probe_words, PROBE_START + 1},
    {"attach", attach_words, ATTACH_PULSED + 1},
    {"resets by the probe", reset_way_words, RESET_OF_CORE + 1},
    {"drivers", driver_kind_words, 2},
    {"drive", drive_words, DRIVE_RELEASE + 1},
};

static void list_row(void **state)
{
  const struct list_row *r = *state;
  assert_int_equal(length_of(r->words), r->count);
  for (size_t b = 0; b < r->count; b++) {
    assert_true(r->words[b][0] != '\0');
    for (size_t a = 0; a < b; a++) {
      assert_string_not_equal(r->words[a], r->words[b]);
    }
  }
}

static void words_are_those_of_the_vocabulary(void **state)
{
  (void)state;
  assert_string_equal(cause_word(CAUSE_OPTION_RELOAD), "option_reload");
  assert_string_equal(verb_word(VERB_EXPECT), "expect");
  assert_string_equal(outcome_word(OUTCOME_WAITING), "waiting");
  assert_string_equal(role_word(ROLE_NONE), "none");
  assert_string_equal(role_word(ROLE_LATCH), "latch");
  assert_string_equal(memory_kind_word(MEMORY_ROM), "rom");
  assert_string_equal(source_word(SOURCE_COMMON_PRACTICE), "common practice");
  assert_string_equal(section_word(SECTION_RESET), "resets");
  assert_string_equal(latch_word(true), "programmed");
  assert_string_equal(latch_word(false), "blank");
  assert_string_equal(finding_word(FINDING_STALE_LATCH), "stale-latch");
}

static void a_column_has_a_key_and_two_words(void **state)
{
  (void)state;
  assert_string_equal(column_key(RESET_LATCH), "latch");
  assert_string_equal(column_word(RESET_LATCH, true), "sample");
  assert_string_equal(column_word(RESET_LATCH, false), "keep");
  assert_string_equal(column_word(RESET_LINE, false), "leave");
}

static void everything_has_its_sentence(void **state)
{
  (void)state;
  for (enum cause c = 0; c < CAUSE_COUNT_; c++) {
    assert_non_null(strchr(cause_sentence(c), ' '));
  }
  for (enum verb v = 0; v < VERB_COUNT_; v++) {
    assert_non_null(strchr(verb_sentence(v), ' '));
  }
  for (enum reset_column c = 0; c < RESET_COLUMN_COUNT_; c++) {
    assert_non_null(strchr(column_sentence(c), ' '));
  }
  for (enum finding_kind k = 0; k < FINDING_COUNT_; k++) {
    assert_non_null(strchr(finding_sentence(k), ' '));
  }
}

/* --- trace kinds --------------------------------------------------------- */

static const struct word_row {
  const char *name;
  const char *format;
  uint32_t value;
  const char *word;
} word_rows[] = {
    {"a cause", "cause", CAUSE_PIN, "pin"},
    {"a level", "level", 1, "high"},
    {"a drive", "drive", PIN_DRIVEN_LOW, "low"},
    {"an action of a probe step", "action", ACTION_GO, "go"},
    {"an action of another step", "action", ACTION_RELOAD, "reload"},
    {"a threshold", "threshold", THRESHOLD_REARM, "rearm"},
    {"an obstacle", "obstacle", OBSTACLE_IN_RESET, "in-reset"},
    {"a refusal", "refusal", REFUSAL_NOT_ERASED, "not-erased"},
    {"the last word of a list", "stop", STOP_TIME_LIMIT, "time-limit"},
    {"one behind the last", "stop", STOP_TIME_LIMIT + 1, NULL},
    {"any number", "stop", UINT32_MAX, NULL},
    {"a format that is no list", "hex", 0, NULL},
    /* ARM DDI 0419E Table B1-3 */
    {"HardFault", "exception", 3, "HardFault"},
    {"SVCall", "exception", 11, "SVCall"},
    {"PendSV", "exception", 14, "PendSV"},
    {"SysTick", "exception", 15, "SysTick"},
    {"the first interrupt", "exception", 16, "IRQ0"},
    {"the last interrupt", "exception", 47, "IRQ31"},
    {"a reserved exception", "exception", 4, NULL},
    /* Enumerations of blocks above the description, in their order. */
    {"core off", "mode", CORE_OFF, "off"},
    {"core running", "mode", CORE_RUNNING, "running"},
    {"core sleeping", "mode", CORE_SLEEPING, "sleeping"},
    {"core halted", "mode", CORE_HALTED, "halted"},
    {"core in lockup", "mode", CORE_LOCKUP, "lockup"},
    {"no further mode", "mode", CORE_LOCKUP + 1, NULL},
    {"boot held", "phase", BOOT_HELD, "held"},
    {"boot loads options", "phase", BOOT_OPTIONS, "options"},
    {"boot checks", "phase", BOOT_CHECK, "check"},
    {"boot waits for the line", "phase", BOOT_LINE, "line"},
    {"boot samples straps", "phase", BOOT_STRAPS, "straps"},
    {"boot fetches vectors", "phase", BOOT_VECTORS, "vectors"},
    {"boot is done", "phase", BOOT_RUNNING, "running"},
    {"no further phase", "phase", BOOT_RUNNING + 1, NULL},
    {"flash programs", "op", FLASH_PROGRAM, "program"},
    {"flash erases a page", "op", FLASH_ERASE_PAGE, "erase-page"},
    {"flash erases all", "op", FLASH_ERASE_ALL, "erase-all"},
    {"flash programs an option", "op", FLASH_PROGRAM_OPTION, "program-option"},
    {"flash unlocks and programs an option", "op", FLASH_UNLOCK_OPTION,
     "unlock-option"},
    {"flash erases a bank", "op", FLASH_ERASE_BANK, "erase-bank"},
    {"no further operation", "op", FLASH_ERASE_BANK + 1, NULL},
};

static void word_row(void **state)
{
  const struct word_row *r = *state;
  const char *word = trace_word(r->format, r->value);
  if (!r->word) {
    assert_null(word);
    return;
  }
  assert_non_null(word);
  assert_string_equal(word, r->word);
}

/* "name:format" or "-"; kinds have different words. */
static void every_kind_is_described(void **state)
{
  (void)state;
  for (size_t k = 0; k < TRACE_KIND_COUNT_; k++) {
    const struct trace_kind_info *kind = &trace_kinds[k];
    const char *arguments[] = {kind->a, kind->b};
    for (size_t i = 0; i < 2; i++) {
      const char *colon = strchr(arguments[i], ':');
      assert_true(colon ? colon > arguments[i] && colon[1] != '\0'
                        : strcmp(arguments[i], "-") == 0);
    }
    for (size_t other = 0; other < k; other++) {
      assert_string_not_equal(kind->text, trace_kinds[other].text);
    }
  }
}

static void is_a_sentence(const char *name, const char *text)
{
  if (!text) fail_msg("%s: newcomer.inc has no sentence", name);
  assert_true(text[0] >= 'A' && text[0] <= 'Z');
  assert_int_equal(text[strlen(text) - 1], '.');
}

static void newcomers_have_a_sentence_for_everything(void **state)
{
  (void)state;
  for (unsigned i = 0; i < FINDING_COUNT_; i++) {
    is_a_sentence(finding_word((enum finding_kind)i),
                  finding_newcomer((enum finding_kind)i));
  }
  for (unsigned i = 0; i < CAUSE_COUNT_; i++) {
    is_a_sentence(cause_word((enum cause)i), cause_newcomer((enum cause)i));
  }
}

int main(void)
{
  static const struct CMUnitTest singles[] = {
      cmocka_unit_test(newcomers_have_a_sentence_for_everything),
      cmocka_unit_test(words_are_those_of_the_vocabulary),
      cmocka_unit_test(a_column_has_a_key_and_two_words),
      cmocka_unit_test(everything_has_its_sentence),
      cmocka_unit_test(every_kind_is_described),
  };
  struct CMUnitTest tests[ROWS_COUNT(list_rows) + ROWS_COUNT(word_rows)];
  size_t count = ROWS_ADD(tests, list_row, list_rows);
  ROWS_ADD(tests + count, word_row, word_rows);
  int failed = cmocka_run_group_tests_name("words", tests, NULL, NULL);
  return failed + cmocka_run_group_tests_name("singles", singles, NULL, NULL);
}

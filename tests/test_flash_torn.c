/* What an order leaves that is cut short: each kind that a part may declare,
 * and what ECC makes of it. */
#include <string.h>

#include "chip/chip_cells.h"
#include "flash_fixture.h"

#define GOAL 0x12345678u

/* A chip whose cut orders leave `kind`, and, if one is chosen, `other`. */
static void begin_torn(uint32_t unit, bool ecc, enum torn kind)
{
  const struct part_torn torn = {.kinds = {kind, TORN_OLD}, .count = 2};
  bench.part = register_part(registers, ROWS_COUNT(registers), unit);
  bench.part.flash.ecc = ecc;
  bench.part.flash.torn_program = torn;
  bench.part.flash.torn_erase = torn;
  bench.part.flash.torn_options = torn;
  bench.cpu = (struct cpu){.ops = &idle_cpu_ops};
  bench.cycle = 0;
  kept_init(&bench.trace);
  chip_init(&bench.chip, &bench.part, &bench.trace, &bench.cpu);
  write_word(&bench, KEY, 0x13579bdf);
}

static struct moment now(void)
{
  return chip_moment(&bench.chip, (ps_t)bench.cycle * CYCLE_PS);
}

static void cut(void)
{
  bench.cycle += 80; /* 10 us: inside every order */
  assert_true(flash_busy(&bench.chip.flash));
  chip_cut_flash(&bench.chip, false, now());
  assert_false(flash_busy(&bench.chip.flash));
}

static void program(addr_t at, uint32_t low, uint32_t high)
{
  write_word(&bench, DATA, low);
  write_word(&bench, DATA + 4, high);
  give(at, PROGRAM);
}

/* Every bit is the one or the other. */
static bool between(uint32_t word, uint32_t a, uint32_t b)
{
  return ((word ^ a) & (word ^ b)) == 0;
}

/* --- each kind ----------------------------------------------------------- */

static const struct kind_row {
  const char *name;
  enum torn kind;
  uint32_t program, erase; /* of 0x12345678, erased before or after */
} kinds[] = {
    {"old: nothing has happened", TORN_OLD, UINT32_MAX, GOAL},
    {"new: it was done", TORN_NEW, GOAL, UINT32_MAX},
    {"all ones", TORN_ONES, UINT32_MAX, UINT32_MAX},
    {"all zeros", TORN_ZEROS, 0, 0},
    {"weak: it reads as done", TORN_WEAK, GOAL, UINT32_MAX},
};

static void kind_row(void **state)
{
  const struct kind_row *r = *state;
  begin_torn(4, false, r->kind);
  program(FLASH_AT + 8, GOAL, 0);
  cut();
  assert_int_equal(flash_word(FLASH_AT + 8), r->program);
  assert_int_equal(flash_word(FLASH_AT + 12), UINT32_MAX);
  const struct trace_record *t = kept_last(&bench.trace, TRACE_FLASH_LEFT);
  assert_true(t->a == r->kind && t->b == FLASH_AT + 8);
  register_bench_free(&bench);

  begin_torn(4, false, r->kind);
  program(FLASH_AT + 8, GOAL, 0);
  wait_until_free();
  program(FLASH_AT + 0x400, GOAL, 0);
  wait_until_free();
  give(FLASH_AT + 0x20, ERASE_PAGE);
  cut();
  assert_int_equal(flash_word(FLASH_AT + 8), r->erase);
  assert_int_equal(flash_word(FLASH_AT + 0x400), GOAL);
  register_bench_free(&bench);
}

static void in_part_each_bit_is_old_or_new(void **state)
{
  (void)state;
  uint32_t first = 0, differ = 0;
  for (unsigned round = 0; round < 2; round++) {
    begin_torn(4, false, TORN_PART);
    for (uint32_t i = 0; i < 16; i++) {
      program(FLASH_AT + 4 * i, 0, 0);
      cut();
      uint32_t word = flash_word(FLASH_AT + 4 * i);
      assert_true(word != 0 && word != UINT32_MAX);
      if (i == 3 && round == 0) first = word;
      if (i == 3 && round == 1) assert_int_equal(word, first);
      differ += word != first;
    }
    give(FLASH_AT, ERASE_PAGE);
    uint32_t before = flash_word(FLASH_AT);
    cut();
    assert_true(between(flash_word(FLASH_AT), before, UINT32_MAX));
    register_bench_free(&bench);
  }
  assert_true(differ > 16);
}

static void another_kind_can_be_chosen(void **state)
{
  (void)state;
  begin_torn(4, false, TORN_ZEROS);
  assert_int_equal(flash_torn_kinds(&bench.chip.flash, FLASH_PROGRAM), 2);
  bench.chip.flash.torn_choice = 1;
  program(FLASH_AT, GOAL, 0);
  cut();
  assert_int_equal(flash_word(FLASH_AT), UINT32_MAX);
  bench.chip.flash.torn_choice = 7; /* beyond the list: its last */
  program(FLASH_AT, GOAL, 0);
  cut();
  assert_int_equal(flash_word(FLASH_AT), UINT32_MAX);
  register_bench_free(&bench);
}

/* --- weak cells ---------------------------------------------------------- */

static void start_and_power_on(void)
{
  assert_true(chip_read_vectors(&bench.chip, now()));
  chip_fade_cells(&bench.chip, now());
}

/* Units of two words of zeros, each cut, until one has given way. */
static void weak_cells_give_way_at_a_power_on_behind_a_start(void **state)
{
  (void)state;
  begin_torn(4, false, TORN_WEAK);
  uint32_t faded = 0;
  for (uint32_t i = 0; i < 16; i++) {
    addr_t at = FLASH_AT + 4 * i;
    program(at, 0, 0);
    cut();
    chip_fade_cells(&bench.chip, now()); /* none has read it yet */
    assert_int_equal(flash_word(at), 0);
    start_and_power_on();
    faded += flash_word(at) != 0;
  }
  assert_in_range(faded, 4, 15);
  assert_int_equal(kept_count(&bench.trace, TRACE_FLASH_FADED), 16);
  register_bench_free(&bench);
}

static void what_was_written_since_is_not_weak(void **state)
{
  (void)state;
  begin_torn(4, false, TORN_WEAK);
  program(FLASH_AT, 0, 0);
  cut();
  give(FLASH_AT, ERASE_PAGE);
  cut();
  for (uint32_t i = 0; i < 16; i++) {
    program(FLASH_AT + 4 * i, GOAL, 0);
    wait_until_free();
  }
  start_and_power_on();
  uint32_t faded = 0;
  for (uint32_t i = 0; i < 16; i++)
    assert_int_equal(flash_word(FLASH_AT + 4 * i), GOAL);
  for (uint32_t i = 16; i < 256; i++)
    faded += flash_word(FLASH_AT + 4 * i) != UINT32_MAX;
  assert_true(faded > 0);
  register_bench_free(&bench);
}

/* --- ECC ----------------------------------------------------------------- */

/* Many granules that were left weak: of those with one bad bit reads are right
 * and counted, those with two can't be read, those with three may read wrong.
 */
static void ecc_corrects_one_bit_and_finds_more(void **state)
{
  (void)state;
  uint32_t corrected = 0, bad = 0, wrong = 0, value;
  begin_torn(8, true, TORN_WEAK);
  for (uint32_t i = 0; i < 64; i++) {
    addr_t at = FLASH_AT + 8 * i;
    program(at, GOAL, ~GOAL);
    cut();
    assert_true(chip_memory_read(&bench.chip, at, now().at, &value));
    assert_int_equal(value, GOAL);
    flash_see_weak(&bench.chip.flash);
    chip_fade_cells(&bench.chip, now());
    uint32_t before = bench.chip.flash.corrected;
    bool read = chip_memory_read(&bench.chip, at, now().at, &value);
    wrong += read && value != GOAL;
    corrected += bench.chip.flash.corrected - before;
    bad += !read;
    enum memory_granule worst = memory_worst(&bench.chip.memory, 0, 8 * i, 8);
    assert_int_equal(!read, worst == GRANULE_BAD);
  }
  assert_in_range(corrected, 5, 60);
  assert_in_range(bad, 5, 60);
  assert_true(wrong < corrected / 2);
  assert_int_equal(kept_count(&bench.trace, TRACE_ECC), corrected + bad);
  register_bench_free(&bench);
}

static const struct blank_row {
  const char *name;
  bool ecc, bad, ones; /* what the part takes for blank */
  enum torn left;      /* of a cut programming of zeros; NEW: all ones */
  bool blank;
} blanks[] = {
    {"programmed ones are not blank with ECC", true, false, false, TORN_NEW,
     false},
    {"unless the part takes them for it", true, false, true, TORN_NEW, true},
    {"without ECC nothing tells them from erased", false, false, false,
     TORN_NEW, true},
    {"what can't be read is programmed", true, false, false, TORN_PART, false},
    {"or blank, as the part has it", true, true, false, TORN_PART, true},
    {"cells that were left erased are blank", true, false, false, TORN_ONES,
     true},
    {"zeros are a code word, and not blank", true, true, true, TORN_ZEROS,
     false},
};

static void blank_row(void **state)
{
  const struct blank_row *r = *state;
  begin_torn(8, r->ecc, r->left);
  bench.part.blank_check.bad_is_blank = r->bad;
  bench.part.blank_check.ones_are_blank = r->ones;
  uint32_t word = r->left == TORN_NEW ? UINT32_MAX : 0;
  program(FLASH_AT, word, word);
  cut();
  assert_int_equal(chip_first_words_blank(&bench.chip, true, now()), r->blank);
  register_bench_free(&bench);
}

static void programmed_ones_take_no_second_programming_with_ecc(void **state)
{
  (void)state;
  begin_torn(8, true, TORN_OLD);
  program(FLASH_AT, UINT32_MAX, UINT32_MAX);
  wait_until_free();
  program(FLASH_AT, GOAL, GOAL);
  const struct trace_record *t = kept_last(&bench.trace, TRACE_FLASH_REFUSED);
  assert_true(t != NULL && t->a == REFUSAL_NOT_ERASED);
  give(FLASH_AT, ERASE_PAGE);
  wait_until_free();
  program(FLASH_AT, GOAL, GOAL);
  wait_until_free();
  assert_int_equal(flash_word(FLASH_AT), GOAL);
  register_bench_free(&bench);
}

static void vectors_that_cannot_be_corrected_are_told(void **state)
{
  (void)state;
  begin_torn(8, true, TORN_PART);
  bench.chip.vectors = FLASH_AT;
  assert_true(chip_read_vectors(&bench.chip, now()));
  program(FLASH_AT, 0, 0);
  cut();
  assert_false(chip_read_vectors(&bench.chip, now()));
  const struct trace_record *t = kept_last(&bench.trace, TRACE_ECC);
  assert_true(t->a == GRANULE_BAD && t->b == FLASH_AT);
  uint32_t code;
  assert_true(bus_peek(&bench.chip.bus, FLASH_AT + 2, 2, &code));
  assert_int_equal(code, MEMORY_BAD_CODE);
  register_bench_free(&bench);
}

int main(void)
{
  static const struct CMUnitTest singles[] = {
      cmocka_unit_test(in_part_each_bit_is_old_or_new),
      cmocka_unit_test(another_kind_can_be_chosen),
      cmocka_unit_test(weak_cells_give_way_at_a_power_on_behind_a_start),
      cmocka_unit_test(what_was_written_since_is_not_weak),
      cmocka_unit_test(ecc_corrects_one_bit_and_finds_more),
      cmocka_unit_test(programmed_ones_take_no_second_programming_with_ecc),
      cmocka_unit_test(vectors_that_cannot_be_corrected_are_told),
  };
  struct CMUnitTest tests[ROWS_COUNT(kinds) + ROWS_COUNT(blanks)];
  size_t n = ROWS_ADD(tests, kind_row, kinds);
  n += ROWS_ADD(tests + n, blank_row, blanks);
  assert_int_equal(n, ROWS_COUNT(tests));
  int failed = cmocka_run_group_tests_name("rows", tests, NULL, NULL);
  return failed + cmocka_run_group_tests_name("singles", singles, NULL, NULL);
}

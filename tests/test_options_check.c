/* The check over option cells: complement or checksum, fallback values, and a
 * write that is cut short. */
#include "chip/options.h"
#include "chip_fixture.h"
#include "rows.h"

static struct part_options part_with(enum integrity integrity)
{
  return (struct part_options){.integrity = integrity,
                               .words = {{.name = "start",
                                          .fields = {{.name = "source",
                                                      .lsb = 0,
                                                      .width = 8,
                                                      .factory = 0x11,
                                                      .fallback = 0xee}},
                                          .field_count = 1},
                                         {.name = "guard",
                                          .fields = {{.name = "lock",
                                                      .lsb = 4,
                                                      .width = 4,
                                                      .factory = 2,
                                                      .fallback = 0xd}},
                                          .field_count = 1}},
                               .word_count = 2};
}

static const struct moment now = {7, 8};

/* Word 0 is being written as 0x22 when it is cut; then all is loaded. */
static const struct tear_row {
  const char *name;
  enum integrity integrity;
  enum torn left;
  bool first, second; /* word 0, word 1: sound */
  uint32_t loaded;    /* of word 0, where it is sound */
} tears[] = {
    {"the old word is sound", INTEGRITY_COMPLEMENT, TORN_OLD, true, true,
     0x11},
    {"so is the new one", INTEGRITY_COMPLEMENT, TORN_NEW, true, true, 0x22},
    {"a weak one is, for now", INTEGRITY_COMPLEMENT, TORN_WEAK, true, true,
     0x22},
    {"a part of it is not", INTEGRITY_COMPLEMENT, TORN_PART, false, true, 0},
    {"all ones have no complement of ones", INTEGRITY_COMPLEMENT, TORN_ONES,
     false, true, 0},
    {"nor all zeros of zeros", INTEGRITY_COMPLEMENT, TORN_ZEROS, false, true,
     0},
    {"one checksum stands for both words", INTEGRITY_CHECKSUM, TORN_PART,
     false, false, 0},
    {"of ones too", INTEGRITY_CHECKSUM, TORN_ONES, false, false, 0},
    {"an old checksum fits old words", INTEGRITY_CHECKSUM, TORN_OLD, true,
     true, 0x11},
    {"and a new one new words", INTEGRITY_CHECKSUM, TORN_NEW, true, true,
     0x22},
    {"unchecked, whatever is left is loaded", INTEGRITY_NONE, TORN_ONES, true,
     true, UINT32_MAX},
};

static void tear_row(void **state)
{
  const struct tear_row *r = *state;
  const struct part_options part = part_with(r->integrity);
  struct options o;
  struct trace trace;
  kept_init(&trace);
  options_init(&o, &part);
  assert_true(options_sound(&o, 0) && options_sound(&o, 1));
  options_tear(&o, 0, 0x22, r->left, now, &trace);
  assert_int_equal(options_sound(&o, 0), r->first);
  assert_int_equal(options_sound(&o, 1), r->second);
  options_load(&o, now, &trace);
  assert_int_equal(o.active[0], r->first ? r->loaded : 0xee);
  assert_int_equal(o.active[1], r->second ? 0x20 : 0xd0);
  assert_int_equal(kept_count(&trace, TRACE_OPTION_FALLBACK),
                   !r->first + !r->second);
  const struct trace_record *t = kept_nth(&trace, TRACE_OPTION_FALLBACK, 0);
  if (t != NULL) assert_true(t->a == 0 && t->b == 0xee);
  trace_free(&trace);
}

static void a_write_mends_the_check(void **state)
{
  (void)state;
  for (enum integrity i = INTEGRITY_COMPLEMENT; i <= INTEGRITY_CHECKSUM; i++) {
    const struct part_options part = part_with(i);
    struct options o;
    struct trace trace;
    kept_init(&trace);
    options_init(&o, &part);
    options_tear(&o, 0, 0x22, TORN_PART, now, &trace);
    options_program(&o, 0, 0x33, now, &trace);
    options_load(&o, now, &trace);
    assert_int_equal(o.active[0], 0x33);
    assert_int_equal(o.active[1], 0x20);
    trace_free(&trace);
  }
}

/* From the words that options.h states, by hand: 0x11 + 0x20 = 0x31. */
static void the_check_is_what_it_is_said_to_be(void **state)
{
  (void)state;
  const struct part_options each = part_with(INTEGRITY_COMPLEMENT);
  const struct part_options one = part_with(INTEGRITY_CHECKSUM);
  struct options o;
  options_init(&o, &each);
  assert_int_equal(o.check[0], 0xffffffee);
  assert_int_equal(o.check[1], 0xffffffdf);
  options_init(&o, &one);
  assert_int_equal(o.check[0], 0xffffffce);
}

int main(void)
{
  static const struct CMUnitTest singles[] = {
      cmocka_unit_test(a_write_mends_the_check),
      cmocka_unit_test(the_check_is_what_it_is_said_to_be),
  };
  struct CMUnitTest tests[ROWS_COUNT(tears)];
  ROWS_ADD(tests, tear_row, tears);
  int failed = cmocka_run_group_tests_name("rows", tests, NULL, NULL);
  return failed + cmocka_run_group_tests_name("singles", singles, NULL, NULL);
}

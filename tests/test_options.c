/* Option words: cells, the copy that acts, and fields in any bits. */
#include <string.h>

#include "chip/options.h"
#include "chip_fixture.h"
#include "rows.h"

/* Bits beside the fields are 0 from the factory. */
static const struct part_options part = {
    .words =
        {{.name = "start",
          .fields = {{.name = "source", .lsb = 0, .width = 2, .factory = 1},
                     {.name = "guard", .lsb = 4, .width = 4, .factory = 0xa},
                     {.name = "top", .lsb = 31, .width = 1, .factory = 1}},
          .field_count = 3},
         {.name = "mark",
          .fields =
              {{.name = "all", .lsb = 0, .width = 32, .factory = 0xfedcba98}},
          .field_count = 1}},
    .word_count = 2,
};

static const struct moment now = {7, 8};

/* --- what a field is ----------------------------------------------------- */

static const struct field_row {
  const char *name;
  uint32_t word, field; /* of `part` */
  uint32_t before, setting, after;
} fields[] = {
    {"a field is replaced", 0, 1, 0x000000a0, 0x5, 0x00000050},
    {"its neighbours stay", 0, 1, 0xffffffff, 0x0, 0xffffff0f},
    {"the lowest bits too", 0, 0, 0xffffffff, 0x2, 0xfffffffe},
    {"the highest bit too", 0, 2, 0x7fffffff, 0x1, 0xffffffff},
    {"what does not fit is cut, not spilled", 0, 1, 0x00000000, 0x1f5,
     0x00000050},
    {"a field may be the whole word", 1, 0, 0x12345678, 0xffffffff,
     0xffffffff},
};

static void field_row(void **state)
{
  const struct field_row *r = *state;
  const struct part_option_field *f = &part.words[r->word].fields[r->field];
  assert_int_equal(options_with(f, r->before, r->setting), r->after);
  struct options o;
  struct trace trace;
  kept_init(&trace);
  options_init(&o, &part);
  options_program(&o, r->word, r->after, now, &trace);
  options_load(&o, now, &trace);
  uint32_t mask = (uint32_t)((UINT64_C(1) << f->width) - 1);
  assert_int_equal(options_field(&o, r->word, r->field), r->setting & mask);
  trace_free(&trace);
}

/* --- cells and the copy -------------------------------------------------- */

static void the_factory_fills_the_cells_and_loads_nothing(void **state)
{
  (void)state;
  struct options o;
  memset(&o, 0xff, sizeof o);
  options_init(&o, &part);
  assert_int_equal(o.cells[0], 0x800000a1);
  assert_int_equal(o.cells[1], 0xfedcba98);
  assert_int_equal(o.active[0], 0);
  assert_int_equal(o.active[1], 0);
}

static void a_load_copies_every_word_and_tells_each(void **state)
{
  (void)state;
  struct options o;
  struct trace trace;
  kept_init(&trace);
  options_init(&o, &part);
  options_load(&o, now, &trace);
  assert_int_equal(options_field(&o, 0, 0), 1);
  assert_int_equal(options_field(&o, 0, 1), 0xa);
  assert_int_equal(options_field(&o, 0, 2), 1);
  assert_int_equal(options_field(&o, 1, 0), 0xfedcba98);
  assert_int_equal(trace.kept_count, 2);
  const struct trace_record *t = kept_nth(&trace, TRACE_OPTION, 1);
  assert_true(t->a == 1 && t->b == 0xfedcba98 && t->at == 7 && t->cycle == 8);
  trace_free(&trace);
}

static void programming_acts_only_after_a_load(void **state)
{
  (void)state;
  struct options o;
  struct trace trace;
  kept_init(&trace);
  options_init(&o, &part);
  options_load(&o, now, &trace);
  options_program(&o, 0, 0x00000052, now, &trace);
  assert_int_equal(o.cells[0], 0x52);
  assert_int_equal(options_field(&o, 0, 0), 1);
  assert_int_equal(options_field(&o, 0, 1), 0xa);
  const struct trace_record *t = kept_last(&trace, TRACE_OPTION_CELL);
  assert_true(t->a == 0 && t->b == 0x52);
  options_load(&o, now, &trace);
  assert_int_equal(options_field(&o, 0, 0), 2);
  assert_int_equal(options_field(&o, 0, 1), 5);
  assert_int_equal(options_field(&o, 0, 2), 0);
  assert_int_equal(options_field(&o, 1, 0), 0xfedcba98);
  trace_free(&trace);
}

/* --- misuse -------------------------------------------------------------- */

static void a_word_that_is_not_there(void)
{
  struct options o;
  struct trace trace;
  trace_init(&trace, 1);
  options_init(&o, &part);
  options_program(&o, 2, 0, now, &trace);
}

static const struct misuse_row misuses[] = {
    {"programming a word that the part lacks stops the program",
     a_word_that_is_not_there},
};

int main(void)
{
  static const struct CMUnitTest singles[] = {
      cmocka_unit_test(the_factory_fills_the_cells_and_loads_nothing),
      cmocka_unit_test(a_load_copies_every_word_and_tells_each),
      cmocka_unit_test(programming_acts_only_after_a_load),
  };
  struct CMUnitTest tests[ROWS_COUNT(fields) + ROWS_COUNT(misuses)];
  size_t n = ROWS_ADD(tests, field_row, fields);
  n += ROWS_ADD(tests + n, misuse_row, misuses);
  assert_int_equal(n, ROWS_COUNT(tests));
  int failed = cmocka_run_group_tests_name("rows", tests, NULL, NULL);
  return failed + cmocka_run_group_tests_name("singles", singles, NULL, NULL);
}

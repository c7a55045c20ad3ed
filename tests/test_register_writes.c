/* What one write of a register does, and in which order; the latch behind its
 * key. */
#include "register_fixture.h"
#include "rows.h"

/* A field "LSB, WIDTH, ACCESS" without a role. */
#define PLAIN(lsb_, width_, access_)                                          \
  {                                                                           \
    .name = "plain", .lsb = (lsb_), .width = (width_),                        \
    .access = ACCESS_##access_                                                \
  }

#define ROLE(lsb_, width_, access_, role_)                                    \
  {                                                                           \
    .name = "role", .lsb = (lsb_), .width = (width_),                         \
    .access = ACCESS_##access_, .role = ROLE_##role_                          \
  }

/* --- one write, three passes --------------------------------------------- */

/* Bits 31 order, 23:8 data, 7:0 key. The order of the fields in the file must
 * not matter. */
#define KEY_FIELD                                                             \
  {                                                                           \
    .lsb = 0, .width = 8, .access = ACCESS_WO, .role = ROLE_FLASH_UNLOCK,     \
    .keys = {0xa5}, .key_count = 1                                            \
  }
#define DATA_FIELD  ROLE(8, 16, RW, FLASH_DATA)
#define ORDER_FIELD ROLE(31, 1, W1S, FLASH_PROGRAM)

static struct part_field start_first[] = {ORDER_FIELD, DATA_FIELD, KEY_FIELD};
static struct part_field start_last[] = {KEY_FIELD, DATA_FIELD, ORDER_FIELD};
static struct part_field target[] = {ROLE(0, 32, RW, FLASH_TARGET)};

static const struct phase_row {
  const char *name;
  struct part_field *fields;
  uint32_t value;
  bool begun;
} phases[] = {
    {"key, data and order may come in one write", start_last, 0x801234a5,
     true},
    {"in whatever order a part file lists them", start_first, 0x801234a5,
     true},
    {"without its key the order is refused", start_first, 0x80123400, false},
    {"with a wrong one too", start_last, 0x801234a4, false},
};

static void phase_row(void **state)
{
  const struct phase_row *r = *state;
  struct part_register registers[] = {
      {.at = 0x44000000, .fields = r->fields, .field_count = 3},
      {.at = 0x44000004, .fields = target, .field_count = 1}};
  struct register_bench b;
  register_bench_init(&b, registers, 2, 4);
  write_word(&b, 0x44000004, FLASH_AT + 8);
  write_word(&b, 0x44000000, r->value);
  assert_int_equal(flash_busy(&b.chip.flash), r->begun);
  assert_int_equal(b.chip.flash.refused, !r->begun);
  assert_int_equal(read_word(&b, 0x44000000), 0x00123400);
  b.cycle = 50 * PS_PER_US / CYCLE_PS;
  read_word(&b, 0x44000000); /* observing brings the flash up to now */
  assert_false(flash_busy(&b.chip.flash));
  uint32_t cells;
  assert_true(bus_peek(&b.chip.bus, FLASH_AT + 8, 4, &cells));
  assert_int_equal(cells, r->begun ? 0x00001234 : 0xffffffff);
  register_bench_free(&b);
}

/* --- the latch and its key ----------------------------------------------- */

static struct part_field keyed[] = {ROLE(0, 1, RW, LATCH),
                                    {.lsb = 16,
                                     .width = 16,
                                     .access = ACCESS_WO,
                                     .role = ROLE_LATCH_KEY,
                                     .keys = {0xb16c},
                                     .key_count = 1}};
static struct part_field keyless[] = {ROLE(0, 1, RW, LATCH), PLAIN(8, 8, RW)};
static struct part_field clearing[] = {ROLE(0, 1, W1C, LATCH)};
static struct part_field setting[] = {ROLE(0, 1, W1S, LATCH)};
static struct part_field showing[] = {ROLE(0, 1, RO, LATCH)};

/* `told`: how many writes of the latch the trace has; `effect`: of the last.
 */
static const struct latch_row {
  const char *name;
  struct part_field *fields;
  uint32_t field_count;
  bool before;
  uint32_t writes[2];
  unsigned write_count;
  bool after;
  size_t told;
  bool effect;
} latches[] = {
    {"with its key it is set",
     keyed,
     2,
     false,
     {0xb16c0001},
     1,
     true,
     1,
     true},
    {"and cleared", keyed, 2, true, {0xb16c0000}, 1, false, 1, true},
    {"without the key nothing happens",
     keyed,
     2,
     false,
     {0x00000001},
     1,
     false,
     1,
     false},
    {"with a wrong key too", keyed, 2, true, {0xb16d0000}, 1, true, 1, false},
    {"a key opens one write, its own",
     keyed,
     2,
     false,
     {0xb16c0000, 0x00000001},
     2,
     false,
     2,
     false},
    {"after a wrong one the right one works",
     keyed,
     2,
     false,
     {0xffff0001, 0xb16c0001},
     2,
     true,
     2,
     true},
    {"a latch without a key takes any write",
     keyless,
     2,
     false,
     {0x00000001},
     1,
     true,
     1,
     true},
    {"one that can only be cleared is",
     clearing,
     1,
     true,
     {1},
     1,
     false,
     1,
     true},
    {"and is left alone by a 0", clearing, 1, true, {0}, 1, true, 0, false},
    {"one that can only be set is", setting, 1, false, {1}, 1, true, 1, true},
    {"and is left alone by a 0 too", setting, 1, true, {0}, 1, true, 0, false},
    {"one that can only be read is not written",
     showing,
     1,
     false,
     {1},
     1,
     false,
     0,
     false},
};

static void latch_row(void **state)
{
  const struct latch_row *r = *state;
  struct part_register registers[] = {
      {.at = 0x44000000, .fields = r->fields, .field_count = r->field_count}};
  struct register_bench b;
  register_bench_init(&b, registers, 1, 4);
  latch_set(&b.chip.latch, r->before, SAMPLER_CHECK, (struct moment){0, 0},
            &b.trace);
  assert_int_equal(read_word(&b, 0x44000000), r->before);
  for (unsigned i = 0; i < r->write_count; i++)
    write_word(&b, 0x44000000, r->writes[i]);
  assert_int_equal(b.chip.latch.programmed, r->after);
  assert_int_equal(read_word(&b, 0x44000000) & 1, r->after);
  assert_int_equal(kept_count(&b.trace, TRACE_LATCH_WRITE), r->told);
  const struct trace_record *t = kept_last(&b.trace, TRACE_LATCH_WRITE);
  if (t != NULL) assert_int_equal(t->b, r->effect);
  register_bench_free(&b);
}

/* A key counts in the write that carries it: not in another register, not
 * for a byte written later. */
static void a_key_does_not_stay_open(void **state)
{
  (void)state;
  struct part_register registers[] = {
      {.at = 0x44000000, .fields = keyed, .field_count = 2},
      {.at = 0x44000004, .fields = keyless, .field_count = 2}};
  struct register_bench b;
  register_bench_init(&b, registers, 2, 4);
  write_word(&b, 0x44000000, 0xb16c0000);
  write_word(&b, 0x44000004, 1);
  assert_false(b.chip.latch.programmed);
  write_word(&b, 0x44000000, 0xb16c0000);
  register_access(&b, 0x44000000, 1, true, 1);
  assert_false(b.chip.latch.programmed);
  register_bench_free(&b);
}

int main(void)
{
  static const struct CMUnitTest singles[] = {
      cmocka_unit_test(a_key_does_not_stay_open),
  };
  struct CMUnitTest tests[ROWS_COUNT(phases) + ROWS_COUNT(latches)];
  size_t n = ROWS_ADD(tests, phase_row, phases);
  n += ROWS_ADD(tests + n, latch_row, latches);
  assert_int_equal(n, ROWS_COUNT(tests));
  int failed = cmocka_run_group_tests_name("rows", tests, NULL, NULL);
  return failed + cmocka_run_group_tests_name("singles", singles, NULL, NULL);
}

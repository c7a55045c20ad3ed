/* The register file: kinds of access, and byte lanes. */
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

static struct part_field all_kinds[] = {
    PLAIN(0, 8, RW),   PLAIN(8, 8, RO),   PLAIN(16, 8, WO),
    PLAIN(24, 4, W1C), PLAIN(28, 4, W1S),
};
static struct part_field read_clears[] = {
    PLAIN(0, 8, RC),
    PLAIN(8, 8, RW),
    ROLE(16, 1, RC, CAUSE_PIN),
    ROLE(17, 1, RC, FLASH_REFUSED),
};
static struct part_field wide[] = {PLAIN(4, 12, RW), PLAIN(16, 16, RW)};
static struct part_field whole[] = {PLAIN(0, 32, RW)};

static struct part_register kinds[] = {
    {.at = 0x44000000,
     .reset = 0x0f775a12,
     .fields = all_kinds,
     .field_count = 5},
    {.at = 0x44000004,
     .reset = 0xff00c3a5,
     .fields = read_clears,
     .field_count = 4},
    {.at = 0x44000010, .reset = 0x00000000, .fields = wide, .field_count = 2},
    {.at = 0x4400001c, .reset = 0x89abcdef, .fields = whole, .field_count = 1},
};

/* r reads and must find the value, w writes it: b byte, h half, w word.
 * P and F: a pin flag is set, an order is refused. R: a reset. */
struct step {
  char what, size;
  uint8_t at;
  uint32_t value;
};

static const struct access_row {
  const char *name;
  struct step steps[6];
} accesses[] = {
    {"a reset value shows, but not through wo", {{'r', 'w', 0, 0x0f005a12}}},
    {"bits without a field read 0", {{'r', 'w', 4, 0x0000c3a5}}},
    {"rw keeps what is written; ro does not",
     {{'w', 'w', 0, 0x0000a5ff}, {'r', 'w', 0, 0x0f005aff}}},
    {"wo reads 0", {{'w', 'w', 0, 0x00ff0012}, {'r', 'w', 0, 0x0f005a12}}},
    {"w1c clears where a 1 is written",
     {{'w', 'w', 0, 0x05000012}, {'r', 'w', 0, 0x0a005a12}}},
    {"w1s sets where a 1 is written",
     {{'w', 'w', 0, 0x30000012},
      {'w', 'w', 0, 0x40000012},
      {'r', 'w', 0, 0x7f005a12}}},
    {"rc is read once", {{'r', 'w', 4, 0x0000c3a5}, {'r', 'w', 4, 0xc300}}},
    {"and is not written",
     {{'w', 'w', 4, 0x0000ffff}, {'r', 'w', 4, 0x0000ffa5}}},
    {"a flag that reading clears is cleared",
     {{'P', 0, 0, 0}, {'r', 'w', 4, 0x0001c3a5}, {'r', 'w', 4, 0xc300}}},
    {"also a refusal",
     {{'F', 0, 0, 0}, {'r', 'w', 4, 0x0002c3a5}, {'r', 'w', 4, 0xc300}}},
    {"a byte is read in its lane", {{'r', 'b', 1, 0x5a}}},
    {"a half too", {{'r', 'h', 2, 0x0f00}}},
    {"reading beside rc clears nothing",
     {{'r', 'b', 5, 0xc3}, {'r', 'w', 4, 0x0000c3a5}}},
    {"nor beside a flag",
     {{'P', 0, 0, 0},
      {'r', 'h', 4, 0xc3a5},
      {'r', 'h', 6, 0x0001},
      {'r', 'h', 6, 0}}},
    {"a byte written leaves the others",
     {{'w', 'b', 0, 0xff}, {'r', 'w', 0, 0x0f005aff}}},
    {"and clears no w1c beside it",
     {{'w', 'b', 0, 0x34}, {'w', 'h', 0, 0x56}, {'r', 'w', 0, 0x0f005a56}}},
    {"a byte of w1c and w1s acts alone",
     {{'w', 'b', 3, 0x21}, {'r', 'w', 0, 0x2e005a12}}},
    {"a field across two bytes keeps the other half",
     {{'w', 'w', 0x10, 0x1234fff0},
      {'w', 'b', 0x10, 0x50},
      {'r', 'w', 0x10, 0x1234ff50},
      {'w', 'b', 0x11, 0x00},
      {'r', 'w', 0x10, 0x12340050}}},
    {"32 bits are a field like any other",
     {{'r', 'w', 0x1c, 0x89abcdef},
      {'w', 'w', 0x1c, 0xffffffff},
      {'r', 'w', 0x1c, 0xffffffff},
      {'w', 'b', 0x1e, 0},
      {'r', 'w', 0x1c, 0xff00ffff}}},
    {"a reset brings the reset values back",
     {{'w', 'w', 0x1c, 0},
      {'r', 'w', 4, 0xc3a5},
      {'R', 0, 0, 0},
      {'r', 'w', 0x1c, 0x89abcdef},
      {'r', 'w', 4, 0xc3a5}}},
};

static void take_step(struct register_bench *b, const struct step *s)
{
  const struct moment now = {0, 0};
  uint32_t size = s->size == 'b' ? 1 : s->size == 'h' ? 2 : 4;
  bool write = s->what == 'w';
  switch (s->what) {
  case 'P': reset_set_flag(&b->chip.reset, CAUSE_PIN, now, &b->trace); return;
  case 'F':
    flash_refuse(&b->chip.flash, REFUSAL_LOCKED, now, &b->trace);
    return;
  case 'R': registers_reset(&b->chip); return;
  }
  struct bus_answer answer =
      register_access(b, 0x44000000u + s->at, size, write, s->value);
  assert_false(answer.fault);
  if (!write) assert_int_equal(answer.value, s->value);
}

static void access_row(void **state)
{
  const struct access_row *r = *state;
  struct register_bench b;
  register_bench_init(&b, kinds, ROWS_COUNT(kinds), 4);
  for (const struct step *s = r->steps; s->what != '\0'; s++)
    take_step(&b, s);
  register_bench_free(&b);
}

static void registers_are_found_by_their_address(void **state)
{
  (void)state;
  struct part part = register_part(kinds, ROWS_COUNT(kinds), 4);
  for (uint32_t i = 0; i < ROWS_COUNT(kinds); i++) {
    assert_int_equal(registers_at(&part, kinds[i].at), i);
    assert_int_equal(registers_at(&part, kinds[i].at + 1), PART_NONE);
  }
  assert_int_equal(registers_at(&part, 0x44000008), PART_NONE);
  assert_int_equal(registers_at(&part, 0x43fffffc), PART_NONE);
  assert_int_equal(registers_at(&part, 0x44000020), PART_NONE);
  part.register_count = 0;
  assert_int_equal(registers_at(&part, 0x44000000), PART_NONE);
}

int main(void)
{
  static const struct CMUnitTest singles[] = {
      cmocka_unit_test(registers_are_found_by_their_address),
  };
  struct CMUnitTest tests[ROWS_COUNT(accesses)];
  ROWS_ADD(tests, access_row, accesses);
  int failed = cmocka_run_group_tests_name("rows", tests, NULL, NULL);
  return failed + cmocka_run_group_tests_name("singles", singles, NULL, NULL);
}

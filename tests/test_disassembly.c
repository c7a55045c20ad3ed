/* Code as instructions.
 *
 * Encodings and what they mean: ARM DDI 0419E chapters A5 and A6, worked out
 * by hand from the fields; how Capstone writes them is Capstone's. What stands
 * before an instruction is a guess, and its rule is ours.
 */
#include <string.h>

#include "report/disassembly.h"
#include "rows.h"

static const struct row {
  const char *name;
  uint16_t code[3];
  uint32_t halves;
  const char *bytes, *text;
} rows[] = {
    /* A6.7.39 T1: 00100 Rd imm8 */
    {"MOVS r1, #3", {0x2103}, 1, "2103", "movs r1, #3"},
    /* A6.7.27 T1: 01001 Rt imm8, imm8 in words */
    {"LDR r0, [pc, #20]", {0x4805}, 1, "4805", "ldr r0, [pc, #0x14]"},
    /* A6.7.10 T2: 11100 imm11; 0xE7FE is -4, back to itself */
    {"B to itself", {0xe7fe}, 1, "e7fe", "b #0x4000100"},
    /* A6.7.50 T1: 1011010 M list; M is lr */
    {"PUSH {r4, lr}", {0xb510}, 1, "b510", "push {r4, lr}"},
    /* A6.7.13 T1: 11110 S imm10, 11 J1 1 J2 imm11; all ones is -2 - ... */
    {"BL two halfwords back",
     {0xf7ff, 0xfffe},
     2,
     "f7ff fffe",
     "bl #0x4000100"},
    /* B4.2.3: special register 8 is MSP */
    {"MSR MSP, r0", {0xf380, 0x8808}, 2, "f380 8808", "msr msp, r0"},
    /* A6.7.22: option 15 */
    {"DSB SY", {0xf3bf, 0x8f4f}, 2, "f3bf 8f4f", "dsb sy"},
    {"erased flash is none",
     {0xffff, 0xffff},
     2,
     "ffff ffff",
     "no instruction"},
};

static struct code_bytes code_of(const uint16_t *code, uint32_t halves,
                                 addr_t from, addr_t at)
{
  struct code_bytes bytes = {.at = at, .from = from};
  for (uint32_t i = 0; i < halves; i++) {
    bytes.bytes[bytes.count++] = (uint8_t)code[i];
    bytes.bytes[bytes.count++] = (uint8_t)(code[i] >> 8);
  }
  return bytes;
}

static void one_is_shown(void **state)
{
  const struct row *row = *state;
  struct instruction list[DISASSEMBLY_AHEAD];
  struct code_bytes code =
      code_of(row->code, row->halves, 0x04000100, 0x04000100);
  assert_int_equal(disassembly_ahead(&code, list), 1);
  assert_int_equal(list[0].at, 0x04000100);
  assert_true(list[0].here);
  assert_string_equal(list[0].bytes, row->bytes);
  assert_string_equal(list[0].text, row->text);
}

static void six_are_shown_and_no_more(void **state)
{
  (void)state;
  static const uint16_t code[12] = {0x2100, 0xf3bf, 0x8f4f, 0x2101,
                                    0x2102, 0x2103, 0x2104, 0x2105};
  struct instruction list[DISASSEMBLY_AHEAD];
  struct code_bytes bytes = code_of(code, 12, 0x100, 0x100);
  assert_int_equal(disassembly_ahead(&bytes, list), 6);
  static const addr_t at[] = {0x100, 0x102, 0x106, 0x108, 0x10a, 0x10c};
  for (unsigned i = 0; i < 6; i++) {
    assert_int_equal(list[i].at, at[i]);
    assert_int_equal(list[i].here, i == 0);
  }
}

static void half_an_instruction_is_none(void **state)
{
  (void)state;
  static const uint16_t code[] = {0x2100, 0xf3bf};
  struct instruction list[DISASSEMBLY_AHEAD];
  struct code_bytes bytes = code_of(code, 2, 0x100, 0x100);
  assert_int_equal(disassembly_ahead(&bytes, list), 1);
}

static void nothing_is_nothing(void **state)
{
  (void)state;
  struct instruction list[DISASSEMBLY_AHEAD];
  const struct code_bytes none = {.at = 0xfffffffe};
  assert_int_equal(disassembly_ahead(&none, list), 0);
  assert_int_equal(disassembly_around(&none, list), 0);
}

/* NOP is 0xBF00, a BL 0xF000 0xF800, and 0xF000 may also be its data. */
static const struct around_row {
  const char *name;
  uint16_t code[8];
  uint32_t halves, target; /* halfword */
  uint32_t count;
  addr_t first; /* the base is 0x100 */
} around_rows[] = {
    {"a short one before", {0xbf00, 0xbf00, 0xbf00, 0xbf00}, 4, 2, 3, 0x102},
    {"a long one before",
     {0xbf00, 0xf000, 0xf800, 0xbf00, 0xbf00},
     5,
     3,
     3,
     0x102},
    {"two long ones before",
     {0xf000, 0xf800, 0xf000, 0xf800, 0xbf00, 0xbf00},
     6,
     4,
     3,
     0x104},
    {"the second half of one at the edge",
     {0xf800, 0xbf00, 0xbf00, 0xbf00},
     4,
     2,
     3,
     0x102},
    {"none before", {0xbf00, 0xbf00}, 2, 0, 2, 0x100},
    {"none behind", {0xbf00, 0xbf00}, 2, 1, 2, 0x100},
    {"only a long one's end before", {0xf000, 0xbf00, 0xbf00}, 3, 1, 2, 0x102},
};

static void the_one_before_is_found(void **state)
{
  const struct around_row *row = *state;
  struct instruction list[DISASSEMBLY_AROUND];
  addr_t at = 0x100 + 2 * row->target;
  struct code_bytes code = code_of(row->code, row->halves, 0x100, at);
  assert_int_equal(disassembly_around(&code, list), row->count);
  assert_int_equal(list[0].at, row->first);
  bool here = false;
  for (uint32_t i = 0; i < row->count; i++) {
    assert_int_equal(list[i].here, list[i].at == at);
    here = here || list[i].here;
  }
  assert_true(here);
}

int main(void)
{
  struct CMUnitTest tests[ROWS_COUNT(rows) + ROWS_COUNT(around_rows) + 3] = {
      cmocka_unit_test(six_are_shown_and_no_more),
      cmocka_unit_test(half_an_instruction_is_none),
      cmocka_unit_test(nothing_is_nothing)};
  size_t count = 3;
  count += ROWS_ADD(tests + count, one_is_shown, rows);
  ROWS_ADD(tests + count, the_one_before_is_found, around_rows);
  return cmocka_run_group_tests(tests, NULL, NULL);
}

/* The bytes of the regions: what they hold at first, and where an address
 * falls. */
#include <string.h>

#include "chip/memory.h"
#include "rows.h"

enum { FLASH, ROM, RAM, TOP };

/* Erased flash reads all-ones (common practice, no source). The last region
 * ends with the address space, where sums wrap. */
static const struct part part = {
    .memory =
        {{.name = "flash",
          .kind = MEMORY_FLASH,
          .at = 0x04000000,
          .size = 0xc000,
          .page = 1024,
          .unit = 4},
         {.name = "rom", .kind = MEMORY_ROM, .at = 0x0400c000, .size = 0x400},
         {.name = "ram", .kind = MEMORY_RAM, .at = 0x20000000, .size = 0x1800},
         {.name = "top", .kind = MEMORY_RAM, .at = 0xfffffc00, .size = 0x400}},
    .memory_count = 4,
};

/* --- finding ------------------------------------------------------------- */

static const struct find_row {
  const char *name;
  addr_t at;
  uint32_t size, region, offset;
} finds[] = {
    {"the first byte", 0x04000000, 1, FLASH, 0},
    {"the last byte", 0x0400bfff, 1, FLASH, 0xbfff},
    {"the whole region", 0x04000000, 0xc000, FLASH, 0},
    {"a byte more than all of it", 0x04000000, 0xc001, PART_NONE, 0},
    {"the byte before", 0x03ffffff, 1, PART_NONE, 0},
    {"a word that begins before", 0x03fffffe, 4, PART_NONE, 0},
    {"the next region", 0x0400c000, 4, ROM, 0},
    {"a word across two regions is in neither", 0x0400bffe, 4, PART_NONE, 0},
    {"the last word", 0x0400bffc, 4, FLASH, 0xbffc},
    {"behind the last region of a run", 0x0400c400, 1, PART_NONE, 0},
    {"address 0 is an alias that is not known here", 0, 4, PART_NONE, 0},
    {"the last word there is", 0xfffffffc, 4, TOP, 0x3fc},
    {"a word that wraps", 0xfffffffe, 4, PART_NONE, 0},
    {"a size that wraps", 0x20000004, 0xfffffffc, PART_NONE, 0},
};

static void find_row(void **state)
{
  const struct find_row *r = *state;
  struct memory m;
  uint32_t offset = 0;
  memory_init(&m, &part);
  assert_int_equal(memory_find(&m, r->at, r->size, &offset), r->region);
  assert_int_equal(offset, r->offset);
  memory_free(&m);
}

/* --- erased -------------------------------------------------------------- */

/* Is [offset, offset + size) erased when one byte of flash is not? */
static const struct erased_row {
  const char *name;
  uint32_t programmed; /* offset */
  uint8_t byte;
  uint32_t offset, size;
  bool erased;
} erased[] = {
    {"the byte before does not count", 15, 0x00, 16, 16, true},
    {"the first byte does", 16, 0x00, 16, 16, false},
    {"the last byte does", 31, 0x00, 16, 16, false},
    {"the byte behind does not", 32, 0x00, 16, 16, true},
    {"one bit is enough", 16, 0xfe, 16, 16, false},
    {"the highest too", 31, 0x7f, 16, 16, false},
    {"all-ones written are as erased", 16, 0xff, 16, 16, true},
    {"the end of the region can be asked", 0xbffe, 0x00, 0xbfff, 1, true},
    {"and is not beyond it", 0xbfff, 0x00, 0xbfff, 1, false},
    {"nothing is always erased", 16, 0x00, 16, 0, true},
};

static void erased_row(void **state)
{
  const struct erased_row *r = *state;
  struct memory m;
  memory_init(&m, &part);
  m.bytes[FLASH][r->programmed] = r->byte;
  assert_int_equal(memory_erased(&m, FLASH, r->offset, r->size), r->erased);
  memory_free(&m);
}

/* --- content ------------------------------------------------------------- */

static void flash_is_erased_and_rom_is_empty_at_first(void **state)
{
  (void)state;
  struct memory m;
  memory_init(&m, &part);
  assert_true(memory_erased(&m, FLASH, 0, 0xc000));
  for (uint32_t i = 0; i < 0x400; i++)
    assert_int_equal(m.bytes[ROM][i], 0);
  memory_free(&m);
}

static void ram_is_as_after_a_loss_the_same_each_time(void **state)
{
  (void)state;
  struct memory a, b;
  memory_init(&a, &part);
  memory_init(&b, &part);
  assert_memory_equal(a.bytes[RAM], b.bytes[RAM], 0x1800);
  memset(b.bytes[RAM], 0x5a, 0x1800);
  memset(b.bytes[TOP], 0x5a, 0x400);
  memory_lose_ram(&b);
  assert_memory_equal(a.bytes[RAM], b.bytes[RAM], 0x1800);
  assert_memory_equal(a.bytes[TOP], b.bytes[TOP], 0x400);
  memory_free(&a);
  memory_free(&b);
}

/* What a program might take for its own: cleared or erased cells, one value
 * everywhere, or an address of this part with which it would run on. */
static void what_a_loss_leaves_looks_like_no_data(void **state)
{
  (void)state;
  struct memory m;
  memory_init(&m, &part);
  uint32_t last = 0;
  for (uint32_t i = 0; i < 0x1800; i += 4) {
    uint32_t word, offset;
    memcpy(&word, m.bytes[RAM] + i, 4);
    assert_true(word != 0 && word != UINT32_MAX && word != last);
    assert_int_equal(memory_find(&m, word & ~1u, 1, &offset), PART_NONE);
    last = word;
  }
  memory_free(&m);
}

static void a_loss_of_ram_leaves_flash_and_rom_alone(void **state)
{
  (void)state;
  struct memory m;
  memory_init(&m, &part);
  memset(m.bytes[FLASH], 0x12, 0xc000);
  memset(m.bytes[ROM], 0x34, 0x400);
  memory_lose_ram(&m);
  for (uint32_t i = 0; i < 0xc000; i++)
    assert_int_equal(m.bytes[FLASH][i], 0x12);
  for (uint32_t i = 0; i < 0x400; i++)
    assert_int_equal(m.bytes[ROM][i], 0x34);
  memory_free(&m);
}

/* --- misuse -------------------------------------------------------------- */

static void beyond_the_region(void)
{
  struct memory m;
  memory_init(&m, &part);
  memory_erased(&m, FLASH, 0xbffc, 8);
}

static void far_beyond_the_region(void)
{
  struct memory m;
  memory_init(&m, &part);
  memory_erased(&m, FLASH, 0x10000, 4);
}

static const struct misuse_row misuses[] = {
    {"asking beyond a region stops the program", beyond_the_region},
    {"however far", far_beyond_the_region},
};

int main(void)
{
  static const struct CMUnitTest singles[] = {
      cmocka_unit_test(flash_is_erased_and_rom_is_empty_at_first),
      cmocka_unit_test(ram_is_as_after_a_loss_the_same_each_time),
      cmocka_unit_test(what_a_loss_leaves_looks_like_no_data),
      cmocka_unit_test(a_loss_of_ram_leaves_flash_and_rom_alone),
  };
  struct CMUnitTest
      tests[ROWS_COUNT(finds) + ROWS_COUNT(erased) + ROWS_COUNT(misuses)];
  size_t n = ROWS_ADD(tests, find_row, finds);
  n += ROWS_ADD(tests + n, erased_row, erased);
  n += ROWS_ADD(tests + n, misuse_row, misuses);
  assert_int_equal(n, ROWS_COUNT(tests));
  int failed = cmocka_run_group_tests_name("rows", tests, NULL, NULL);
  return failed + cmocka_run_group_tests_name("singles", singles, NULL, NULL);
}

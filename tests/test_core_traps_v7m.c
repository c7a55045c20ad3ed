/* What the library behind the instruction engine does on v7-M that one would
 * not expect, and sim/core builds on. See test_core_traps.c. */
#include "raw_engine.h"

#define IT_AL_LAST 0x0000e8u /* ITSTATE: one instruction, always */

static uint32_t it_bits(uint32_t it)
{
  return (it & 3u) << 25 | (it & 0xfcu) << 8;
}

/* cmp r0, r0; itt eq; moveq r1, #1; moveq r2, #2; nop; udf */
static const uint16_t block[] = {0x4280, 0xbf04, 0x2101, 0x2202, 0xbf00, UDF};

static void a_stop_inside_an_it_block_waits_for_its_end(void **state)
{
  static const struct {
    unsigned stop, calls;
    addr_t last;
  } rows[] = {{1, 1, FLASH},
              {2, 2, FLASH + 2},
              {3, 5, FLASH + 8},
              {4, 5, FLASH + 8},
              {5, 5, FLASH + 8}};
  (void)state;
  for (size_t i = 0; i < ROWS_COUNT(rows); i++) {
    struct raw *r = raw_open_model(UC_CPU_ARM_CORTEX_M3, true);
    raw_put(r, block, sizeof(block));
    r->stop_at = rows[i].stop;
    raw_run(r, FLASH);
    assert_int_equal(r->calls, rows[i].calls);
    assert_int_equal(r->last, rows[i].last);
    assert_int_equal(raw_read(r, UC_ARM_REG_R2), rows[i].stop < 3 ? 0 : 2);
    raw_close(r);
  }
}

/* So a failed access there is not abandoned as it is elsewhere. */
static void a_stop_in_a_device_inside_an_it_block_waits_too(void **state)
{
  /* cmp r0, r0; it eq; ldreq r1, [r0]; movs r2, #2; udf */
  static const uint16_t code[] = {0x4280, 0xbf08, 0x6801, 0x2202, UDF};
  (void)state;
  struct raw *r = raw_open_model(UC_CPU_ARM_CORTEX_M3, true);
  raw_put(r, code, sizeof(code));
  raw_write(r, UC_ARM_REG_R0, DEVICE);
  r->stop_in_device = true;
  raw_run(r, FLASH);
  assert_int_equal(raw_read(r, UC_ARM_REG_R1), 0x55);
  raw_close(r);
}

static void itstate_is_loaded_with_xpsr(void **state)
{
  static const uint16_t code[] = {0x3101, 0x3101, UDF}; /* adds r1, #1 */
  (void)state;
  struct raw *r = raw_open_model(UC_CPU_ARM_CORTEX_M3, true);
  raw_put(r, code, sizeof(code));
  raw_write(r, UC_ARM_REG_R1, 0);
  raw_write(r, UC_ARM_REG_XPSR, 0x40000000 | CORE_THUMB | it_bits(IT_AL_LAST));
  r->stop_at = 2;
  raw_run(r, FLASH);
  assert_int_equal(raw_read(r, UC_ARM_REG_R1), 1);
  uint32_t xpsr = raw_read(r, UC_ARM_REG_XPSR);
  assert_int_equal(xpsr & 0xf0000000, 0x40000000); /* flags untouched */
  assert_int_equal(xpsr & it_bits(0xff), 0);
  raw_close(r);
}

static void a_fetch_from_system_space_is_interrupt_3(void **state)
{
  static const uint16_t code[] = {0x4700, UDF}; /* bx r0 */
  (void)state;
  struct raw *r = raw_open_model(UC_CPU_ARM_CORTEX_M3, true);
  raw_put(r, code, sizeof(code));
  raw_write(r, UC_ARM_REG_R0, 0xfffffff9);
  assert_int_equal(raw_run(r, FLASH), UC_ERR_OK);
  assert_int_equal(r->interrupt, 3);
  assert_int_equal(raw_read(r, UC_ARM_REG_PC), 0xfffffff8);
  raw_close(r);
}

static void an_unaligned_list_is_not_refused(void **state)
{
  static const uint16_t code[] = {0xc806, UDF}; /* ldmia r0!, {r1, r2} */
  (void)state;
  struct raw *r = raw_open_model(UC_CPU_ARM_CORTEX_M3, true);
  raw_put(r, code, sizeof(code));
  raw_write(r, UC_ARM_REG_R0, RAM + 2);
  raw_run(r, FLASH);
  assert_int_equal(r->interrupt, UINT32_MAX);
  assert_int_equal(raw_read(r, UC_ARM_REG_R0), RAM + 10);
  raw_close(r);
}

/* CPACR is not asked: floating point runs at once on M4. */
static void floating_point_needs_no_permission(void **state)
{
  static const uint16_t code[] = {0xee00, 0x1a10, UDF}; /* vmov s0, r1 */
  (void)state;
  struct raw *r = raw_open_model(UC_CPU_ARM_CORTEX_M4, true);
  raw_put(r, code, sizeof(code));
  raw_write(r, UC_ARM_REG_R1, 0x12345678);
  raw_run(r, FLASH);
  assert_int_equal(raw_read(r, UC_ARM_REG_S0), 0x12345678);
  raw_close(r);
}

#define TEST(name) cmocka_unit_test(name)

int main(void)
{
  static const struct CMUnitTest singles[] = {
      TEST(a_stop_inside_an_it_block_waits_for_its_end),
      TEST(a_stop_in_a_device_inside_an_it_block_waits_too),
      TEST(itstate_is_loaded_with_xpsr),
      TEST(a_fetch_from_system_space_is_interrupt_3),
      TEST(an_unaligned_list_is_not_refused),
      TEST(floating_point_needs_no_permission),
  };
  return cmocka_run_group_tests_name("traps", singles, NULL, NULL);
}

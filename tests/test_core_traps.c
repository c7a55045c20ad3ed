/* What the library behind the instruction engine does that one would not
 * expect. An upgrade that changes a row makes this test fail, and whoever
 * upgrades then looks at what sim/core/unicorn.c builds on it. Measured with
 * Unicorn 2.0.1; no document states these.
 *
 * The rows use the library itself (raw_engine.h), which only
 * sim/core/unicorn.c and the benchmark do besides. What it takes for an
 * instruction and when it forgets translated code is in
 * test_core_traps_code.c.
 */
#include "raw_engine.h"

/* --- events: what comes back -------------------------------------------- */

#define NONE UINT32_MAX

static const struct event_row {
  const char *name;
  uint16_t code[2];
  uint32_t r0;
  uc_err error;
  uint32_t interrupt;
  uint32_t pc; /* as read afterwards */
} event_rows[] = {
    {"SVC: interrupt 2, PC behind", {0xdf00}, 0, UC_ERR_OK, 2, FLASH + 2},
    {"BKPT: interrupt 7, PC at it", {0xbe00}, 0, UC_ERR_OK, 7, FLASH},
    {"UDF: an error and no interrupt",
     {UDF},
     0,
     UC_ERR_INSN_INVALID,
     NONE,
     FLASH},
    {"unaligned: interrupt 4, PC at it",
     {0x6801},
     RAM + 2,
     UC_ERR_OK,
     4,
     FLASH},
    {"WFI: no error, PC behind", {0xbf30}, 0, UC_ERR_OK, NONE, FLASH + 2},
    {"WFE: invalid, PC behind",
     {0xbf20},
     0,
     UC_ERR_INSN_INVALID,
     NONE,
     FLASH + 2},
    {"YIELD: invalid, PC behind",
     {0xbf10},
     0,
     UC_ERR_INSN_INVALID,
     NONE,
     FLASH + 2},
    {"a branch to an even address: invalid, PC there",
     {0x4700},
     RAM,
     UC_ERR_INSN_INVALID,
     NONE,
     RAM},
    {"EXC_RETURN in thread mode: an address",
     {0x4700},
     0xfffffff9,
     UC_ERR_FETCH_UNMAPPED,
     NONE,
     0xfffffff8},
    {"a branch into a device: a fetch error",
     {0x4700},
     DEVICE | 1,
     UC_ERR_FETCH_PROT,
     NONE,
     DEVICE},
    {"a store to flash: an error, PC at it",
     {0x6001},
     FLASH + 8,
     UC_ERR_WRITE_PROT,
     NONE,
     FLASH},
    {"an unaligned store to flash: the same, not interrupt 4",
     {0x6001},
     FLASH + 9,
     UC_ERR_WRITE_PROT,
     NONE,
     FLASH},
};

static void event_row(void **state)
{
  const struct event_row *e = *state;
  struct raw *r = raw_open();
  raw_put(r, e->code, sizeof(e->code[0]));
  raw_write(r, UC_ARM_REG_R0, e->r0);
  assert_int_equal(raw_run(r, FLASH), e->error);
  assert_int_equal(r->interrupt, e->interrupt);
  assert_int_equal(raw_read(r, UC_ARM_REG_PC), e->pc);
  assert_int_equal(r->calls, 1);
  assert_int_equal(r->reads, 0);
  raw_close(r);
}

/* --- opening ------------------------------------------------------------ */

static void m_class_mode_is_another_processor(void **state)
{
  static const uint16_t code[] = {0xf04f, 0x0007,
                                  UDF}; /* mov.w r0, #7: v7-M */
  (void)state;
  for (int m_class = 0; m_class < 2; m_class++) {
    uc_engine *uc;
    uint32_t r0 = 0;
    uint8_t bytes[0x400] = {0};
    memcpy(bytes, code, sizeof(code));
    uc_open(UC_ARCH_ARM, UC_MODE_THUMB | (m_class ? UC_MODE_MCLASS : 0), &uc);
    uc_ctl_set_cpu_model(uc, UC_CPU_ARM_CORTEX_M0);
    uc_mem_map_ptr(uc, FLASH, sizeof(bytes), UC_PROT_READ | UC_PROT_EXEC,
                   bytes);
    uc_emu_start(uc, FLASH | 1u, NEVER, 0, 0);
    uc_reg_read(uc, UC_ARM_REG_R0, &r0);
    assert_int_equal(r0, m_class ? 7 : 0);
    uc_close(uc);
  }
}

static void the_state_after_opening_is_no_reset_state(void **state)
{
  (void)state;
  struct raw *r = raw_open();
  uint32_t xpsr = raw_read(r, UC_ARM_REG_XPSR);
  assert_int_equal(xpsr & 0x40000000, 0x40000000); /* Z */
  assert_int_equal(xpsr & CORE_THUMB, 0);
  raw_close(r);
}

/* --- banked registers and returns: why unicorn.c uses neither ----------- */

static void stack_pointers_are_privilege_checked(void **state)
{
  (void)state;
  struct raw *r = raw_open_model(UC_CPU_ARM_CORTEX_M3, true);
  raw_write(r, UC_ARM_REG_MSP, RAM + 0x100);
  assert_int_equal(raw_read(r, UC_ARM_REG_MSP), RAM + 0x100);
  raw_write(r, UC_ARM_REG_CONTROL, 3);
  assert_int_equal(raw_read(r, UC_ARM_REG_MSP), 0);
  raw_write(r, UC_ARM_REG_CONTROL, 0);
  assert_int_equal(raw_read(r, UC_ARM_REG_CONTROL), 3);
  raw_close(r);
}

static void a_written_ipsr_is_missed_until_flags_are_written(void **state)
{
  static const uint16_t code[] = {0x4700}; /* bx r0 */
  (void)state;
  for (int rebuilt = 0; rebuilt < 2; rebuilt++) {
    struct raw *r = raw_open();
    raw_put(r, code, sizeof(code));
    raw_write(r, UC_ARM_REG_R0, 0xfffffff9);
    raw_write(r, UC_ARM_REG_XPSR_NZCVQG, CORE_THUMB | 3);
    if (rebuilt) raw_write(r, UC_ARM_REG_APSR_NZCV, CORE_THUMB | 3);
    raw_run(r, FLASH);
    assert_int_equal(r->interrupt, rebuilt ? 8 : NONE);
    assert_int_equal(raw_read(r, UC_ARM_REG_PC), 0xfffffff8);
    raw_close(r);
  }
}

static void sp_keeps_its_low_bits(void **state)
{
  static const uint16_t code[] = {0x4685, UDF}; /* mov sp, r0 */
  (void)state;
  struct raw *r = raw_open();
  raw_put(r, code, sizeof(code));
  raw_write(r, UC_ARM_REG_R0, RAM + 3);
  raw_run(r, FLASH);
  assert_int_equal(raw_read(r, UC_ARM_REG_SP), RAM + 3);
  raw_close(r);
}

/* --- hooks and stops ---------------------------------------------------- */

static void a_stop_in_the_code_hook_precedes_the_instruction(void **state)
{
  static const uint16_t code[] = {0x2001, 0x2002, 0x2003}; /* movs r0 */
  (void)state;
  struct raw *r = raw_open();
  raw_put(r, code, sizeof(code));
  r->stop_at = 3;
  assert_int_equal(raw_run(r, FLASH), UC_ERR_OK);
  assert_int_equal(raw_read(r, UC_ARM_REG_R0), 2);
  assert_int_equal(r->last, FLASH + 4);
  raw_close(r);
}

static void a_pc_written_with_a_stop_loses_the_stop(void **state)
{
  static const uint16_t code[] = {0x2001, 0x2002, UDF, 0x2107, UDF};
  (void)state;
  struct raw *r = raw_open();
  raw_put(r, code, sizeof(code));
  r->stop_at = 2;
  r->write_pc = (FLASH + 6) | 1u;
  raw_run(r, FLASH);
  assert_int_equal(raw_read(r, UC_ARM_REG_R1), 7);
  raw_close(r);
}

/* This is what makes a bus fault precise: the load does not happen. */
static void
a_stop_inside_a_device_access_abandons_the_instruction(void **state)
{
  static const uint16_t code[] = {0x6801, 0x2207, UDF}; /* ldr r1, [r0] */
  (void)state;
  struct raw *r = raw_open();
  raw_put(r, code, sizeof(code));
  raw_write(r, UC_ARM_REG_R0, DEVICE);
  raw_write(r, UC_ARM_REG_R1, 0x99);
  r->stop_in_device = true;
  assert_int_equal(raw_run(r, FLASH), UC_ERR_OK);
  assert_int_equal(raw_read(r, UC_ARM_REG_R1), 0x99);
  assert_int_equal(raw_read(r, UC_ARM_REG_R2), 0);
  r->stop_in_device = false;
  raw_run(r, FLASH); /* and is made again */
  assert_int_equal(raw_read(r, UC_ARM_REG_R1), 0x55);
  assert_int_equal(r->reads, 2);
  raw_close(r);
}

static void a_list_stops_at_the_access_that_stopped(void **state)
{
  static const uint16_t code[] = {0xc00e, 0x2207,
                                  UDF}; /* stmia r0!, {r1-r3} */
  (void)state;
  struct raw *r = raw_open();
  raw_put(r, code, sizeof(code));
  raw_write(r, UC_ARM_REG_R0, DEVICE);
  r->stop_in_device = true;
  raw_run(r, FLASH);
  assert_int_equal(r->writes, 1);
  assert_int_equal(raw_read(r, UC_ARM_REG_R0), DEVICE);
  raw_close(r);
}

static void pc_is_right_in_a_device_access_only_with_a_code_hook(void **state)
{
  static const uint16_t code[] = {0xbf00, 0xbf00, 0x6801, UDF};
  (void)state;
  for (int hooked = 0; hooked < 2; hooked++) {
    struct raw *r = raw_open_model(UC_CPU_ARM_CORTEX_M0, hooked);
    raw_put(r, code, sizeof(code));
    raw_write(r, UC_ARM_REG_R0, DEVICE);
    raw_run(r, FLASH);
    assert_int_equal(r->reads, 1);
    assert_int_equal(r->device_pc == FLASH + 4, hooked);
    raw_close(r);
  }
}

static void a_store_in_the_last_halfword_has_no_second_hook(void **state)
{
  static const uint16_t store = 0x6001; /* str r1, [r0] */
  (void)state;
  struct raw *r = raw_open();
  raw_put(r, NULL, 0);
  memcpy(r->flash + sizeof(r->flash) - 2, &store, sizeof(store));
  raw_write(r, UC_ARM_REG_R0, DEVICE);
  addr_t last = FLASH + (addr_t)sizeof(r->flash) - 2;
  assert_int_equal(raw_run(r, last), UC_ERR_FETCH_UNMAPPED);
  assert_int_equal(r->calls, 1);
  assert_int_equal(r->writes, 1);
  assert_int_equal(raw_read(r, UC_ARM_REG_PC), last + 2);
  raw_close(r);
}

static void half_an_instruction_has_no_hook_at_all(void **state)
{
  static const uint16_t half = 0xf000;
  (void)state;
  struct raw *r = raw_open();
  raw_put(r, NULL, 0);
  memcpy(r->flash + sizeof(r->flash) - 2, &half, sizeof(half));
  addr_t last = FLASH + (addr_t)sizeof(r->flash) - 2;
  assert_int_equal(raw_run(r, last), UC_ERR_FETCH_UNMAPPED);
  assert_int_equal(r->calls, 0);
  assert_int_equal(raw_read(r, UC_ARM_REG_PC), last);
  raw_close(r);
}

static void a_hook_added_later_is_not_called_from_old_code(void **state)
{
  static const uint16_t code[] = {0x2001, UDF};
  (void)state;
  struct raw *r = raw_open_model(UC_CPU_ARM_CORTEX_M0, false);
  raw_put(r, code, sizeof(code));
  raw_run(r, FLASH);
  raw_hook(r, UC_HOOK_CODE, (void (*)(void))raw_on_code);
  raw_run(r, FLASH);
  assert_int_equal(r->calls, 0);
  raw_put(r, code, sizeof(code));
  raw_run(r, FLASH);
  assert_int_equal(r->calls, 2);
  raw_close(r);
}

/* For the v7-M cores to come: what IT skips is not called for. */
static void an_instruction_skipped_by_it_has_no_hook(void **state)
{
  static const uint16_t code[] = {0x4280, 0xbf14, 0x2101, 0x2202, UDF};
  (void)state; /* cmp r0, r0; ite ne; movne r1, #1; moveq r2, #2 */
  struct raw *r = raw_open_model(UC_CPU_ARM_CORTEX_M3, true);
  raw_put(r, code, sizeof(code));
  raw_run(r, FLASH);
  assert_int_equal(raw_read(r, UC_ARM_REG_R1), 0);
  assert_int_equal(raw_read(r, UC_ARM_REG_R2), 2);
  assert_int_equal(r->calls, 4);
  raw_close(r);
}

#define TEST(name) cmocka_unit_test(name)

int main(void)
{
  static const struct CMUnitTest singles[] = {
      TEST(m_class_mode_is_another_processor),
      TEST(the_state_after_opening_is_no_reset_state),
      TEST(stack_pointers_are_privilege_checked),
      TEST(a_written_ipsr_is_missed_until_flags_are_written),
      TEST(sp_keeps_its_low_bits),
      TEST(a_stop_in_the_code_hook_precedes_the_instruction),
      TEST(a_pc_written_with_a_stop_loses_the_stop),
      TEST(a_stop_inside_a_device_access_abandons_the_instruction),
      TEST(a_list_stops_at_the_access_that_stopped),
      TEST(pc_is_right_in_a_device_access_only_with_a_code_hook),
      TEST(a_store_in_the_last_halfword_has_no_second_hook),
      TEST(half_an_instruction_has_no_hook_at_all),
      TEST(a_hook_added_later_is_not_called_from_old_code),
      TEST(an_instruction_skipped_by_it_has_no_hook),
  };
  struct CMUnitTest tests[ROWS_COUNT(event_rows)];
  ROWS_ADD(tests, event_row, event_rows);
  int failed = cmocka_run_group_tests_name("events", tests, NULL, NULL);
  return failed + cmocka_run_group_tests_name("traps", singles, NULL, NULL);
}

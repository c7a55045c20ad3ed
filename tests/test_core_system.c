/* Special registers, sleep, the system control space: ARM DDI 0419E B5.2 (MRS,
 * MSR, CPS), B1.5.17 to B1.5.19 (WFE, WFI), B3.2 (system control block). */
#include "bench_core.h"

#define MSP_VALUE 0x20000800u
#define PSP_VALUE 0x20000400u

/* Who executes. The unprivileged thread is on M0+ only. */
enum who { PRIVILEGED, UNPRIVILEGED, HANDLER };

#define NMI_HANDLER (HANDLERS + 0x40u * EXCEPTION_NMI)

/* In front of the code, which for HANDLER is that of NMI. */
static struct bench *start(enum who who, const uint16_t *code, size_t bytes)
{
  enum core_kind kind = who == UNPRIVILEGED ? CORE_KIND_M0PLUS : CORE_KIND_M0;
  struct bench *b = bench_start(kind, code, bytes);
  b->core.xpsr = 0x91000000;
  b->core.psp = PSP_VALUE;
  b->core.primask = 1;
  if (who == UNPRIVILEGED) b->core.control = 1;
  if (who == HANDLER) {
    bench_put(b, NMI_HANDLER, code, bytes);
    core_pend(&b->core, &b->bus, EXCEPTION_NMI);
    bench_run(b, 1);
  }
  b->core.r[13] = MSP_VALUE;
  return b;
}

/* What MRS puts into r1, for each who. */
static const struct mrs_row {
  const char *name;
  uint16_t number;
  uint32_t value[3];
} mrs_rows[] = {
    {"apsr", 0, {0x90000000, 0x90000000, 0x90000000}},
    {"iapsr", 1, {0x90000000, 0x90000000, 0x90000002}},
    {"eapsr", 2, {0x90000000, 0x90000000, 0x90000000}},
    {"xpsr", 3, {0x90000000, 0x90000000, 0x90000002}},
    {"ipsr", 5, {0, 0, 2}},
    {"epsr reads as zero", 6, {0, 0, 0}},
    {"iepsr", 7, {0, 0, 2}},
    {"msp is privileged", 8, {MSP_VALUE, 0, MSP_VALUE}},
    {"psp is privileged", 9, {PSP_VALUE, 0, PSP_VALUE}},
    {"primask is privileged", 16, {1, 0, 1}},
    {"control can be read by all", 20, {0, 1, 0}},
};

static void mrs_row(void **state)
{
  const struct mrs_row *r = *state;
  for (unsigned who = PRIVILEGED; who <= HANDLER; who++) {
    uint16_t code[] = {0xf3ef, (uint16_t)(0x8100 | r->number)};
    struct bench *b = start(who, code, sizeof(code));
    bench_run(b, 1);
    assert_int_equal(b->core.r[1], r->value[who]);
    assert_int_equal(b->core.r[15], (who == HANDLER ? NMI_HANDLER : CODE) + 4);
    bench_free(b);
  }
}

/* What MSR with 0x6000040F in r0 changes: a register in debugger's numbers,
 * and its value afterwards for each who. */
static const struct msr_row {
  const char *name;
  uint16_t number;
  unsigned changes;
  uint32_t value[3];
} msr_rows[] = {
    {"apsr: the flags", 0, CORE_XPSR, {0x61000000, 0x61000000, 0x61000002}},
    {"xpsr: the flags", 3, CORE_XPSR, {0x61000000, 0x61000000, 0x61000002}},
    {"ipsr: nothing", 5, CORE_XPSR, {0x91000000, 0x91000000, 0x91000002}},
    {"msp: without its low two bits",
     8,
     CORE_MSP,
     {0x6000040c, MSP_VALUE, 0x6000040c}},
    {"psp: without its low two bits",
     9,
     CORE_PSP,
     {0x6000040c, PSP_VALUE, 0x6000040c}},
    {"primask: bit 0, privileged", 16, CORE_PRIMASK, {1, 1, 1}},
    {"control: stack, privileged thread", 20, CORE_CONTROL, {2, 1, 0}},
};

static void msr_row(void **state)
{
  const struct msr_row *r = *state;
  for (unsigned who = PRIVILEGED; who <= HANDLER; who++) {
    uint16_t code[] = {0xf380, (uint16_t)(0x8800 | r->number)};
    struct bench *b = start(who, code, sizeof(code));
    b->core.r[0] = 0x6000040f;
    bench_run(b, 1);
    assert_int_equal(core_register(&b->core, r->changes), r->value[who]);
    bench_free(b);
  }
}

static void control_gives_up_privilege_on_m0plus_only(void **state)
{
  static const uint16_t code[] = {0xf380, 0x8814}; /* msr control, r0 */
  (void)state;
  for (int plus = 0; plus < 2; plus++) {
    struct bench *b = bench_start(plus ? CORE_KIND_M0PLUS : CORE_KIND_M0, code,
                                  sizeof(code));
    b->core.r[0] = 3;
    b->core.psp = PSP_VALUE;
    bench_run(b, 1);
    assert_int_equal(b->core.control, plus ? 3 : 2);
    assert_int_equal(b->core.r[13], PSP_VALUE);
    assert_int_equal(b->core.msp, STACK);
    bench_free(b);
  }
}

static void cps_is_privileged(void **state)
{
  static const uint16_t code[] = {0xb662, 0xb672, 0xb662}; /* cpsie, id, ie */
  (void)state;
  struct bench *b = start(PRIVILEGED, code, sizeof(code));
  bench_run(b, 1);
  assert_int_equal(b->core.primask, 0);
  bench_run(b, 1);
  assert_int_equal(b->core.primask, 1);
  bench_free(b);
  b = start(UNPRIVILEGED, code, sizeof(code));
  bench_run(b, 1);
  assert_int_equal(b->core.primask, 1);
  bench_free(b);
}

static void unprivileged_code_faults_in_system_space(void **state)
{
  static const uint16_t code[] = {0x6801}; /* ldr r1, [r0] */
  (void)state;
  for (unsigned who = PRIVILEGED; who <= UNPRIVILEGED; who++) {
    struct bench *b = start(who, code, sizeof(code));
    b->core.r[0] = 0xe000ed00;
    bench_run(b, 2);
    assert_int_equal(b->core.xpsr & CORE_EXCEPTION,
                     who == UNPRIVILEGED ? EXCEPTION_HARDFAULT : 0);
    assert_int_equal(b->core.r[1], who == UNPRIVILEGED ? 0 : 0x410cc200);
    bench_free(b);
  }
}

/* ARM DDI 0419E B1.4.7: bits 1:0 of SP are zero, whoever writes it. */
static void the_low_bits_of_sp_are_dropped(void **state)
{
  static const uint16_t code[] = {0x4685, 0x4485}; /* mov sp, r0; add sp, r0 */
  (void)state;
  for (size_t i = 0; i < 2; i++) {
    for (uint32_t low = 0; low < 4; low++) {
      struct bench *b = start(PRIVILEGED, &code[i], sizeof(code[i]));
      b->core.r[0] = 0x100 + low;
      bench_run(b, 1);
      assert_int_equal(b->core.r[13], (i == 0 ? 0 : MSP_VALUE) + 0x100);
      assert_int_equal(b->core.r[15], CODE + 2);
      assert_int_equal(b->core.cycle, 1);
      assert_int_equal(b->core.instructions, 1);
      bench_free(b);
    }
  }
}

/* --- sleep -------------------------------------------------------------- */

static void wfi_sleeps_until_an_interrupt_even_if_masked(void **state)
{
  static const uint16_t code[] = {0xbf30, 0x3501, 0xe7fe}; /* wfi; adds r5 */
  (void)state;
  struct bench *b = start(PRIVILEGED, code, sizeof(code));
  assert_int_equal(bench_run(b, 50), CORE_STOP_SLEEP);
  assert_int_equal(b->core.cycle, 2);
  core_event(&b->core, &b->bus);
  assert_int_equal(b->core.mode, CORE_SLEEPING);
  core_idle(&b->core, 90);
  core_pend(&b->core, &b->bus, EXCEPTION_IRQ0); /* not enabled */
  assert_int_equal(b->core.mode, CORE_SLEEPING);
  core_scs_write(&b->core, &b->bus, 0xe000e100, 3, false);
  core_pend(&b->core, &b->bus, EXCEPTION_IRQ0 + 1);
  assert_int_equal(b->core.mode, CORE_RUNNING);
  bench_run(b, 2);
  assert_int_equal(b->core.r[5], 1); /* PRIMASK is set: it goes on */
  assert_int_equal(b->core.xpsr & CORE_EXCEPTION, 0);
  assert_int_equal(b->core.cycle, 94); /* adds, and b . begun before 92 */
  bench_free(b);
}

static void wfi_does_not_sleep_with_one_pending(void **state)
{
  static const uint16_t code[] = {0xbf30, 0x3501, 0xe7fe};
  (void)state;
  struct bench *b = start(PRIVILEGED, code, sizeof(code));
  core_pend(&b->core, &b->bus, EXCEPTION_PENDSV);
  assert_int_equal(bench_run(b, 3), CORE_STOP_DEADLINE);
  assert_int_equal(b->core.r[5], 1);
  assert_int_equal(b->core.cycle, 3);
  bench_free(b);
}

static void wfe_takes_a_stored_event_and_then_sleeps(void **state)
{
  /* sev; wfe; adds r5, #1; wfe; adds r5, #2; b . */
  static const uint16_t code[] = {0xbf40, 0xbf20, 0x3501,
                                  0xbf20, 0x3502, 0xe7fe};
  (void)state;
  struct bench *b = start(PRIVILEGED, code, sizeof(code));
  assert_int_equal(bench_run(b, 50), CORE_STOP_SLEEP);
  assert_int_equal(b->core.r[5], 1);
  core_pend(&b->core, &b->bus, EXCEPTION_PENDSV); /* masked: no event */
  assert_int_equal(b->core.mode, CORE_SLEEPING);
  core_event(&b->core, &b->bus);
  assert_int_equal(bench_run(b, 5), CORE_STOP_DEADLINE);
  assert_int_equal(b->core.r[5], 3);
  bench_free(b);
}

static void sev_on_pend_wakes_a_masked_wfe(void **state)
{
  static const uint16_t code[] = {0xbf20, 0x3501, 0xe7fe};
  (void)state;
  struct bench *b = start(PRIVILEGED, code, sizeof(code));
  core_scs_write(&b->core, &b->bus, 0xe000ed10, 0x10, false);
  assert_int_equal(bench_run(b, 50), CORE_STOP_SLEEP);
  core_pend(&b->core, &b->bus, EXCEPTION_PENDSV);
  assert_int_equal(b->core.mode, CORE_RUNNING);
  bench_free(b);
}

static void sleep_on_exit_sleeps_behind_the_handler(void **state)
{
  static const uint16_t code[] = {0x3501, 0xe7fd}; /* adds r5, #1; b .-2 */
  static const uint16_t handler[] = {0x4770};      /* bx lr */
  (void)state;
  struct bench *b = start(PRIVILEGED, code, sizeof(code));
  bench_put(b, HANDLERS + 0x40 * EXCEPTION_PENDSV, handler, sizeof(handler));
  b->core.primask = 0;
  core_scs_write(&b->core, &b->bus, 0xe000ed10, 0x02, false);
  core_pend(&b->core, &b->bus, EXCEPTION_PENDSV);
  assert_int_equal(bench_run(b, 100), CORE_STOP_SLEEP);
  assert_int_equal(b->core.xpsr & CORE_EXCEPTION, 0);
  assert_int_equal(b->core.r[15], CODE);
  assert_int_equal(b->core.r[5], 0);
  bench_free(b);
}

/* --- the system control space ------------------------------------------- */

/* Reset value, and what is left of all ones written, through a program's
 * eyes. ARM DDI 0419E Table B3-4; CPUID of M0 from memory, of M0+ r0p1 ARM DDI
 * 0484C; VTOR bits 31:8, M0 has none (memory). */
static const struct register_row {
  const char *name;
  addr_t at;
  uint32_t reset[2], ones[2]; /* M0, M0+ */
} register_rows[] = {
    {"CPUID", 0xe000ed00, {0x410cc200, 0x410cc601}, {0x410cc200, 0x410cc601}},
    {"VTOR", 0xe000ed08, {0, FLASH}, {0, 0xffffff00}},
    {"SCR", 0xe000ed10, {0, 0}, {0x16, 0x16}},
    {"CCR", 0xe000ed14, {0x3f8, 0x3f8}, {0x3f8, 0x3f8}},
    {"SHPR2", 0xe000ed1c, {0, 0}, {0xc0000000, 0xc0000000}},
    {"SHPR3", 0xe000ed20, {0, 0}, {0xc0c00000, 0xc0c00000}},
    {"SHCSR is the debugger's", 0xe000ed24, {0, 0}, {0, 0}},
    {"DFSR is the debugger's", 0xe000ed30, {0, 0}, {0, 0}},
    {"DHCSR is the debugger's", 0xe000edf0, {0, 0}, {0, 0}},
    {"DEMCR is the debugger's", 0xe000edfc, {0, 0}, {0, 0}},
    {"a reserved word", 0xe000ed3c, {0, 0}, {0, 0}},
};

static void register_row(void **state)
{
  /* ldr r1, [r0]; str r2, [r0]; ldr r3, [r0] */
  static const uint16_t code[] = {0x6801, 0x6002, 0x6803};
  const struct register_row *r = *state;
  for (int plus = 0; plus < 2; plus++) {
    struct bench *b = bench_start(plus ? CORE_KIND_M0PLUS : CORE_KIND_M0, code,
                                  sizeof(code));
    b->core.r[0] = r->at;
    b->core.r[2] = 0xffffffff;
    bench_run(b, 6);
    assert_int_equal(b->core.r[1], r->reset[plus]);
    assert_int_equal(b->core.r[3], r->ones[plus]);
    assert_int_equal(b->access_count, 0);
    assert_false(b->core.debug_enabled);
    bench_free(b);
  }
}

/* Outside the system control space the private bus is the debugger's: it
 * reads as zero and never reaches the chip. */
static void the_rest_of_the_private_bus_reads_as_zero(void **state)
{
  static const uint16_t code[] = {0x6801, 0x6001}; /* ldr, str r1, [r0] */
  (void)state;
  struct bench *b = bench_start(CORE_KIND_M0, code, sizeof(code));
  b->core.r[0] = 0xe0001000;
  b->core.r[1] = 5;
  assert_int_equal(bench_run(b, 4), CORE_STOP_DEADLINE);
  assert_int_equal(b->core.r[1], 0);
  assert_int_equal(b->access_count, 0);
  bench_free(b);
}

static void icsr_shows_what_is_active_and_pending(void **state)
{
  uint32_t icsr;
  (void)state;
  struct bench *b = start(HANDLER, NULL, 0);
  core_scs_write(&b->core, &b->bus, 0xe000ed04, 0x14000000, false);
  assert_true(core_scs_read(&b->core, 0xe000ed04, false, &icsr));
  assert_int_equal(icsr, 0x14000000 | 14 << 12 | EXCEPTION_NMI);
  core_scs_write(&b->core, &b->bus, 0xe000ed04, 0x0a000000, false);
  core_scs_read(&b->core, 0xe000ed04, false, &icsr);
  assert_int_equal(icsr, EXCEPTION_NMI);
  core_scs_write(&b->core, &b->bus, 0xe000e100, 0x8, false); /* ISER */
  core_pend(&b->core, &b->bus, EXCEPTION_IRQ0 + 3);
  core_scs_read(&b->core, 0xe000ed04, false, &icsr);
  assert_int_equal(icsr, 0x00400000 | 19 << 12 | EXCEPTION_NMI);
  core_scs_write(&b->core, &b->bus, 0xe000ed04, 0x80000000, false);
  core_scs_read(&b->core, 0xe000ed04, false, &icsr);
  assert_int_equal(icsr, 0x80400000 | 2 << 12 | EXCEPTION_NMI);
  bench_free(b);
}

static void only_the_system_control_space_is_answered(void **state)
{
  uint32_t value;
  (void)state;
  struct bench *b = start(PRIVILEGED, NULL, 0);
  assert_false(core_scs_read(&b->core, 0xe000dffc, true, &value));
  assert_false(core_scs_read(&b->core, 0xe000f000, true, &value));
  assert_false(core_scs_write(&b->core, &b->bus, 0xe000f000, 0, true));
  assert_true(core_scs_read(&b->core, 0xe000effc, true, &value));
  bench_free(b);
}

#define TEST(name) cmocka_unit_test(name)

int main(void)
{
  static const struct CMUnitTest singles[] = {
      TEST(control_gives_up_privilege_on_m0plus_only),
      TEST(cps_is_privileged),
      TEST(unprivileged_code_faults_in_system_space),
      TEST(the_low_bits_of_sp_are_dropped),
      TEST(wfi_sleeps_until_an_interrupt_even_if_masked),
      TEST(wfi_does_not_sleep_with_one_pending),
      TEST(wfe_takes_a_stored_event_and_then_sleeps),
      TEST(sev_on_pend_wakes_a_masked_wfe),
      TEST(sleep_on_exit_sleeps_behind_the_handler),
      TEST(the_rest_of_the_private_bus_reads_as_zero),
      TEST(icsr_shows_what_is_active_and_pending),
      TEST(only_the_system_control_space_is_answered),
  };
  struct CMUnitTest tests[ROWS_COUNT(mrs_rows) + ROWS_COUNT(msr_rows) +
                          ROWS_COUNT(register_rows)];
  size_t n = ROWS_ADD(tests, mrs_row, mrs_rows);
  n += ROWS_ADD(tests + n, msr_row, msr_rows);
  n += ROWS_ADD(tests + n, register_row, register_rows);
  assert_int_equal(n, ROWS_COUNT(tests));
  int failed = cmocka_run_group_tests_name("rows", tests, NULL, NULL);
  return failed + cmocka_run_group_tests_name("singles", singles, NULL, NULL);
}

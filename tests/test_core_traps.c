/* What the library behind the instruction engine does that one would not
 * expect. An upgrade that changes a row makes this test fail, and whoever
 * upgrades then looks at what sim/core/unicorn.c builds on it. Measured with
 * Unicorn 2.0.1; no document states these.
 *
 * The rows use the library itself, which only sim/core/unicorn.c and the
 * benchmark do besides.
 */
#include <unicorn/unicorn.h>

#include "bench_core.h"
#include "core/decode.h"

#define NEVER   (UINT64_C(1) << 32)
#define SOMEHOW 0xbf00 /* nop */
#define UDF     0xde00

/* One instance with flash (no stores), RAM and a device, and what its hooks
 * saw. */
struct raw {
  uc_engine *uc;
  uint8_t flash[0x1000], ram[0x1000];
  unsigned calls;    /* of the code hook */
  addr_t last;       /* its last address */
  unsigned stop_at;  /* the call that stops, or 0 */
  uint32_t write_pc; /* what that call writes to PC, or 0 */
  uint32_t interrupt;
  unsigned reads, writes; /* of the device */
  bool stop_in_device;
  uint32_t device_pc; /* PC as a read of the device saw it */
  unsigned translated;
};

static void on_code(uc_engine *uc, uint64_t at, uint32_t size, void *user)
{
  struct raw *r = user;
  (void)size;
  r->last = (addr_t)at;
  r->calls++;
  if (r->calls != r->stop_at) return;
  if (r->write_pc != 0) uc_reg_write(uc, UC_ARM_REG_PC, &r->write_pc);
  uc_emu_stop(uc);
}

static void on_interrupt(uc_engine *uc, uint32_t number, void *user)
{
  ((struct raw *)user)->interrupt = number;
  uc_emu_stop(uc);
}

static void on_translated(uc_engine *uc, uc_tb *block, uc_tb *from, void *user)
{
  (void)uc;
  (void)from;
  ((struct raw *)user)->translated += block->icount;
}

static uint64_t on_read(uc_engine *uc, uint64_t at, unsigned size, void *user)
{
  struct raw *r = user;
  (void)at;
  (void)size;
  r->reads++;
  uc_reg_read(uc, UC_ARM_REG_PC, &r->device_pc);
  if (r->stop_in_device) uc_emu_stop(uc);
  return 0x55;
}

static void on_write(uc_engine *uc, uint64_t at, unsigned size, uint64_t value,
                     void *user)
{
  struct raw *r = user;
  (void)at;
  (void)size;
  (void)value;
  r->writes++;
  if (r->stop_in_device) uc_emu_stop(uc);
}

static void hook(struct raw *r, int type, void (*callback)(void))
{
  uc_hook h;
  uc_err error =
      uc_hook_add(r->uc, &h, type, (void *)(uintptr_t)callback, r, 1, 0);
  assert_int_equal(error, UC_ERR_OK);
}

static struct raw *open_model(int model, bool code_hook)
{
  struct raw *r = calloc(1, sizeof(*r));
  assert_non_null(r);
  assert_int_equal(uc_open(UC_ARCH_ARM, UC_MODE_THUMB, &r->uc), UC_ERR_OK);
  uc_ctl_set_cpu_model(r->uc, model);
  if (code_hook) hook(r, UC_HOOK_CODE, (void (*)(void))on_code);
  hook(r, UC_HOOK_INTR, (void (*)(void))on_interrupt);
  hook(r, UC_HOOK_EDGE_GENERATED, (void (*)(void))on_translated);
  uc_mem_map_ptr(r->uc, FLASH, sizeof(r->flash), UC_PROT_READ | UC_PROT_EXEC,
                 r->flash);
  uc_mem_map_ptr(r->uc, RAM, sizeof(r->ram), UC_PROT_ALL, r->ram);
  uc_mmio_map(r->uc, DEVICE, 0x1000, on_read, r, on_write, r);
  r->interrupt = UINT32_MAX;
  return r;
}

static struct raw *open_raw(void)
{
  return open_model(UC_CPU_ARM_CORTEX_M0, true);
}

static void close_raw(struct raw *r)
{
  uc_close(r->uc);
  free(r);
}

static void write_reg(struct raw *r, int id, uint32_t value)
{
  assert_int_equal(uc_reg_write(r->uc, id, &value), UC_ERR_OK);
}

static uint32_t read_reg(struct raw *r, int id)
{
  uint32_t value = 0;
  assert_int_equal(uc_reg_read(r->uc, id, &value), UC_ERR_OK);
  return value;
}

/* Flash full of UDF but for this code at its base. */
static void put(struct raw *r, const uint16_t *code, size_t bytes)
{
  static const uint16_t udf = UDF;
  for (size_t i = 0; i < sizeof(r->flash); i += sizeof(udf))
    memcpy(r->flash + i, &udf, sizeof(udf));
  if (bytes != 0) memcpy(r->flash, code, bytes);
  uc_ctl_remove_cache(r->uc, (uint64_t)FLASH,
                      (uint64_t)FLASH + sizeof(r->flash));
}

static uc_err run(struct raw *r, addr_t at)
{
  r->calls = 0;
  return uc_emu_start(r->uc, at | 1u, NEVER, 0, 0);
}

/* --- events: what comes back -----------------------------------------------
 */

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
  struct raw *r = open_raw();
  put(r, e->code, sizeof(e->code[0]));
  write_reg(r, UC_ARM_REG_R0, e->r0);
  assert_int_equal(run(r, FLASH), e->error);
  assert_int_equal(r->interrupt, e->interrupt);
  assert_int_equal(read_reg(r, UC_ARM_REG_PC), e->pc);
  assert_int_equal(r->calls, 1);
  assert_int_equal(r->reads, 0);
  close_raw(r);
}

/* --- opening ----------------------------------------------------------------
 */

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
  struct raw *r = open_raw();
  uint32_t xpsr = read_reg(r, UC_ARM_REG_XPSR);
  assert_int_equal(xpsr & 0x40000000, 0x40000000); /* Z */
  assert_int_equal(xpsr & CORE_THUMB, 0);
  close_raw(r);
}

/* Every 16-bit encoding: who refuses it? The library lets more through than
 * v6-M has; nothing that we let through to it may be refused by it. */
static bool library_takes(struct raw *r, uint16_t opcode)
{
  static const uint16_t udf = UDF;
  memcpy(r->flash, &opcode, sizeof(opcode));
  uc_ctl_remove_cache(r->uc, (uint64_t)FLASH, (uint64_t)FLASH + 2);
  for (int i = 0; i < 13; i++)
    write_reg(r, UC_ARM_REG_R0 + i, RAM + 0x100);
  write_reg(r, UC_ARM_REG_SP, RAM + 0x800);
  write_reg(r, UC_ARM_REG_LR, RAM + 0x101);
  memcpy(r->ram + 0x100, &udf, sizeof(udf));
  uc_ctl_remove_cache(r->uc, (uint64_t)RAM, (uint64_t)RAM + 0x1000);
  r->stop_at = 2;
  uc_err error = run(r, FLASH);
  bool at_itself = read_reg(r, UC_ARM_REG_PC) == FLASH;
  return error != UC_ERR_INSN_INVALID || !at_itself;
}

static void the_library_takes_more_than_v6m_has(void **state)
{
  static const struct {
    uint16_t from, to;
  } extra[] = {{0xb100, 0xb1ff}, {0xb300, 0xb3ff},  /* CBZ */
               {0xb900, 0xb9ff}, {0xbb00, 0xbbff},  /* CBNZ */
               {0xb650, 0xb650}, {0xb658, 0xb658},  /* SETEND */
               {0xb661, 0xb661}, {0xb673, 0xb673},  /* CPS of other bits */
               {0xbf01, 0xbf0f}, {0xbf81, 0xbf8f}}; /* IT */
  (void)state;
  struct raw *r = open_raw();
  put(r, NULL, 0);
  for (unsigned opcode = 0; opcode < 0xe800; opcode++) {
    enum decode_class class = decode_narrow((uint16_t)opcode);
    if (class != DECODE_UNDEFINED && !decode_is_system(class))
      assert_true(library_takes(r, (uint16_t)opcode));
  }
  for (size_t i = 0; i < ROWS_COUNT(extra); i++) {
    for (unsigned opcode = extra[i].from; opcode <= extra[i].to; opcode++) {
      assert_true(library_takes(r, (uint16_t)opcode));
      assert_int_equal(decode_narrow((uint16_t)opcode), DECODE_UNDEFINED);
    }
  }
  close_raw(r);
}

static void mrs_of_basepri_is_taken_by_the_library_and_not_by_us(void **state)
{
  static const uint16_t code[] = {0xf3ef, 0x8111, UDF}; /* mrs r1, basepri */
  (void)state;
  struct raw *r = open_raw();
  put(r, code, sizeof(code));
  r->stop_at = 2;
  assert_int_equal(run(r, FLASH), UC_ERR_OK);
  assert_int_equal(decode_wide(code[0], code[1]), DECODE_UNDEFINED);
  close_raw(r);
}

/* --- banked registers and returns: why unicorn.c uses neither ---------------
 */

static void stack_pointers_are_privilege_checked(void **state)
{
  (void)state;
  struct raw *r = open_raw();
  write_reg(r, UC_ARM_REG_MSP, RAM + 0x100);
  assert_int_equal(read_reg(r, UC_ARM_REG_MSP), RAM + 0x100);
  write_reg(r, UC_ARM_REG_CONTROL, 3);
  assert_int_equal(read_reg(r, UC_ARM_REG_MSP), 0);
  write_reg(r, UC_ARM_REG_CONTROL, 0);
  assert_int_equal(read_reg(r, UC_ARM_REG_CONTROL), 3);
  close_raw(r);
}

static void a_written_ipsr_is_missed_until_flags_are_written(void **state)
{
  static const uint16_t code[] = {0x4700}; /* bx r0 */
  (void)state;
  for (int rebuilt = 0; rebuilt < 2; rebuilt++) {
    struct raw *r = open_raw();
    put(r, code, sizeof(code));
    write_reg(r, UC_ARM_REG_R0, 0xfffffff9);
    write_reg(r, UC_ARM_REG_XPSR_NZCVQG, CORE_THUMB | 3);
    if (rebuilt) write_reg(r, UC_ARM_REG_APSR_NZCV, CORE_THUMB | 3);
    run(r, FLASH);
    assert_int_equal(r->interrupt, rebuilt ? 8 : NONE);
    assert_int_equal(read_reg(r, UC_ARM_REG_PC), 0xfffffff8);
    close_raw(r);
  }
}

static void sp_keeps_its_low_bits(void **state)
{
  static const uint16_t code[] = {0x4685, UDF}; /* mov sp, r0 */
  (void)state;
  struct raw *r = open_raw();
  put(r, code, sizeof(code));
  write_reg(r, UC_ARM_REG_R0, RAM + 3);
  run(r, FLASH);
  assert_int_equal(read_reg(r, UC_ARM_REG_SP), RAM + 3);
  close_raw(r);
}

/* --- hooks and stops --------------------------------------------------------
 */

static void a_stop_in_the_code_hook_precedes_the_instruction(void **state)
{
  static const uint16_t code[] = {0x2001, 0x2002, 0x2003}; /* movs r0 */
  (void)state;
  struct raw *r = open_raw();
  put(r, code, sizeof(code));
  r->stop_at = 3;
  assert_int_equal(run(r, FLASH), UC_ERR_OK);
  assert_int_equal(read_reg(r, UC_ARM_REG_R0), 2);
  assert_int_equal(r->last, FLASH + 4);
  close_raw(r);
}

static void a_pc_written_with_a_stop_loses_the_stop(void **state)
{
  static const uint16_t code[] = {0x2001, 0x2002, UDF, 0x2107, UDF};
  (void)state;
  struct raw *r = open_raw();
  put(r, code, sizeof(code));
  r->stop_at = 2;
  r->write_pc = (FLASH + 6) | 1u;
  run(r, FLASH);
  assert_int_equal(read_reg(r, UC_ARM_REG_R1), 7);
  close_raw(r);
}

/* This is what makes a bus fault precise: the load does not happen. */
static void
a_stop_inside_a_device_access_abandons_the_instruction(void **state)
{
  static const uint16_t code[] = {0x6801, 0x2207, UDF}; /* ldr r1, [r0] */
  (void)state;
  struct raw *r = open_raw();
  put(r, code, sizeof(code));
  write_reg(r, UC_ARM_REG_R0, DEVICE);
  write_reg(r, UC_ARM_REG_R1, 0x99);
  r->stop_in_device = true;
  assert_int_equal(run(r, FLASH), UC_ERR_OK);
  assert_int_equal(read_reg(r, UC_ARM_REG_R1), 0x99);
  assert_int_equal(read_reg(r, UC_ARM_REG_R2), 0);
  r->stop_in_device = false;
  run(r, FLASH); /* and is made again */
  assert_int_equal(read_reg(r, UC_ARM_REG_R1), 0x55);
  assert_int_equal(r->reads, 2);
  close_raw(r);
}

static void a_list_stops_at_the_access_that_stopped(void **state)
{
  static const uint16_t code[] = {0xc00e, 0x2207,
                                  UDF}; /* stmia r0!, {r1-r3} */
  (void)state;
  struct raw *r = open_raw();
  put(r, code, sizeof(code));
  write_reg(r, UC_ARM_REG_R0, DEVICE);
  r->stop_in_device = true;
  run(r, FLASH);
  assert_int_equal(r->writes, 1);
  assert_int_equal(read_reg(r, UC_ARM_REG_R0), DEVICE);
  close_raw(r);
}

static void pc_is_right_in_a_device_access_only_with_a_code_hook(void **state)
{
  static const uint16_t code[] = {SOMEHOW, SOMEHOW, 0x6801, UDF};
  (void)state;
  for (int hooked = 0; hooked < 2; hooked++) {
    struct raw *r = open_model(UC_CPU_ARM_CORTEX_M0, hooked);
    put(r, code, sizeof(code));
    write_reg(r, UC_ARM_REG_R0, DEVICE);
    run(r, FLASH);
    assert_int_equal(r->reads, 1);
    assert_int_equal(r->device_pc == FLASH + 4, hooked);
    close_raw(r);
  }
}

static void a_store_in_the_last_halfword_has_no_second_hook(void **state)
{
  static const uint16_t store = 0x6001; /* str r1, [r0] */
  (void)state;
  struct raw *r = open_raw();
  put(r, NULL, 0);
  memcpy(r->flash + sizeof(r->flash) - 2, &store, sizeof(store));
  write_reg(r, UC_ARM_REG_R0, DEVICE);
  addr_t last = FLASH + (addr_t)sizeof(r->flash) - 2;
  assert_int_equal(run(r, last), UC_ERR_FETCH_UNMAPPED);
  assert_int_equal(r->calls, 1);
  assert_int_equal(r->writes, 1);
  assert_int_equal(read_reg(r, UC_ARM_REG_PC), last + 2);
  close_raw(r);
}

static void half_an_instruction_has_no_hook_at_all(void **state)
{
  static const uint16_t half = 0xf000;
  (void)state;
  struct raw *r = open_raw();
  put(r, NULL, 0);
  memcpy(r->flash + sizeof(r->flash) - 2, &half, sizeof(half));
  addr_t last = FLASH + (addr_t)sizeof(r->flash) - 2;
  assert_int_equal(run(r, last), UC_ERR_FETCH_UNMAPPED);
  assert_int_equal(r->calls, 0);
  assert_int_equal(read_reg(r, UC_ARM_REG_PC), last);
  close_raw(r);
}

static void a_hook_added_later_is_not_called_from_old_code(void **state)
{
  static const uint16_t code[] = {0x2001, UDF};
  (void)state;
  struct raw *r = open_model(UC_CPU_ARM_CORTEX_M0, false);
  put(r, code, sizeof(code));
  run(r, FLASH);
  hook(r, UC_HOOK_CODE, (void (*)(void))on_code);
  run(r, FLASH);
  assert_int_equal(r->calls, 0);
  put(r, code, sizeof(code));
  run(r, FLASH);
  assert_int_equal(r->calls, 2);
  close_raw(r);
}

/* For the v7-M cores to come: what IT skips is not called for. */
static void an_instruction_skipped_by_it_has_no_hook(void **state)
{
  static const uint16_t code[] = {0x4280, 0xbf14, 0x2101, 0x2202, UDF};
  (void)state; /* cmp r0, r0; ite ne; movne r1, #1; moveq r2, #2 */
  struct raw *r = open_model(UC_CPU_ARM_CORTEX_M3, true);
  put(r, code, sizeof(code));
  run(r, FLASH);
  assert_int_equal(read_reg(r, UC_ARM_REG_R1), 0);
  assert_int_equal(read_reg(r, UC_ARM_REG_R2), 2);
  assert_int_equal(r->calls, 4);
  close_raw(r);
}

/* --- translated code
 * --------------------------------------------------------- */

static void a_change_by_the_host_is_not_noticed(void **state)
{
  static const uint16_t one[] = {0x2001, UDF}, two[] = {0x2002, UDF};
  (void)state;
  struct raw *r = open_raw();
  put(r, one, sizeof(one));
  run(r, FLASH);
  memcpy(r->flash, two, sizeof(two));
  run(r, FLASH);
  assert_int_equal(read_reg(r, UC_ARM_REG_R0), 1);
  assert_int_equal(uc_mem_write(r->uc, FLASH, two, sizeof(two)), UC_ERR_OK);
  run(r, FLASH);
  assert_int_equal(read_reg(r, UC_ARM_REG_R0), 1);
  uc_ctl_remove_cache(r->uc, (uint64_t)FLASH, (uint64_t)FLASH + 4);
  run(r, FLASH);
  assert_int_equal(read_reg(r, UC_ARM_REG_R0), 2);
  close_raw(r);
}

/* One memory mapped twice counts as two: a store through one address leaves
 * the code translated at the other. */
static void two_views_of_one_memory_are_strangers(void **state)
{
  static const uint16_t one[] = {0x2001, UDF};
  static const uint16_t store[] = {0x8011, UDF}; /* strh r1, [r2] */
  (void)state;
  struct raw *r = open_raw();
  put(r, store, sizeof(store));
  memcpy(r->ram, one, sizeof(one));
  uc_mem_map_ptr(r->uc, 0, sizeof(r->ram), UC_PROT_ALL, r->ram);
  run(r, 0);
  write_reg(r, UC_ARM_REG_R1, 0x2002);
  write_reg(r, UC_ARM_REG_R2, RAM);
  run(r, FLASH);
  run(r, 0);
  assert_int_equal(read_reg(r, UC_ARM_REG_R0), 1);
  run(r, RAM);
  assert_int_equal(read_reg(r, UC_ARM_REG_R0), 2);
  close_raw(r);
}

static void a_remap_of_equal_size_runs_the_old_code(void **state)
{
  static const uint16_t one[] = {0x2001, UDF}, two[] = {0x2002, UDF};
  (void)state;
  struct raw *r = open_raw();
  memcpy(r->flash, one, sizeof(one));
  memcpy(r->ram, two, sizeof(two));
  uint32_t rights = UC_PROT_READ | UC_PROT_EXEC;
  uc_mem_map_ptr(r->uc, 0, sizeof(r->flash), rights, r->flash);
  run(r, 0);
  uc_mem_unmap(r->uc, 0, sizeof(r->flash));
  uc_mem_map_ptr(r->uc, 0, sizeof(r->ram), rights, r->ram);
  run(r, 0);
  assert_int_equal(read_reg(r, UC_ARM_REG_R0), 1);
  uc_ctl_remove_cache(r->uc, (uint64_t)0, (uint64_t)sizeof(r->ram));
  run(r, 0);
  assert_int_equal(read_reg(r, UC_ARM_REG_R0), 2);
  close_raw(r);
}

static void an_end_address_is_ignored_in_translated_code(void **state)
{
  static const uint16_t code[] = {0x2001, 0x2002, 0x2003, UDF};
  (void)state;
  struct raw *r = open_raw();
  put(r, code, sizeof(code));
  run(r, FLASH);
  uc_emu_start(r->uc, FLASH | 1u, FLASH + 4, 0, 0);
  assert_int_equal(read_reg(r, UC_ARM_REG_R0), 3);
  put(r, code, sizeof(code));
  assert_int_equal(uc_emu_start(r->uc, FLASH | 1u, FLASH + 4, 0, 0),
                   UC_ERR_OK);
  assert_int_equal(read_reg(r, UC_ARM_REG_R0), 2);
  close_raw(r);
}

static void a_page_is_1_kib(void **state)
{
  uint32_t size = 0;
  (void)state;
  struct raw *r = open_raw();
  run(r, FLASH); /* it is decided late */
  assert_int_equal(uc_ctl_get_page_size(r->uc, &size), UC_ERR_OK);
  assert_int_equal(size, 0x400);
  close_raw(r);
}

static void translations_are_told_with_their_length(void **state)
{
  static const uint16_t code[] = {0x2001, 0x2002, 0x2003, UDF};
  (void)state;
  struct raw *r = open_raw();
  put(r, code, sizeof(code));
  run(r, FLASH);
  run(r, FLASH);
  assert_int_equal(r->translated, 4);
  close_raw(r);
}

/* The library dies at about seven million translated instructions; our engine
 * starts a new instance at two. Nothing of that may be seen. */
static void translating_on_and_on_goes_unnoticed(void **state)
{
  enum { LENGTH = 3000, ROUNDS = 750 };
  static uint16_t code[LENGTH];
  (void)state;
  struct bench *b = bench_start(CORE_KIND_M0PLUS, code, 2);
  b->core.r[1] = 1;
  for (unsigned round = 0; round < ROUNDS; round++) {
    for (unsigned i = 0; i < LENGTH; i++) /* adds r0, r0, r1; nop */
      code[i] = (i + round) % 2 ? 0x1840 : 0xbf00;
    bench_put(b, FLASH + 0x200, code, sizeof(code));
    b->core.r[15] = FLASH + 0x200;
    assert_int_equal(bench_run(b, LENGTH), CORE_STOP_DEADLINE);
  }
  assert_int_equal(b->core.r[0], LENGTH / 2 * ROUNDS);
  assert_int_equal(b->core.instructions, LENGTH * ROUNDS);
  assert_int_equal(b->core.cycle, LENGTH * ROUNDS);
  bench_free(b);
}

#define TEST(name) cmocka_unit_test(name)

int main(void)
{
  static const struct CMUnitTest singles[] = {
      TEST(m_class_mode_is_another_processor),
      TEST(the_state_after_opening_is_no_reset_state),
      TEST(the_library_takes_more_than_v6m_has),
      TEST(mrs_of_basepri_is_taken_by_the_library_and_not_by_us),
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
      TEST(a_change_by_the_host_is_not_noticed),
      TEST(two_views_of_one_memory_are_strangers),
      TEST(a_remap_of_equal_size_runs_the_old_code),
      TEST(an_end_address_is_ignored_in_translated_code),
      TEST(a_page_is_1_kib),
      TEST(translations_are_told_with_their_length),
      TEST(translating_on_and_on_goes_unnoticed),
  };
  struct CMUnitTest tests[ROWS_COUNT(event_rows)];
  ROWS_ADD(tests, event_row, event_rows);
  int failed = cmocka_run_group_tests_name("events", tests, NULL, NULL);
  return failed + cmocka_run_group_tests_name("traps", singles, NULL, NULL);
}

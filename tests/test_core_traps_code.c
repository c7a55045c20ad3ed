/* What the library behind the instruction engine takes for an instruction, and
 * when it forgets what it has translated. See test_core_traps.c. */
#include "core/decode.h"
#include "raw_engine.h"

/* Every 16-bit encoding: who refuses it? The library lets more through than
 * v6-M has; nothing that we let through to it may be refused by it. */
static bool library_takes(struct raw *r, uint16_t opcode)
{
  static const uint16_t udf = UDF;
  memcpy(r->flash, &opcode, sizeof(opcode));
  uc_ctl_remove_cache(r->uc, (uint64_t)FLASH, (uint64_t)FLASH + 2);
  for (int i = 0; i < 13; i++)
    raw_write(r, UC_ARM_REG_R0 + i, RAM + 0x100);
  raw_write(r, UC_ARM_REG_SP, RAM + 0x800);
  raw_write(r, UC_ARM_REG_LR, RAM + 0x101);
  memcpy(r->ram + 0x100, &udf, sizeof(udf));
  uc_ctl_remove_cache(r->uc, (uint64_t)RAM, (uint64_t)RAM + 0x1000);
  r->stop_at = 2;
  uc_err error = raw_run(r, FLASH);
  bool at_itself = raw_read(r, UC_ARM_REG_PC) == FLASH;
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
  struct raw *r = raw_open();
  raw_put(r, NULL, 0);
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
  raw_close(r);
}

static void mrs_of_basepri_is_taken_by_the_library_and_not_by_us(void **state)
{
  static const uint16_t code[] = {0xf3ef, 0x8111, UDF}; /* mrs r1, basepri */
  (void)state;
  struct raw *r = raw_open();
  raw_put(r, code, sizeof(code));
  r->stop_at = 2;
  assert_int_equal(raw_run(r, FLASH), UC_ERR_OK);
  assert_int_equal(decode_wide(code[0], code[1]), DECODE_UNDEFINED);
  raw_close(r);
}

/* --- translated code
 * --------------------------------------------------------- */

static void a_change_by_the_host_is_not_noticed(void **state)
{
  static const uint16_t one[] = {0x2001, UDF}, two[] = {0x2002, UDF};
  (void)state;
  struct raw *r = raw_open();
  raw_put(r, one, sizeof(one));
  raw_run(r, FLASH);
  memcpy(r->flash, two, sizeof(two));
  raw_run(r, FLASH);
  assert_int_equal(raw_read(r, UC_ARM_REG_R0), 1);
  assert_int_equal(uc_mem_write(r->uc, FLASH, two, sizeof(two)), UC_ERR_OK);
  raw_run(r, FLASH);
  assert_int_equal(raw_read(r, UC_ARM_REG_R0), 1);
  uc_ctl_remove_cache(r->uc, (uint64_t)FLASH, (uint64_t)FLASH + 4);
  raw_run(r, FLASH);
  assert_int_equal(raw_read(r, UC_ARM_REG_R0), 2);
  raw_close(r);
}

/* One memory mapped at two places: code in it, run at either, belongs to the
 * place mapped first. A store at that place reaches it; one at the other does
 * not, even if the code runs there too. */
static void code_belongs_to_the_view_mapped_first(void **state)
{
  static const uint16_t one[] = {0x2001, UDF};
  static const uint16_t store[] = {0x8011, UDF}; /* strh r1, [r2] */
  (void)state;
  for (unsigned i = 0; i < 4; i++) {
    addr_t place = i & 1 ? RAM : 0, written = i & 2 ? RAM : 0;
    struct raw *r = raw_open(); /* RAM is mapped first */
    raw_put(r, store, sizeof(store));
    memcpy(r->ram, one, sizeof(one));
    uc_mem_map_ptr(r->uc, 0, sizeof(r->ram), UC_PROT_ALL, r->ram);
    raw_run(r, place);
    raw_write(r, UC_ARM_REG_R1, 0x2002); /* movs r0, #2 */
    raw_write(r, UC_ARM_REG_R2, written);
    raw_run(r, FLASH);
    raw_run(r, place);
    assert_int_equal(raw_read(r, UC_ARM_REG_R0), written == RAM ? 2 : 1);
    raw_close(r);
  }
}

/* Memory at 0 replaced by other memory of the same size: the old code runs,
 * unless both are mapped elsewhere before. */
static void a_remap_of_equal_size_runs_the_old_code(void **state)
{
  static const uint16_t one[] = {0x2001, UDF}, two[] = {0x2002, UDF};
  static uint8_t a[0x1000], b[0x1000];
  uint32_t rights = UC_PROT_READ | UC_PROT_EXEC;
  (void)state;
  memcpy(a, one, sizeof(one));
  memcpy(b, two, sizeof(two));
  for (int elsewhere = 0; elsewhere < 2; elsewhere++) {
    struct raw *r = raw_open();
    if (elsewhere) {
      uc_mem_map_ptr(r->uc, 0x10000000, sizeof(a), rights, a);
      uc_mem_map_ptr(r->uc, 0x10010000, sizeof(b), rights, b);
    }
    uc_mem_map_ptr(r->uc, 0, sizeof(a), rights, a);
    raw_run(r, 0);
    uc_mem_unmap(r->uc, 0, sizeof(a));
    uc_mem_map_ptr(r->uc, 0, sizeof(b), rights, b);
    raw_run(r, 0);
    assert_int_equal(raw_read(r, UC_ARM_REG_R0), elsewhere ? 2 : 1);
    uc_ctl_remove_cache(r->uc, (uint64_t)0, (uint64_t)sizeof(b));
    raw_run(r, 0);
    assert_int_equal(raw_read(r, UC_ARM_REG_R0), 2);
    raw_close(r);
  }
}

static void an_end_address_is_ignored_in_translated_code(void **state)
{
  static const uint16_t code[] = {0x2001, 0x2002, 0x2003, UDF};
  (void)state;
  struct raw *r = raw_open();
  raw_put(r, code, sizeof(code));
  raw_run(r, FLASH);
  uc_emu_start(r->uc, FLASH | 1u, FLASH + 4, 0, 0);
  assert_int_equal(raw_read(r, UC_ARM_REG_R0), 3);
  raw_put(r, code, sizeof(code));
  assert_int_equal(uc_emu_start(r->uc, FLASH | 1u, FLASH + 4, 0, 0),
                   UC_ERR_OK);
  assert_int_equal(raw_read(r, UC_ARM_REG_R0), 2);
  raw_close(r);
}

static void a_page_is_1_kib(void **state)
{
  size_t size = 0;
  (void)state;
  struct raw *r = raw_open();
  raw_run(r, FLASH); /* it is decided late */
  assert_int_equal(uc_query(r->uc, UC_QUERY_PAGE_SIZE, &size), UC_ERR_OK);
  assert_int_equal(size, 0x400);
  raw_close(r);
}

/* All but the first of an instance: also those reached by BX, over the end of
 * a page, or by starting there. */
static void translations_are_told_with_their_length(void **state)
{
  /* movs r0, #1; bx r1; movs r0, #2; bx r2 */
  static const uint16_t code[] = {0x2001, 0x4708, 0x2002, 0x4710};
  static const uint16_t behind[] = {0x2003, 0x2004, UDF};
  (void)state;
  struct raw *r = raw_open();
  raw_put(r, code, sizeof(code));
  memcpy(r->flash + 0x3fe, behind, sizeof(behind));
  raw_write(r, UC_ARM_REG_R1, (FLASH + 4) | 1u);
  raw_write(r, UC_ARM_REG_R2, (FLASH + 0x3fe) | 1u);
  raw_run(r, FLASH);
  assert_int_equal(r->translated, 2 + 1 + 2);
  raw_run(r, FLASH);
  assert_int_equal(r->translated, 5);
  raw_run(r, FLASH + 2);
  assert_int_equal(r->translated, 6);
  raw_close(r);
}

/* KiB in use of memory that can be written and executed: translated code. */
static long translated_kib(void)
{
  char line[512], rights[5];
  bool counts = false;
  long sum = 0, kib;
  FILE *smaps = fopen("/proc/self/smaps", "r");
  assert_non_null(smaps);
  while (fgets(line, sizeof(line), smaps) != NULL) {
    if (sscanf(line, "%*x-%*x %4s", rights) == 1)
      counts = strcmp(rights, "rwxp") == 0;
    else if (counts && sscanf(line, "Rss: %ld kB", &kib) == 1)
      sum += kib;
  }
  fclose(smaps);
  return sum;
}

/* The library dies at about seven million translated instructions, some 150
 * bytes each; our engine starts a new instance at two. Nothing of that may be
 * seen, but that the memory has come back. */
static void translating_on_and_on_goes_unnoticed(void **state)
{
  enum { LENGTH = 3000, ROUNDS = 700, SOME = 10 * 1024, MUCH = 150 * 1024 };
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
  assert_in_range(translated_kib(), SOME, MUCH);
  assert_int_equal(b->core.r[0], LENGTH / 2 * ROUNDS);
  assert_int_equal(b->core.instructions, LENGTH * ROUNDS);
  assert_int_equal(b->core.cycle, LENGTH * ROUNDS);
  bench_free(b);
}

#define TEST(name) cmocka_unit_test(name)

int main(void)
{
  static const struct CMUnitTest singles[] = {
      TEST(the_library_takes_more_than_v6m_has),
      TEST(mrs_of_basepri_is_taken_by_the_library_and_not_by_us),
      TEST(a_change_by_the_host_is_not_noticed),
      TEST(code_belongs_to_the_view_mapped_first),
      TEST(a_remap_of_equal_size_runs_the_old_code),
      TEST(an_end_address_is_ignored_in_translated_code),
      TEST(a_page_is_1_kib),
      TEST(translations_are_told_with_their_length),
      TEST(translating_on_and_on_goes_unnoticed),
  };
  return cmocka_run_group_tests_name("code", singles, NULL, NULL);
}

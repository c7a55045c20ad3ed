/* The instructions one by one, on each instruction engine; the two engines
 * against each other, at random; and two in lockstep.
 *
 * With arguments, COUNT and SEED, only compares them at random, that often.
 */
#include <inttypes.h>

#include "bench_core.h"
#include "core/decode.h"
#include "core/nvic.h"
#include "core/own_table.h"
#include "differential.h"

static const struct engine {
  const char *name;
  enum cpu_engine engine;
} engines[] = {{"unicorn", CPU_ENGINE_UNICORN},
               {"own", CPU_ENGINE_OWN},
               {"both", CPU_ENGINE_BOTH}};

static struct bench *start(const struct engine *e, const uint16_t *code,
                           size_t bytes)
{
  struct sim_error err;
  struct bench *b = bench_new(CORE_KIND_M0PLUS, 1);
  assert_int_equal(cpu_open(&b->cpu, e->engine, &b->part, &err), SIM_OK);
  cpu_map(b->cpu, &b->bus);
  bench_vectors(b);
  bench_put(b, CODE, code, bytes);
  bench_reset(b);
  b->core.break_at = CYCLE_NEVER;
  return b;
}

static void finish(struct bench *b)
{
  if (cpu_disagreement(b->cpu) != NULL)
    fail_msg("%s", cpu_disagreement(b->cpu));
  bench_free(b);
}

/* --- arithmetic --------------------------------------------------------- */

static const struct alu_row {
  const char *name;
  uint16_t opcode;
  uint32_t r0, r1;
  const char *flags;
  uint32_t r0_after;
  const char *flags_after;
} alu_rows[] = {
#define X(text, opcode, r0, r1, flags, r0_after, flags_after)                 \
  {text, opcode, r0, r1, flags, r0_after, flags_after},
#include "alu_rows.def"
#undef X
};

static uint32_t flags_of(const char *text)
{
  static const char letters[] = "VCZN";
  uint32_t flags = 0;
  for (; *text != '\0'; text++)
    if (*text != '-') flags |= 1u << (28 + (strchr(letters, *text) - letters));
  return flags;
}

static void alu_row(void **state)
{
  const struct alu_row *r = *state;
  for (size_t i = 0; i < ROWS_COUNT(engines); i++) {
    struct bench *b = start(&engines[i], &r->opcode, sizeof(r->opcode));
    b->core.r[0] = r->r0;
    b->core.r[1] = r->r1;
    b->core.xpsr |= flags_of(r->flags);
    bench_run(b, 1);
    assert_int_equal(b->core.r[0], r->r0_after);
    if (r->opcode != 0x4288) assert_int_equal(b->core.r[1], r->r1);
    assert_int_equal(b->core.xpsr, CORE_THUMB | flags_of(r->flags_after));
    assert_int_equal(b->core.r[15], CODE + 2);
    finish(b);
  }
}

/* --- loads, stores, branches -------------------------------------------- */

static const struct place_row {
  const char *name;
  addr_t pc;
  uint16_t code[2];
  uint32_t before[3], after[3]; /* r0 to r2 */
  int32_t sp;
  uint32_t lr, pc_after, word;
} place_rows[] = {
#define X(text, pc, code, before, after, sp, lr, pc_after, word)              \
  {text, pc, code, before, after, sp, lr, pc_after, word},
#include "place_rows.def"
#undef X
};

static void place(struct bench *b, const struct place_row *r)
{
  for (addr_t at = 0x100; at < 0x200; at++)
    b->ram[at] = (uint8_t)at;
  bench_word(b, CODE + 8, 0xd00dfeed);
  bench_put(b, CODE + r->pc, r->code, sizeof(r->code));
  memcpy(b->core.r, r->before, sizeof(r->before));
  b->core.r[13] = RAM + 0x140;
  b->core.r[14] = CODE + 0x41;
  b->core.r[15] = CODE + r->pc;
}

static void place_row(void **state)
{
  const struct place_row *r = *state;
  for (size_t i = 0; i < ROWS_COUNT(engines); i++) {
    struct bench *b = start(&engines[i], r->code, sizeof(r->code));
    place(b, r);
    bench_run(b, 1);
    assert_memory_equal(b->core.r, r->after, sizeof(r->after));
    assert_int_equal(b->core.r[13], RAM + 0x140 + (uint32_t)r->sp);
    assert_int_equal(b->core.r[14], CODE + r->lr);
    assert_int_equal(b->core.r[15], CODE + r->pc_after);
    assert_int_equal(b->core.xpsr, CORE_THUMB);
    assert_int_equal(bench_peek(b, RAM + 0x180), r->word);
    finish(b);
  }
}

static void push_puts_the_lowest_register_lowest(void **state)
{
  static const uint16_t code[] = {0xb5a1}; /* push {r0, r5, r7, lr} */
  (void)state;
  for (size_t i = 0; i < ROWS_COUNT(engines); i++) {
    struct bench *b = start(&engines[i], code, sizeof(code));
    b->core.r[0] = 10;
    b->core.r[5] = 15;
    b->core.r[7] = 17;
    b->core.r[14] = 24;
    bench_run(b, 1);
    assert_int_equal(b->core.r[13], STACK - 16);
    assert_int_equal(bench_peek(b, STACK - 16), 10);
    assert_int_equal(bench_peek(b, STACK - 12), 15);
    assert_int_equal(bench_peek(b, STACK - 8), 17);
    assert_int_equal(bench_peek(b, STACK - 4), 24);
    finish(b);
  }
}

/* --- writes to PC that are more than a branch --------------------------- */

/* PC gets `value` by POP, BX or BLX in thread or handler mode; ARM DDI 0419E
 * A2.3.1, B1.5.8. */
static const struct jump_row {
  const char *name;
  uint16_t code;
  unsigned handler; /* exception number, 0: thread mode */
  uint32_t value;
  uint32_t stacked; /* return address of the HardFault, or 0: there is none */
} jump_rows[] = {
    {"POP to an odd address branches", 0xbd00, 0, CODE + 0x41, 0},
    {"POP to an even address leaves Thumb state", 0xbd00, 0, CODE + 0x40,
     CODE + 0x40},
    {"BX to an even address leaves Thumb state", 0x4700, 0, CODE + 0x40,
     CODE + 0x40},
    {"BLX to an even address leaves Thumb state", 0x4780, 0, CODE + 0x40,
     CODE + 0x40},
    {"POP of EXC_RETURN is an address in thread mode", 0xbd00, 0, 0xfffffff9,
     0xfffffff8},
    {"BX of EXC_RETURN is an address in thread mode", 0x4700, 0, 0xfffffffd,
     0xfffffffc},
    {"BLX of EXC_RETURN is an address in a handler", 0x4780, EXCEPTION_PENDSV,
     0xfffffff9, 0xfffffff8},
    {"a device is not executed", 0x4700, 0, DEVICE | 1u, DEVICE},
    {"a hole is not executed", 0x4700, 0, 0x0a000001, 0x0a000000},
};

static void jump_row(void **state)
{
  static const uint16_t stay = 0xe7fe; /* b . */
  const struct jump_row *r = *state;
  for (size_t i = 0; i < ROWS_COUNT(engines); i++) {
    struct bench *b = start(&engines[i], &r->code, sizeof(r->code));
    bench_word(b, STACK, r->value);
    bench_put(b, CODE + 0x40, &stay, sizeof(stay));
    b->core.r[0] = r->value;
    b->core.xpsr |= r->handler;
    if (r->handler != 0) nvic_add(&b->core.active, r->handler);
    bench_run(b, 8);
    const struct bench_report *fault = bench_find(b, TRACE_EXCEPTION, 0);
    if (r->stacked == 0) {
      assert_null(fault);
      assert_int_equal(b->core.r[15], r->value & ~1u);
    } else {
      assert_non_null(fault);
      assert_int_equal(fault->a, EXCEPTION_HARDFAULT);
      assert_int_equal(fault->b, r->stacked);
    }
    finish(b);
  }
}

static void a_handler_returns_by_pop_and_by_bx(void **state)
{
  static const uint16_t returns[] = {0xbd00, 0x4700}; /* pop {pc}; bx r0 */
  (void)state;
  for (size_t i = 0; i < ROWS_COUNT(engines); i++) {
    for (size_t n = 0; n < ROWS_COUNT(returns); n++) {
      struct bench *b = start(&engines[i], &returns[n], sizeof(uint16_t));
      b->core.xpsr |= EXCEPTION_PENDSV;
      nvic_add(&b->core.active, EXCEPTION_PENDSV);
      bench_word(b, STACK, 0xfffffff9);
      b->core.r[0] = 0xfffffff9;
      addr_t frame = n == 0 ? STACK + 4 : STACK;
      bench_word(b, frame + 0x18, CODE + 0x80);
      bench_word(b, frame + 0x1c, CORE_THUMB | 0x60000000u);
      bench_run(b, 1);
      assert_int_equal(b->core.r[15], CODE + 0x80);
      assert_int_equal(b->core.r[13], frame + 0x20);
      assert_int_equal(b->core.xpsr, CORE_THUMB | 0x60000000u);
      finish(b);
    }
  }
}

/* --- what ARMv6-M does not have ----------------------------------------- */

/* ARM DDI 0419E A5: not there, or UNPREDICTABLE. */
static const struct undefined_row {
  const char *name;
  uint16_t code[2];
} undefined_rows[] = {
    {"UDF", {0xde00}},
    {"UDF.W", {0xf7f0, 0xa000}},
    {"CBZ", {0xb100}},
    {"CBNZ", {0xb900}},
    {"IT", {0xbf08}},
    {"SETEND", {0xb650}},
    {"CPSID f", {0xb671}},
    {"LDR.W", {0xf8d0, 0x0000}},
    {"MOVW", {0xf240, 0x0000}},
    {"B.W", {0xf000, 0x9000}},
    {"UDIV", {0xfbb0, 0xf0f1}},
    {"MRS of BASEPRI", {0xf3ef, 0x8011}},
    {"a coprocessor", {0xee10, 0x0a10}},
    {"a 32-bit encoding that begins with 11101", {0xe800, 0x0000}},
    {"erased flash", {0xffff, 0xffff}},
    {"PUSH of nothing", {0xb400}},
    {"LDM of nothing", {0xc900}},
    {"BLX to PC", {0x47f8}},
    {"ADD of PC and PC", {0x44ff}},
};

static void undefined_row(void **state)
{
  const struct undefined_row *r = *state;
  for (size_t i = 0; i < ROWS_COUNT(engines); i++) {
    struct bench *b = start(&engines[i], r->code, sizeof(r->code));
    bench_run(b, 4);
    const struct bench_report *fault = bench_find(b, TRACE_EXCEPTION, 0);
    assert_non_null(fault);
    assert_int_equal(fault->a, EXCEPTION_HARDFAULT);
    assert_int_equal(fault->b, CODE);
    assert_int_equal(b->core.cycle - fault->cycle, 15); /* nothing else ran */
    finish(b);
  }
}

/* --- an instruction over the end of a region ---------------------------- */

/* A 32-bit encoding in the last halfword of flash: alone it faults where it
 * stands; with a region right behind, it is fetched from both. */
static void an_instruction_can_lie_in_two_regions(void **state)
{
  static const uint16_t bl[] = {0xf7ff, 0xf800}; /* bl, 4096 back */
  (void)state;
  for (size_t i = 0; i < ROWS_COUNT(engines); i++) {
    for (int joined = 0; joined < 2; joined++) {
      struct bench *b = start(&engines[i], bl, sizeof(bl));
      addr_t at = FLASH + FLASH_SIZE - 2;
      b->bus.regions[IN_ROM].at = joined ? FLASH + FLASH_SIZE : ROM;
      memcpy(b->flash + FLASH_SIZE - 2, &bl[0], 2);
      memcpy(b->rom, &bl[1], 2);
      cpu_map(b->cpu, &b->bus);
      b->core.r[15] = at;
      bench_run(b, 1);
      if (joined)
        assert_int_equal(b->core.r[15], at + 4 - 4096);
      else
        assert_int_equal(bench_find(b, TRACE_EXCEPTION, 0)->b, at);
      finish(b);
    }
  }
}

/* --- what an engine keeps about memory ---------------------------------- */

/* Loads and stores follow the alias, as fetches do. */
static void data_at_0_follow_the_alias(void **state)
{
  /* ldr r0, [r1]; str r0, [r2]; b . */
  static const uint16_t code[] = {0x6808, 0x6010, 0xe7fe};
  static const unsigned order[] = {IN_ROM, IN_RAM, IN_FLASH, IN_RAM, IN_ROM};
  (void)state;
  for (size_t i = 0; i < ROWS_COUNT(engines); i++) {
    struct bench *b = start(&engines[i], code, sizeof(code));
    bench_word(b, FLASH + 0x400, IN_FLASH);
    bench_word(b, ROM + 0x400, IN_ROM);
    bench_word(b, RAM + 0x400, IN_RAM);
    b->core.r[1] = 0x400;
    for (size_t n = 0; n < ROWS_COUNT(order); n++) {
      b->bus.alias = order[n];
      cpu_map(b->cpu, &b->bus);
      b->core.r[2] = order[n] == IN_RAM ? 0x500 : RAM + 0x500;
      b->core.r[15] = CODE;
      bench_word(b, RAM + 0x500, 0xff);
      bench_run(b, 6);
      assert_int_equal(b->core.r[0], order[n]);
      assert_int_equal(bench_peek(b, RAM + 0x500), order[n]);
    }
    finish(b);
  }
}

/* --- our own engine follows every store --------------------------------- */

static void a_store_to_the_next_instruction_is_seen(void **state)
{
  /* strh r1, [r0, #2]; movs r4, #1; b . */
  static const uint16_t code[] = {0x8041, 0x2401, 0xe7fe};
  (void)state;
  struct bench *b = start(&engines[1], code, sizeof(code));
  bench_put(b, RAM + 0x400, code, sizeof(code));
  b->core.r[0] = b->core.r[15] = RAM + 0x400;
  b->core.r[1] = 0x2402; /* movs r4, #2 */
  bench_run(b, 8);
  assert_int_equal(b->core.r[4], 2);
  finish(b);
}

/* --- the table and the decoder ------------------------------------------ */

/* decode.c says what is defined and what system.c executes; every defined
 * opcode has its row, executed by whom decode.c says. */
static void the_table_has_what_the_decoder_knows(void **state)
{
  (void)state;
  for (unsigned opcode = 0; opcode < DECODE_NARROW_COUNT; opcode++) {
    enum decode_class class = decode_narrow((uint16_t)opcode);
    const struct own_row *r = &own_table[own_table_find((uint16_t)opcode)];
    if (class == DECODE_UNDEFINED) continue;
    if (decode_is_system(class) != (r->execute == op_system))
      fail_msg("0x%04x, %s", opcode, r->syntax);
    assert_true((class == DECODE_WIDE) == (r->execute == op_wide));
  }
}

static void opcodes_are_taken_apart_as_the_rows_say(void **state)
{
  (void)state;
  struct operation *all = calloc(DECODE_NARROW_COUNT, sizeof(*all));
  assert_non_null(all);
  own_table_apply(all);
  for (unsigned opcode = 0; opcode < DECODE_NARROW_COUNT; opcode++)
    assert_int_equal(all[opcode].row, own_table_find((uint16_t)opcode));
  /* MOV r11, r6; LDR r5, [r2, #124]; LDR r3, [SP, #1020]; PUSH {r1, LR} */
  assert_true(all[0x46b3].d == 11 && all[0x46b3].m == 6);
  assert_true(all[0x6fd5].d == 5 && all[0x6fd5].n == 2);
  assert_int_equal(all[0x6fd5].imm, 124);
  assert_true(all[0x9bff].d == 3 && all[0x9bff].imm == 1020);
  assert_int_equal(all[0xb502].imm, 0x102);
  free(all);
}

/* --- two in lockstep ---------------------------------------------------- */

static const uint16_t count_up[] = {0x3001, 0xe7fd}; /* adds r0, #1; b -2 */

/* Code in RAM is changed behind the back of the engine that remembers it. */
static struct bench *make_them_differ(void)
{
  struct bench *b = start(&engines[2], count_up, sizeof(count_up));
  bench_put(b, RAM + 0x400, count_up, sizeof(count_up));
  b->core.r[15] = RAM + 0x400;
  bench_run(b, 20);
  assert_null(cpu_disagreement(b->cpu));
  b->ram[0x400] = 2;
  return b;
}

static void a_difference_is_told(void **state)
{
  (void)state;
  struct bench *b = make_them_differ();
  uint32_t count = b->core.r[0];
  assert_int_equal(bench_run(b, 20), CORE_STOP_ATTENTION);
  char expected[200];
  snprintf(expected, sizeof(expected),
           "the two engines (own, unicorn) disagree at 0x20000400 (0x3002, "
           "ADDS <Rdn>, #<imm8>): r[0] is 0x%" PRIx32 ", 0x%" PRIx32,
           count + 2, count + 1);
  assert_string_equal(cpu_disagreement(b->cpu), expected);
  bench_free(b);
}

static void nothing_executes_after_a_difference(void **state)
{
  (void)state;
  struct bench *b = make_them_differ();
  bench_run(b, 20);
  uint64_t instructions = b->core.instructions;
  for (int i = 0; i < 3; i++)
    assert_int_equal(bench_run(b, 20), CORE_STOP_ATTENTION);
  assert_int_equal(b->core.instructions, instructions);
  bench_free(b);
}

static void engines_alone_disagree_with_nobody(void **state)
{
  (void)state;
  for (size_t i = 0; i < 2; i++) {
    struct bench *b = start(&engines[i], count_up, sizeof(count_up));
    bench_run(b, 20);
    assert_null(cpu_disagreement(b->cpu));
    bench_free(b);
  }
}

/* --- at random ---------------------------------------------------------- */

static void the_engines_agree_on_50000_random_states(void **state)
{
  (void)state;
  assert_true(differential_run(1, 50000, false));
}

static int compare_at_random(char **arguments)
{
  uint64_t count = strtoull(arguments[1], NULL, 10);
  uint64_t seed = strtoull(arguments[2], NULL, 10);
  return differential_run(seed, count, true) ? 0 : 1;
}

int main(int argc, char **argv)
{
  static const struct CMUnitTest singles[] = {
      cmocka_unit_test(push_puts_the_lowest_register_lowest),
      cmocka_unit_test(a_handler_returns_by_pop_and_by_bx),
      cmocka_unit_test(an_instruction_can_lie_in_two_regions),
      cmocka_unit_test(data_at_0_follow_the_alias),
      cmocka_unit_test(a_store_to_the_next_instruction_is_seen),
      cmocka_unit_test(the_table_has_what_the_decoder_knows),
      cmocka_unit_test(opcodes_are_taken_apart_as_the_rows_say),
      cmocka_unit_test(a_difference_is_told),
      cmocka_unit_test(nothing_executes_after_a_difference),
      cmocka_unit_test(engines_alone_disagree_with_nobody),
      cmocka_unit_test(the_engines_agree_on_50000_random_states),
  };
  struct CMUnitTest tests[ROWS_COUNT(alu_rows) + ROWS_COUNT(place_rows) +
                          ROWS_COUNT(jump_rows) + ROWS_COUNT(undefined_rows)];
  if (argc == 3) return compare_at_random(argv);
  size_t n = ROWS_ADD(tests, alu_row, alu_rows);
  n += ROWS_ADD(tests + n, place_row, place_rows);
  n += ROWS_ADD(tests + n, jump_row, jump_rows);
  n += ROWS_ADD(tests + n, undefined_row, undefined_rows);
  assert_int_equal(n, ROWS_COUNT(tests));
  int failed = cmocka_run_group_tests_name("rows", tests, NULL, NULL);
  return failed + cmocka_run_group_tests_name("singles", singles, NULL, NULL);
}

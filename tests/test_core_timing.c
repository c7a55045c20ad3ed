/* Cycles of each instruction against the published tables.
 *
 *   [M0P] ARM DDI 0484C Table 3-1 (Cortex-M0+ r0p1)
 *   [M0]  ARM DDI 0432C Table 3-1 (Cortex-M0 r0p0), second-hand copy
 *
 * The numbers stand here a second time, typed from the tables, not taken from
 * the program. A sequence is measured between the entry of its first
 * instruction and of the one behind it.
 */
#include "bench_core.h"
#include "core/cycles.h"

#define BOTH   "[M0P] ARM DDI 0484C Table 3-1; [M0] ARM DDI 0432C Table 3-1"
#define MEMORY "[M0P] ARM DDI 0484C Table 3-1; M0 from memory"

static const struct row {
  const char *name;
  unsigned length; /* halfwords; execution ends behind the last */
  cycle_t m0, m0plus;
  unsigned multiplies; /* each takes 32 instead of 1 with that option */
  const char *source;
  uint16_t code[8];
} rows[] = {
#define HALVES(...)                                                           \
  (sizeof((const uint16_t[]){__VA_ARGS__}) / sizeof(uint16_t))
#define X(text, m0, m0plus, multiplies, source, ...)                          \
  {text " takes " #m0 " on M0, " #m0plus " on M0+",                           \
   HALVES(__VA_ARGS__),                                                       \
   m0,                                                                        \
   m0plus,                                                                    \
   multiplies,                                                                \
   source,                                                                    \
   {__VA_ARGS__}},
#include "core_timing_rows.def"
#undef X
};

/* r0: RAM; r4: 2; r5: where the sequence ends; r6: the device; r7: 8. */
static struct bench *prepare(enum core_kind kind, int multiplier,
                             const uint16_t *code, unsigned length)
{
  static const uint16_t stay = 0xe7fe; /* B . */
  struct bench *b = bench_new(kind, multiplier);
  addr_t end = CODE + 2 * length;
  bench_vectors(b);
  bench_put(b, CODE, code, 2 * length);
  bench_put(b, end, &stay, sizeof(stay));
  for (addr_t at = STACK; at < RAM + RAM_SIZE; at += 4)
    bench_word(b, at, end | 1u);
  b->bus.watches[0] = CODE;
  b->bus.watches[1] = end;
  b->bus.watch_count = 2;
  bench_reset(b);
  b->core.r[0] = RAM + 0x100;
  b->core.r[2] = 3;
  b->core.r[4] = 2;
  b->core.r[5] = end | 1u;
  b->core.r[6] = DEVICE;
  b->core.r[7] = 8;
  b->core.r[13] = STACK;
  return b;
}

static cycle_t measure(struct bench *b)
{
  assert_int_equal(bench_run(b, 400), CORE_STOP_DEADLINE);
  const struct bench_report *first = bench_find(b, TRACE_MARK, 0);
  const struct bench_report *last = bench_find(b, TRACE_MARK, 1);
  assert_non_null(first);
  assert_non_null(last);
  assert_int_equal(first->a, 0);
  assert_int_equal(last->a, 1);
  return last->cycle - first->cycle;
}

static void check(const struct row *r, enum core_kind kind, int multiplier)
{
  struct bench *b = prepare(kind, multiplier, r->code, r->length);
  cycle_t expected = kind == CORE_KIND_M0 ? r->m0 : r->m0plus;
  expected += (cycle_t)r->multiplies * (multiplier - 1);
  cycle_t cycles = measure(b);
  if (cycles != expected)
    print_error("%s, multiplier %d: %s\n", kind == CORE_KIND_M0 ? "M0" : "M0+",
                multiplier, r->source);
  assert_int_equal(cycles, expected);
  bench_free(b);
}

static void timing_row(void **state)
{
  check(*state, CORE_KIND_M0, 1);
  check(*state, CORE_KIND_M0, 32);
  check(*state, CORE_KIND_M0PLUS, 1);
  check(*state, CORE_KIND_M0PLUS, 32);
}

/* When a condition holds: bit 8N + 4Z + 2C + V, ARM DDI 0419E Table A6-1. */
static const struct condition {
  const char *name;
  uint16_t opcode; /* of the branch, offset 0 */
  unsigned holds;
} conditions[] = {
    {"beq", 0xd000, 0xf0f0}, {"bne", 0xd100, 0x0f0f}, {"bcs", 0xd200, 0xcccc},
    {"bcc", 0xd300, 0x3333}, {"bmi", 0xd400, 0xff00}, {"bpl", 0xd500, 0x00ff},
    {"bvs", 0xd600, 0xaaaa}, {"bvc", 0xd700, 0x5555}, {"bhi", 0xd800, 0x0c0c},
    {"bls", 0xd900, 0xf3f3}, {"bge", 0xda00, 0xaa55}, {"blt", 0xdb00, 0x55aa},
    {"bgt", 0xdc00, 0x0a05}, {"ble", 0xdd00, 0xf5fa},
};

/* With offset 0 the branch skips a NOP; with offset -2 both ways lead to the
 * next instruction and only the cost tells them apart. */
static void check_branch(const struct condition *r, enum core_kind kind,
                         bool to_next)
{
  uint16_t code[2] = {(uint16_t)(r->opcode | (to_next ? 0xff : 0)), 0xbf00};
  struct bench *b = prepare(kind, 1, code, to_next ? 1 : 2);
  cycle_t taken = kind == CORE_KIND_M0 ? 3 : 2;
  cycle_t passed = to_next ? 1 : 2; /* with the NOP */
  for (unsigned flags = 0; flags < 16; flags++) {
    bool holds = (r->holds >> flags) & 1u;
    bench_reset(b);
    b->report_count = 0;
    b->core.xpsr |= (uint32_t)flags << 28;
    assert_int_equal(measure(b), holds ? taken : passed);
  }
  bench_free(b);
}

static void condition_row(void **state)
{
  for (int to_next = 0; to_next < 2; to_next++) {
    check_branch(*state, CORE_KIND_M0, to_next);
    check_branch(*state, CORE_KIND_M0PLUS, to_next);
  }
}

/* --- wait states -------------------------------------------------------- */

static const struct wait_row {
  const char *name;
  unsigned length;
  uint32_t fetch_bytes;
  cycle_t plain;  /* without wait states, M0 */
  unsigned waits; /* how many fetches and reads of flash */
  uint16_t code[8];
} wait_rows[] = {
#define X(name, waits, plain, fetch, ...)                                     \
  {name, HALVES(__VA_ARGS__), fetch, plain, waits, {__VA_ARGS__}},
#include "core_wait_rows.def"
#undef X
};

static void wait_row(void **state)
{
  const struct wait_row *r = *state;
  for (uint32_t waits = 0; waits < 4; waits++) {
    struct bench *b = prepare(CORE_KIND_M0, 1, r->code, r->length);
    b->part.fetch_bytes = r->fetch_bytes;
    b->bus.regions[IN_FLASH].wait_states = waits;
    b->core.r[3] = FLASH + 0x200;
    cycle_t cycles = measure(b);
    /* The end mark is reported before its own word is fetched. */
    assert_int_equal(cycles, r->plain + r->waits * waits);
    bench_free(b);
  }
}

static void code_in_ram_waits_for_its_flash_data_only(void **state)
{
  static const uint16_t code[] = {0x6819, 0xbf00}; /* ldr r1, [r3]; nop */
  (void)state;
  struct bench *b = prepare(CORE_KIND_M0, 1, code, 2);
  static const uint16_t stay = 0xe7fe;
  bench_put(b, RAM, code, sizeof(code));
  bench_put(b, RAM + 4, &stay, sizeof(stay));
  b->bus.watches[0] = RAM;
  b->bus.watches[1] = RAM + 4;
  b->bus.regions[IN_FLASH].wait_states = 3;
  b->core.r[3] = FLASH;
  b->core.r[15] = RAM;
  assert_int_equal(measure(b), 3 + 3);
  bench_free(b);
}

/* --- accesses ----------------------------------------------------------- */

static const struct stamp_row {
  const char *name;
  uint16_t code;
  unsigned accesses;
  cycle_t first; /* stamp of the first, from the instruction's entry */
} stamp_rows[] = {
    {"a load is stamped in its data phase", 0x6831, 1, 1},  /* ldr r1,[r6] */
    {"a store is stamped in its data phase", 0x6031, 1, 1}, /* str r1,[r6] */
    {"a load multiple is stamped a cycle apart", 0xce0e, 3, 1},
    {"a store multiple is stamped a cycle apart", 0xc60e, 3, 1},
};

/* Assumed by core/cycles.h: address phase, then data; and a stall moves what
 * follows within the instruction and behind it. */
static void stamp_row(void **state)
{
  const struct stamp_row *r = *state;
  for (cycle_t stall = 0; stall < 8; stall += 7) {
    struct bench *b = prepare(CORE_KIND_M0, 1, &r->code, 1);
    b->device_stall = stall;
    cycle_t plain = r->accesses == 1 ? 2 : 1 + r->accesses;
    assert_int_equal(measure(b), plain + r->accesses * stall);
    assert_int_equal(b->access_count, r->accesses);
    for (unsigned i = 0; i < r->accesses; i++) {
      assert_int_equal(b->accesses[i].stamp, r->first + i * (1 + stall));
      assert_int_equal(b->accesses[i].at, DEVICE + 4 * i);
      assert_int_equal(b->accesses[i].pc, CODE);
    }
    bench_free(b);
  }
}

/* Nothing begins at or after the deadline, the stall counted. */
/* ARM DDI 0484C Table 3-1, note b: one cycle on the port, two elsewhere. */
static void the_io_port_takes_one_cycle(void **state)
{
  /* ldr, str, ldrb, strh r1, [r6]; ldr r1, [r0] */
  static const uint16_t code[] = {0x6831, 0x6031, 0x7831, 0x8031, 0x6801};
  (void)state;
  for (unsigned port = 0; port < 2; port++) {
    for (unsigned i = 0; i < ROWS_COUNT(code); i++) {
      struct bench *b = prepare(CORE_KIND_M0PLUS, 1, &code[i], 1);
      if (port) b->part.io_port = (struct part_io_port){DEVICE, 0x10};
      assert_int_equal(measure(b), port && i < 4 ? 1 : 2);
      bench_free(b);
    }
  }
}

/* Eight NOPs are four words; three wait states. Without a buffer each word
 * waits 3; with one, fetched while two NOPs execute, 3 + 1 - 2. The mark is
 * reported before the first word is fetched. */
static void a_prefetch_buffer_hides_waits(void **state)
{
  static const uint16_t code[] = {0xbf00, 0xbf00, 0xbf00, 0xbf00,
                                  0xbf00, 0xbf00, 0xbf00, 0xbf00};
  static const struct {
    uint32_t words, waits;
    cycle_t cycles;
  } rows_of_words[] = {{0, 3, 8 + 4 * 3},
                       {1, 3, 8 + 3 + 3 * 2},
                       {2, 3, 8 + 3 + 3 * 2},
                       {1, 1, 8 + 1},
                       {1, 0, 8}};
  (void)state;
  for (size_t i = 0; i < ROWS_COUNT(rows_of_words); i++) {
    struct bench *b = prepare(CORE_KIND_M0, 1, code, 8);
    b->part.prefetch_words = rows_of_words[i].words;
    b->bus.regions[IN_FLASH].wait_states = rows_of_words[i].waits;
    assert_int_equal(measure(b), rows_of_words[i].cycles);
    bench_free(b);
  }
}

static void entering_a_region_can_stall(void **state)
{
  static const uint16_t code[] = {0xbf00};
  (void)state;
  struct bench *b = prepare(CORE_KIND_M0, 1, code, 1);
  b->enter_stall = 5;
  assert_int_equal(bench_run(b, 3), CORE_STOP_DEADLINE);
  assert_int_equal(b->core.cycle, 5);
  assert_int_equal(b->core.instructions, 0);
  assert_int_equal(bench_find(b, TRACE_ENTER, 0)->cycle, 5);
  assert_int_equal(bench_count(b, TRACE_MARK), 0);
  bench_run(b, 1);
  assert_int_equal(b->enters, 1);
  assert_int_equal(bench_find(b, TRACE_MARK, 0)->cycle, 5);
  assert_int_equal(b->core.cycle, 6);
  bench_free(b);
}

int main(void)
{
  static const struct CMUnitTest singles[] = {
      cmocka_unit_test(code_in_ram_waits_for_its_flash_data_only),
      cmocka_unit_test(the_io_port_takes_one_cycle),
      cmocka_unit_test(a_prefetch_buffer_hides_waits),
      cmocka_unit_test(entering_a_region_can_stall),
  };
  struct CMUnitTest tests[ROWS_COUNT(rows) + ROWS_COUNT(conditions) +
                          ROWS_COUNT(wait_rows) + ROWS_COUNT(stamp_rows)];
  size_t n = ROWS_ADD(tests, timing_row, rows);
  n += ROWS_ADD(tests + n, condition_row, conditions);
  n += ROWS_ADD(tests + n, wait_row, wait_rows);
  n += ROWS_ADD(tests + n, stamp_row, stamp_rows);
  assert_int_equal(n, ROWS_COUNT(tests));
  int failed = cmocka_run_group_tests_name("rows", tests, NULL, NULL);
  return failed + cmocka_run_group_tests_name("singles", singles, NULL, NULL);
}

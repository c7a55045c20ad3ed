/* The instruction engine as the rest of the program uses it: regions and the
 * alias at 0, code that changes, watches, counts. */
#include "bench_core.h"

static const uint16_t r4_is_1[] = {0x2401, 0xe7fe}; /* movs r4, #1; b . */
static const uint16_t r4_is_2[] = {0x2402, 0xe7fe};
static const uint16_t r4_is_3[] = {0x2403, 0xe7fe};

static void run_at(struct bench *b, addr_t at)
{
  b->core.r[4] = 0;
  b->core.r[15] = at;
  assert_int_equal(bench_run(b, 12), CORE_STOP_DEADLINE);
}

/* --- code that changes from outside ------------------------------------- */

static const struct change_row {
  const char *name;
  unsigned region;
  addr_t run, told; /* where it runs, and which address is invalidated */
} change_rows[] = {
    {"flash at its address", IN_FLASH, FLASH + 0x400, FLASH + 0x400},
    {"flash through the alias", IN_FLASH, 0x400, FLASH + 0x400},
    {"flash, told by the alias", IN_FLASH, FLASH + 0x400, 0x400},
    {"ROM", IN_ROM, ROM + 0x400, ROM + 0x400},
    {"RAM", IN_RAM, RAM + 0x400, RAM + 0x400},
};

static void change_row(void **state)
{
  const struct change_row *r = *state;
  struct bench *b = bench_start(CORE_KIND_M0, r4_is_1, sizeof(r4_is_1));
  uint8_t *bytes = b->bus.regions[r->region].bytes + 0x400;
  for (unsigned i = 0; i < 4; i++) {
    const uint16_t *code = i % 2 ? r4_is_2 : r4_is_1;
    memcpy(bytes, code, sizeof(r4_is_1));
    cpu_invalidate(b->cpu, r->told, sizeof(r4_is_1));
    run_at(b, r->run);
    assert_int_equal(b->core.r[4], 1 + i % 2);
  }
  bench_free(b);
}

/* --- the alias ---------------------------------------------------------- */

static void what_is_seen_at_0_follows_the_alias(void **state)
{
  static const unsigned order[] = {IN_FLASH, IN_ROM,   IN_RAM, IN_ROM,
                                   IN_FLASH, IN_RAM,   IN_RAM, IN_FLASH,
                                   IN_ROM,   IN_FLASH, IN_ROM};
  (void)state;
  struct bench *b = bench_start(CORE_KIND_M0, r4_is_1, sizeof(r4_is_1));
  bench_put(b, FLASH + 0x400, r4_is_1, sizeof(r4_is_1));
  bench_put(b, ROM + 0x400, r4_is_2, sizeof(r4_is_2));
  bench_put(b, RAM + 0x400, r4_is_3, sizeof(r4_is_3));
  for (size_t i = 0; i < ROWS_COUNT(order); i++) {
    b->bus.alias = order[i];
    cpu_map(b->cpu, &b->bus);
    run_at(b, 0x400);
    assert_int_equal(b->core.r[4], 1 + order[i]);
    assert_int_equal(b->core.region, order[i]);
  }
  bench_free(b);
}

/* Two regions of one size in turn: the case in which the library by itself
 * would run old code, or keep too little of it. Loops and page crossings. */
static void regions_of_equal_size_can_take_turns_at_0(void **state)
{
  /* movs r4, #0; loop: adds r4, #N; subs r1, #1; bne loop; b . */
  static const uint16_t loop[] = {0x2400, 0x3403, 0x3901, 0xd1fc, 0xe7fe};
  (void)state;
  struct bench *b = bench_start(CORE_KIND_M0, r4_is_1, sizeof(r4_is_1));
  b->bus.regions[IN_FLASH].size = b->bus.regions[IN_RAM].size = ROM_SIZE;
  b->bus.regions[IN_FLASH].bytes = b->ram; /* RAM_SIZE is twice that */
  b->bus.regions[IN_RAM].bytes = b->ram + ROM_SIZE;
  cpu_map(b->cpu, &b->bus);
  for (unsigned i = 0; i < 3; i++) {
    uint8_t *bytes = b->bus.regions[i].bytes;
    memcpy(bytes + 0x3fa, loop, sizeof(loop)); /* over the end of a page */
    bytes[0x3fc] = (uint8_t)(3 + i);
  }
  for (unsigned i = 0; i < 12; i++) {
    b->bus.alias = i % 3;
    cpu_map(b->cpu, &b->bus);
    b->core.r[1] = 4;
    b->core.r[15] = i & 1 ? 0x3fa : b->bus.regions[i % 3].at + 0x3fa;
    bench_run(b, 30);
    assert_int_equal(b->core.r[4], 4 * (3 + i % 3));
  }
  bench_free(b);
}

static void without_an_alias_nothing_is_at_0(void **state)
{
  static const uint16_t load[] = {0x6801, 0xe7fe}; /* ldr r1, [r0] */
  (void)state;
  struct bench *b = bench_start(CORE_KIND_M0, load, sizeof(load));
  b->bus.alias = BUS_NO_REGION;
  cpu_map(b->cpu, &b->bus);
  bench_run(b, 4);
  assert_int_equal(b->core.xpsr & CORE_EXCEPTION, EXCEPTION_HARDFAULT);
  assert_int_equal(b->access_count, 1);
  assert_int_equal(b->accesses[0].at, 0);
  b->bus.alias = IN_ROM;
  cpu_map(b->cpu, &b->bus);
  bench_reset(b);
  bench_run(b, 4);
  assert_int_equal(b->core.r[1], 0xffffffff);
  b->core.r[0] = ROM_SIZE; /* the first byte behind the alias */
  b->core.r[15] = CODE;
  bench_run(b, 4);
  assert_int_equal(b->accesses[1].at, ROM_SIZE);
  bench_free(b);
}

static void the_alias_is_the_same_region(void **state)
{
  static const uint16_t jump[] = {0x4700}; /* bx r0 */
  (void)state;
  struct bench *b = bench_start(CORE_KIND_M0, jump, sizeof(jump));
  bench_put(b, FLASH + 0x400, r4_is_1, sizeof(r4_is_1));
  b->core.r[0] = 0x401;
  bench_run(b, 9);
  assert_int_equal(b->core.r[4], 1);
  assert_int_equal(b->enters, 1);
  assert_int_equal(bench_count(b, TRACE_ENTER), 1);
  bench_free(b);
}

/* Code in RAM runs at its address or at 0x400, where it is seen too, and
 * rewrites itself through either. */
static void stores_reach_code_through_either_alias(void **state)
{
  /* movs r4, #1; strh r1, [r0]; b behind; behind: bx lr */
  static const uint16_t code[] = {0x2401, 0x8001, 0xe7ff, 0x4770};
  static const struct {
    addr_t run, store;
  } ways[] = {{0x400, RAM + 0x400},
              {0x400, 0x400},
              {RAM + 0x400, RAM + 0x400},
              {RAM + 0x400, 0x400}};
  (void)state;
  for (size_t i = 0; i < ROWS_COUNT(ways); i++) {
    struct bench *b = bench_start(CORE_KIND_M0, r4_is_1, sizeof(r4_is_1));
    b->bus.alias = IN_RAM;
    cpu_map(b->cpu, &b->bus);
    bench_put(b, RAM + 0x400, code, sizeof(code));
    b->core.r[0] = ways[i].store;
    b->core.r[1] = 0x2407; /* movs r4, #7 */
    b->core.r[14] = ways[i].run | 1u;
    b->core.r[15] = ways[i].run;
    bench_run(b, 9);
    assert_int_equal(b->core.r[4], 1);
    bench_run(b, 9);
    assert_int_equal(b->core.r[4], 7);
    bench_free(b);
  }
}

/* --- regions, watches, counts ------------------------------------------- */

/* flash calls ROM, which returns: two changes. */
static void region_changes_are_reported_with_what_ran(void **state)
{
  static const uint16_t caller[] = {0xbf00, 0x4780, 0xe7fe}; /* nop; blx r0 */
  static const uint16_t callee[] = {0xbf00, 0xbf00, 0x4770};
  static const unsigned kinds[] = {TRACE_VECTORS, TRACE_MODE,  TRACE_ENTER,
                                   TRACE_RAN,     TRACE_ENTER, TRACE_RAN,
                                   TRACE_ENTER};
  static const uint32_t a[] = {STACK,  CORE_RUNNING, IN_FLASH, IN_FLASH,
                               IN_ROM, IN_ROM,       IN_FLASH};
  static const uint32_t b_[] = {CODE | 1,   CODE, CODE,    2,
                                ROM + 0x40, 3,    CODE + 4};
  static const cycle_t cycles[] = {0, 0, 0, 4, 4, 9, 9};
  (void)state;
  struct bench *b = bench_start(CORE_KIND_M0, caller, sizeof(caller));
  bench_put(b, ROM + 0x40, callee, sizeof(callee));
  b->core.r[0] = (ROM + 0x40) | 1u;
  bench_run(b, 12);
  for (unsigned i = 0; i < ROWS_COUNT(kinds); i++) {
    const struct bench_report *r = &b->reports[i + 1]; /* behind HELD */
    assert_int_equal(r->kind, kinds[i]);
    assert_int_equal(r->a, a[i]);
    assert_int_equal(r->b, b_[i]);
    assert_int_equal(r->cycle, cycles[i]);
  }
  assert_int_equal(b->core.instructions, 6);
  core_count(&b->core, &b->bus);
  core_count(&b->core, &b->bus);
  assert_int_equal(bench_count(b, TRACE_RAN), 3);
  assert_int_equal(bench_find(b, TRACE_RAN, 2)->b, 1);
  bench_free(b);
}

static void a_watch_is_reported_at_each_entry_and_no_other(void **state)
{
  /* movs r1, #3; loop: subs r1, #1; bne loop; b . */
  static const uint16_t code[] = {0x2103, 0x3901, 0xd1fd, 0xe7fe};
  (void)state;
  struct bench *b = bench_start(CORE_KIND_M0, code, sizeof(code));
  b->bus.watches[0] = CODE + 2;
  b->bus.watches[1] = CODE + 2 + 0x400; /* the same place in a small filter */
  b->bus.watch_count = 2;
  bench_run(b, 20);
  assert_int_equal(bench_count(b, TRACE_MARK), 3);
  for (unsigned i = 0; i < 3; i++) {
    const struct bench_report *r = bench_find(b, TRACE_MARK, i);
    assert_int_equal(r->a, 0);
    assert_int_equal(r->b, CODE + 2);
    assert_int_equal(r->cycle, 1 + 4 * i);
  }
  bench_free(b);
}

/* During a callback core->cycle is that of the callback, and the count of
 * instructions includes the one that makes the access. */
static struct bus_answer check_state(void *chip, const struct bus_access *a)
{
  struct bench *b = chip;
  assert_int_equal(b->core.cycle, a->stamp);
  assert_int_equal(b->core.instructions, 2);
  b->access_count++;
  return (struct bus_answer){.value = 7};
}

static void a_callback_sees_the_present_state(void **state)
{
  static const uint16_t code[] = {0xbf00, 0x6801, 0xe7fe}; /* nop; ldr */
  (void)state;
  struct bench *b = bench_start(CORE_KIND_M0, code, sizeof(code));
  b->bus.access = check_state;
  b->core.r[0] = DEVICE;
  bench_run(b, 9);
  assert_int_equal(b->access_count, 1);
  assert_int_equal(b->core.r[1], 7);
  bench_free(b);
}

/* The chip rewrites flash in an access (a flash operation that ends) and has
 * all of it forgotten, the instruction that makes the access included. */
static struct bus_answer rewrite(void *chip, const struct bus_access *a)
{
  struct bench *b = chip;
  (void)a;
  memcpy(b->flash + 0x106, r4_is_2, sizeof(r4_is_2));
  cpu_invalidate(b->cpu, FLASH, FLASH_SIZE);
  return (struct bus_answer){0};
}

static void a_change_from_inside_an_access_is_seen(void **state)
{
  /* nop; str r1, [r0]; b behind; behind: movs r4, #1; b . */
  static const uint16_t code[] = {0xbf00, 0x6001, 0xe7ff, 0x2401, 0xe7fe};
  (void)state;
  struct bench *b = bench_start(CORE_KIND_M0, code, sizeof(code));
  b->bus.access = rewrite;
  b->core.r[0] = RAM;
  run_at(b, CODE);
  assert_int_equal(b->core.r[4], 1);
  b->core.r[0] = DEVICE;
  run_at(b, CODE);
  assert_int_equal(b->core.r[4], 2);
  bench_free(b);
}

/* More changes in one access than the engine keeps a list of. */
static struct bus_answer rewrite_word_by_word(void *chip,
                                              const struct bus_access *a)
{
  struct bench *b = chip;
  (void)a;
  memcpy(b->flash + 0x106, r4_is_2, sizeof(r4_is_2));
  for (addr_t at = FLASH + 0x800; at < FLASH + 0x900; at += 4)
    cpu_invalidate(b->cpu, at, 4);
  cpu_invalidate(b->cpu, FLASH + 0x106, 4);
  return (struct bus_answer){0};
}

static void many_changes_from_inside_an_access_are_seen(void **state)
{
  /* nop; str r1, [r0]; b behind; behind: movs r4, #1; b . */
  static const uint16_t code[] = {0xbf00, 0x6001, 0xe7ff, 0x2401, 0xe7fe};
  (void)state;
  struct bench *b = bench_start(CORE_KIND_M0, code, sizeof(code));
  b->bus.access = rewrite_word_by_word;
  b->core.r[0] = RAM;
  run_at(b, CODE);
  assert_int_equal(b->core.r[4], 1);
  b->core.r[0] = DEVICE;
  run_at(b, CODE);
  assert_int_equal(b->core.r[4], 2);
  bench_free(b);
}

/* Plain memory without an engine: what a read or write may touch. */
static const struct plain_row {
  const char *name;
  addr_t at;
  unsigned size;
  bool reads, writes;
} plain_rows[] = {
    {"a word of flash", FLASH + 4, 4, true, false},
    {"the last word of RAM", RAM + RAM_SIZE - 4, 4, true, true},
    {"the last byte of RAM", RAM + RAM_SIZE - 1, 1, true, true},
    {"a word half out of RAM", RAM + RAM_SIZE - 2, 4, false, false},
    {"the byte behind RAM", RAM + RAM_SIZE, 1, false, false},
    {"the alias", 8, 4, true, false},
    {"the byte behind the alias", FLASH_SIZE, 1, false, false},
    {"a device", DEVICE, 4, false, false},
};

static void plain_row(void **state)
{
  const struct plain_row *r = *state;
  uint32_t value;
  struct bench *b = bench_new(CORE_KIND_M0, 1);
  assert_int_equal(bus_peek(&b->bus, r->at, r->size, &value), r->reads);
  assert_int_equal(bus_poke(&b->bus, r->at, r->size, 0x81828384), r->writes);
  if (r->writes) {
    assert_true(bus_peek(&b->bus, r->at, r->size, &value));
    assert_int_equal(value, 0x81828384 & (r->size == 4 ? ~0u : 0xffu));
  }
  bench_free(b);
}

/* Accesses of every size and sign, as the bus sees them. */
static const struct size_row {
  const char *name;
  uint16_t code; /* with [r0, r2] */
  uint32_t size;
  bool write;
  uint32_t result; /* r1 afterwards, for 0x8182f3f4 read or written */
} size_rows[] = {
    {"ldr", 0x5881, 4, false, 0x8182f3f4},
    {"ldrh", 0x5a81, 2, false, 0x0000f3f4},
    {"ldrb", 0x5c81, 1, false, 0x000000f4},
    {"ldrsh", 0x5e81, 2, false, 0xfffff3f4},
    {"ldrsb", 0x5681, 1, false, 0xfffffff4},
    {"str", 0x5081, 4, true, 0x8182f3f4},
    {"strh", 0x5281, 2, true, 0x0000f3f4},
    {"strb", 0x5481, 1, true, 0x000000f4},
};

static void size_row(void **state)
{
  const struct size_row *r = *state;
  struct bench *b = bench_start(CORE_KIND_M0, &r->code, sizeof(r->code));
  b->device_value = b->core.r[1] = 0x8182f3f4;
  b->core.r[0] = DEVICE + 8;
  b->core.r[2] = 4;
  bench_run(b, 2);
  assert_int_equal(b->access_count, 1);
  assert_int_equal(b->accesses[0].at, DEVICE + 12);
  assert_int_equal(b->accesses[0].size, r->size);
  assert_int_equal(b->accesses[0].write, r->write);
  if (r->write)
    assert_int_equal(b->accesses[0].value, r->result);
  else
    assert_int_equal(b->core.r[1], r->result);
  bench_free(b);
}

/* The private bus is the core's, whole: nothing of it reaches the chip, and
 * what lies on both sides does. */
static void only_the_private_bus_stays_inside(void **state)
{
  static const uint16_t code[] = {0x6801}; /* ldr r1, [r0] */
  static const struct {
    addr_t at;
    unsigned accesses;
  } places[] = {{0xdffffffc, 1},
                {0xe0000000, 0},
                {0xe00ffffc, 0},
                {0xe0100000, 1},
                {0xfffffffc, 1}};
  (void)state;
  for (size_t i = 0; i < ROWS_COUNT(places); i++) {
    struct bench *b = bench_start(CORE_KIND_M0, code, sizeof(code));
    b->core.r[0] = places[i].at;
    bench_run(b, 2);
    assert_int_equal(b->access_count, places[i].accesses);
    bench_free(b);
  }
}

#define TEST(name) cmocka_unit_test(name)

int main(void)
{
  static const struct CMUnitTest singles[] = {
      TEST(a_change_from_inside_an_access_is_seen),
      TEST(many_changes_from_inside_an_access_are_seen),
      TEST(what_is_seen_at_0_follows_the_alias),
      TEST(regions_of_equal_size_can_take_turns_at_0),
      TEST(without_an_alias_nothing_is_at_0),
      TEST(the_alias_is_the_same_region),
      TEST(stores_reach_code_through_either_alias),
      TEST(region_changes_are_reported_with_what_ran),
      TEST(a_watch_is_reported_at_each_entry_and_no_other),
      TEST(a_callback_sees_the_present_state),
      TEST(only_the_private_bus_stays_inside),
  };
  struct CMUnitTest tests[ROWS_COUNT(change_rows) + ROWS_COUNT(size_rows) +
                          ROWS_COUNT(plain_rows)];
  size_t n = ROWS_ADD(tests, change_row, change_rows);
  n += ROWS_ADD(tests + n, size_row, size_rows);
  n += ROWS_ADD(tests + n, plain_row, plain_rows);
  assert_int_equal(n, ROWS_COUNT(tests));
  int failed = cmocka_run_group_tests_name("rows", tests, NULL, NULL);
  return failed + cmocka_run_group_tests_name("singles", singles, NULL, NULL);
}

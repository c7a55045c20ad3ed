/* What an earlier life leaves to a start: each thing is told once, and a reset
 * leaves none of them.
 *
 * Oracle: what a reset gives is ARM DDI 0419E B1.5.5 (PRIMASK, CONTROL, IPSR,
 * MSP) and B3.2 to B3.4 (interrupts, SysTick, vector base); FAULTMASK and
 * BASEPRI are ARM DDI 0403E B1.5.5, from memory. The boot ROM that leaves
 * things behind says in images/handover/rom.S which. */
#include "core/core.h"
#include "describe/newcomer.h"
#include "describe/trace_kinds.h"
#include "played.h"
#include "run/machine.h"

#define CASE                                                                  \
  "{ \"case\": \"c\", \"part\": \"p\", \"images\": { \"app\": \"%s\" }, "     \
  "\"steps\": [ { \"write\": \"app\", \"by\": \"preset\" }, %s ] }"
#define APP       FIRSTFETCH_ROOT "/images/logger/logger.elf"
#define HANDOVER  FIRSTFETCH_ROOT "/images/handover/part.json"
#define M0PLUS    "\"kind\": \"cortex-m0+\", \"vector_base\": true"
#define M3        "\"kind\": \"cortex-m3\""
#define LEAVES    "0x00000002"
#define STRAP_LOW "{ \"drive\": \"P12\", \"level\": \"low\" }, "
#define ON        "{ \"power\": \"on\", \"for\": \"1ms\" }"
#define PIN_RESET "{ \"reset\": \"pin\" }, { \"run\": \"1ms\" }"

static char *part_text(struct played_bench *b, const char *core,
                       unsigned leaves)
{
  size_t length;
  const char *text = (const char *)played_bytes(b, HANDOVER, &length);
  char *part =
      played_replace(b, text, "../rom-", FIRSTFETCH_ROOT "/images/rom-");
  part = played_replace(b, part, M0PLUS, core);
  return played_replace(b, part, LEAVES, played_format(b, "0x%08X", leaves));
}

static struct play *prepare(struct played_bench *b, const char *part,
                            const char *steps)
{
  const char *path =
      played_text_file(b, "a.json", played_format(b, CASE, APP, steps));
  return played_prepare(played_case(b, path),
                        played_part(b, played_text_file(b, "p.json", part)));
}

static const struct finding *told_of(const struct result *r, enum residue item)
{
  const struct finding *found = NULL;
  for (uint32_t i = 0; i < r->finding_count; i++) {
    const struct finding *f = &r->findings[i];
    if (f->kind != FINDING_RESIDUE || f->residue != item) continue;
    if (found != NULL) fail_msg("%s told twice", residue_words[item]);
    found = f;
  }
  return found;
}

/* These, each once and of start `start`, and no other. */
static void must_tell(const struct result *r, uint32_t items, uint32_t start)
{
  for (unsigned i = 0; i < RESIDUE_COUNT_; i++) {
    const struct finding *f = told_of(r, (enum residue)i);
    if ((f != NULL) != (items >> i & 1u))
      fail_msg("%s: %s", residue_words[i], f ? f->text : "not told");
    if (f == NULL) continue;
    assert_int_equal(f->start, start);
    assert_true(f->remedy_count > 0);
  }
}

#define ITEM(name) (1u << RESIDUE_##name)

/* --- the boot ROM hands over --------------------------------------------- */

static const struct rom_row {
  const char *name, *core;
  unsigned leaves; /* bits of rom.S */
  uint32_t items;
  const char *text; /* in the finding, or NULL */
} rom_rows[] = {
    {"a ROM that puts everything back leaves nothing", M0PLUS, 0, 0, NULL},
    {"nor on a Cortex-M3", M3, 0, 0, NULL},
    {"the clock", M0PLUS, 1u << 0, ITEM(CLOCK), "selects but fast, 24 MHz"},
    {"PRIMASK", M0PLUS, 1u << 1, ITEM(PRIMASK), NULL},
    {"FAULTMASK", M3, 1u << 2, ITEM(FAULTMASK), NULL},
    {"BASEPRI", M3, 1u << 3, ITEM(BASEPRI), "BASEPRI (it was 0x00000040)"},
    {"a handler that never returned", M0PLUS, 1u << 4, ITEM(HANDLER),
     "active (SVCall)"},
    {"the same on a Cortex-M3", M3, 1u << 4, ITEM(HANDLER), "(SVCall)"},
    {"the process stack", M0PLUS, 1u << 5, ITEM(PROCESS_STACK), "0x20000800"},
    {"unprivileged execution", M0PLUS, 1u << 6, ITEM(UNPRIVILEGED), NULL},
    {"its own stack", M0PLUS, 1u << 7, ITEM(STACK), "it was 0x20001000"},
    {"its own vectors", M0PLUS, 1u << 8, ITEM(VECTORS),
     "that at 0x00000000, where rom is seen"},
    {"an interrupt enabled", M0PLUS, 1u << 9, ITEM(ENABLED), "(IRQ5)"},
    {"an interrupt pending", M0PLUS, 1u << 10, ITEM(PENDING), "(IRQ3)"},
    {"SysTick running", M0PLUS, 1u << 11, ITEM(SYSTICK),
     "a period of 65536 cycles"},
    {"a pin driven", M0PLUS, 1u << 12, ITEM(PINS), "driven, 1 of them"},
    {"several at once", M3, 1u << 1 | 1u << 7 | 1u << 11,
     ITEM(PRIMASK) | ITEM(STACK) | ITEM(SYSTICK), NULL},
};

static void rom_row(void **state)
{
  struct played_bench *b = *state;
  const struct rom_row *r = b->row;
  struct play *play =
      prepare(b, part_text(b, r->core, r->leaves), STRAP_LOW ON);
  const struct result *result = play_run(play);
  assert_true(result->starts[0].landing.landed);
  must_tell(result, r->items, 1);
  if (r->text != NULL) {
    const char *text =
        told_of(result, (enum residue)__builtin_ctz(r->items))->text;
    if (strstr(text, r->text) == NULL) fail_msg("%s", text);
  }
  play_free(play);
}

/* --- and otherwise ------------------------------------------------------- */

#define EVERYTHING                                                            \
  0x1f02u /* the ROM never waits for the clock in this one                    \
           */
#define HELD "{ \"probe\": \"attach\", \"reset\": \"held\" }, "
#define LATE "{ \"probe\": \"attach\" }, "
#define SET(reg, value)                                                       \
  "{ \"probe\": \"set\", \"register\": \"" reg "\", \"value\": \"" value      \
  "\" }, "
#define GO_THERE "{ \"probe\": \"start\", \"image\": \"app\" }, "
#define DETACH   "{ \"probe\": \"detach\", \"leaves\": \"debug\" }, "
#define POKE(at, value)                                                       \
  "{ \"write\": \"" at "\", \"value\": \"" value "\", \"by\": \"probe\" }, "
#define CATCH_HARDFAULT POKE("0xE000EDFC", "0x00000400") /* DEMCR */
/* BP_CTRL and BP_COMP0, ARM DDI 0419E C1.8 */
#define BREAKPOINT                                                            \
  POKE("0xE0002000", "0x00000003") POKE("0xE0002008", "0x44000101")
static const struct case_row {
  const char *name;
  unsigned leaves;
  const char *steps;
  uint32_t items, start;
} case_rows[] = {
    {"a reset that starts flash finds nothing of it", EVERYTHING, ON, 0, 0},
    {"a reset after a hand-over finds nothing of that one", EVERYTHING,
     STRAP_LOW ON
     ", { \"drive\": \"P12\", \"level\": \"release\" }, " PIN_RESET,
     ITEM(PRIMASK) | ITEM(VECTORS) | ITEM(ENABLED) | ITEM(PENDING) |
         ITEM(SYSTICK) | ITEM(PINS),
     1},
    {"each thing is told once, however often it comes", 1u << 1,
     STRAP_LOW ON ", " PIN_RESET ", " PIN_RESET, ITEM(PRIMASK), 1},
    {"a clean load and go leaves nothing", 0,
     ON ", " HELD GO_THERE "{ \"run\": \"1ms\" }", 0, 0},
    {"a load and go with interrupts masked by the probe", 0,
     ON ", " HELD SET("primask", "0x1") GO_THERE "{ \"run\": \"1ms\" }",
     ITEM(PRIMASK), 3},
    {"a load and go on the process stack", 0,
     ON ", " HELD SET("control", "0x2") GO_THERE "{ \"run\": \"1ms\" }",
     ITEM(PROCESS_STACK), 3},
    {"a probe that attaches with reset held is no residue", 0,
     ON ", " HELD DETACH HELD "{ \"run\": \"1ms\" }", 0, 0},
    {"one that has gone is, at the next start", 0,
     ON ", " HELD DETACH PIN_RESET, ITEM(DEBUG), 3},
    {"and so is what it armed", 0,
     ON ", " HELD CATCH_HARDFAULT BREAKPOINT DETACH PIN_RESET,
     ITEM(DEBUG) | ITEM(CATCH) | ITEM(BREAKPOINTS), 3},
    {"but not while it is there", 0,
     ON ", " HELD CATCH_HARDFAULT BREAKPOINT PIN_RESET, 0, 0},
};

static void case_row(void **state)
{
  struct played_bench *b = *state;
  const struct case_row *r = b->row;
  struct play *play = prepare(b, part_text(b, M0PLUS, r->leaves), r->steps);
  must_tell(play_run(play), r->items, r->start);
  play_free(play);
}

/* A reset may keep the clock: then that start begins with it. */
static void a_clock_that_a_reset_keeps(void **state)
{
  struct played_bench *b = *state;
  char *part = part_text(b, M0PLUS, 1u << 0);
  char *pin = strstr(part, "\"cause\": \"pin\"");
  assert_non_null(pin);
  memcpy(strstr(pin, "\"clocks\": \"reset\"") + 10, "\"keep\" ", 7);
  struct play *play =
      prepare(b, part,
              STRAP_LOW ON
              ", { \"drive\": \"P12\", \"level\": \"release\" }, " PIN_RESET);
  const struct trace *tr = play_trace(play);
  trace_keep(play_trace(play), TRACE_BIT(TRACE_RESIDUE), 100);
  const struct result *result = play_run(play);
  must_tell(result, ITEM(CLOCK), 1);
  assert_int_equal(tr->kept_count, 2); /* the hand-over and the reset */
  play_free(play);
}

/* Whose handler was never left, though the boot ROM was. */
static void a_load_and_go_out_of_a_handler(void **state)
{
  struct played_bench *b = *state;
  struct play *play =
      prepare(b, part_text(b, M0PLUS, 1u << 4),
              STRAP_LOW ON ", " LATE GO_THERE "{ \"run\": \"1ms\" }");
  const struct trace *tr = play_trace(play);
  trace_keep(play_trace(play),
             TRACE_BIT(TRACE_RESIDUE) | TRACE_BIT(TRACE_VECTORS), 100);
  play_run(play);
  size_t n = tr->kept_count; /* of the reset; the hand-over; the probe's */
  assert_true(n > 3);
  assert_int_equal(tr->kept[1].kind, TRACE_RESIDUE);
  assert_int_equal(tr->kept[1].a, RESIDUE_HANDLER);
  assert_int_equal(tr->kept[2].kind, TRACE_VECTORS);
  assert_int_equal(tr->kept[3].a, RESIDUE_HANDLER);
  assert_int_equal(tr->kept[3].b, EXCEPTION_SVCALL);
  play_free(play);
}

static void each_has_a_word_for_newcomers(void **state)
{
  (void)state;
  for (unsigned i = 0; i < RESIDUE_COUNT_; i++) {
    const struct finding f = {.kind = FINDING_RESIDUE,
                              .residue = (enum residue)i};
    assert_non_null(residue_newcomer((enum residue)i));
    assert_string_equal(finding_explained(&f),
                        residue_newcomer((enum residue)i));
    assert_string_equal(finding_meaning(&f),
                        residue_sentence((enum residue)i));
    assert_string_equal(trace_word("residue", i), residue_words[i]);
  }
}

/* The schema of a result lists them all. */
static void the_schema_knows_each(void **state)
{
  struct played_bench *b = *state;
  size_t length;
  const char *schema = (const char *)played_bytes(
      b, FIRSTFETCH_ROOT "/traces/result.schema.json", &length);
  const char *left = strstr(schema, "\"left\"");
  assert_non_null(left);
  const char *end = strchr(left, ']');
  for (unsigned i = 0; i < RESIDUE_COUNT_; i++) {
    const char *word = played_format(b, "\"%s\"", residue_words[i]);
    const char *at = strstr(left, word);
    if (at == NULL || at > end) fail_msg("no %s", word);
  }
}

int main(void)
{
  static const struct CMUnitTest singles[] = {
      PLAYED_TEST(a_clock_that_a_reset_keeps),
      PLAYED_TEST(a_load_and_go_out_of_a_handler),
      PLAYED_TEST(the_schema_knows_each),
      cmocka_unit_test(each_has_a_word_for_newcomers),
  };
  struct CMUnitTest tests[ROWS_COUNT(rom_rows) + ROWS_COUNT(case_rows)];
  size_t n = PLAYED_ADD(tests, rom_row, rom_rows);
  n += PLAYED_ADD(tests + n, case_row, case_rows);
  assert_int_equal(n, ROWS_COUNT(tests));
  int failed = cmocka_run_group_tests_name("rows", tests, NULL, NULL);
  return failed + cmocka_run_group_tests_name("singles", singles, NULL, NULL);
}

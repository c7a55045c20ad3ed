/* The start rules: the first whose terms all hold decides. */
#include "chip/rules.h"
#include "rows.h"

enum { FLASH, ROM, RAM };

#define OPTION(word_, field_, value_)                                         \
  {                                                                           \
    .kind = TERM_OPTION, .index = (word_), .field = (field_),                 \
    .value = (value_)                                                         \
  }
#define LATCH(value_)                                                         \
  {                                                                           \
    .kind = TERM_LATCH, .value = (value_)                                     \
  }
#define STRAP(strap_, value_)                                                 \
  {                                                                           \
    .kind = TERM_STRAP, .index = (strap_), .value = (value_)                  \
  }

/* Word 0: source in 1:0, guard in 7:4. Word 1: one field of 32 bits. */
#define WORDS                                                                 \
  .options =                                                                  \
      {.words = {{.fields = {{.lsb = 0, .width = 2}, {.lsb = 4, .width = 4}}, \
                  .field_count = 2},                                          \
                 {.fields = {{.lsb = 0, .width = 32}}, .field_count = 1}},    \
       .word_count = 2},                                                      \
  .strap_count = 2

/* A table like those of real parts: an option may force the ROM, or leave it
 * to a strap, or to the latch; a magic word beats all. */
static const struct part ladder = {
    WORDS,
    .rules = {{"magic", NULL, NULL, {OPTION(1, 0, 0xc0ffee11)}, 1, RAM},
              {"option-rom", NULL, NULL, {OPTION(0, 0, 2)}, 1, ROM},
              {"both-straps",
               NULL,
               NULL,
               {OPTION(0, 0, 1), STRAP(0, 1), STRAP(1, 0)},
               3,
               ROM},
              {"latch-blank", NULL, NULL, {OPTION(0, 0, 0), LATCH(0)}, 2, ROM},
              {"otherwise", NULL, NULL, {{0}}, 0, FLASH}},
    .rule_count = 5,
};

/* The same two rules in both orders. */
static const struct part blank_first = {
    WORDS,
    .rules = {{"blank", NULL, NULL, {LATCH(0)}, 1, ROM},
              {"low", NULL, NULL, {STRAP(1, 0)}, 1, FLASH}},
    .rule_count = 2,
};
static const struct part low_first = {
    WORDS,
    .rules = {{"low", NULL, NULL, {STRAP(1, 0)}, 1, FLASH},
              {"blank", NULL, NULL, {LATCH(0)}, 1, ROM}},
    .rule_count = 2,
};
static const struct part none = {.rule_count = 0};

static const struct rules_row {
  const char *name;
  const struct part *part;
  struct rule_inputs in; /* latch, straps, options */
  uint32_t rule;
} rows[] = {
    {"a blank part takes the blank rule", &ladder, {false, 0, {0, 0}}, 3},
    {"a programmed one falls through", &ladder, {true, 0, {0, 0}}, 4},
    {"an option outranks the latch", &ladder, {true, 0, {2, 0}}, 1},
    {"and a word of 32 bits outranks that",
     &ladder,
     {true, 0, {2, 0xc0ffee11}},
     0},
    {"one bit off it is no such word", &ladder, {true, 0, {2, 0xc0ffee10}}, 1},
    {"all terms must hold", &ladder, {true, 1, {1, 0}}, 2},
    {"one that fails is enough", &ladder, {true, 0, {1, 0}}, 4},
    {"also the last", &ladder, {true, 3, {1, 0}}, 4},
    {"also the first", &ladder, {true, 1, {3, 0}}, 4},
    {"bits beside a field do not count",
     &ladder,
     {false, 0xfffffffe, {0xfffffffc, 0}},
     3},
    {"a higher field does not either", &ladder, {true, 0, {0xf2, 0}}, 1},
    {"where two hold the upper decides", &blank_first, {false, 0, {0}}, 0},
    {"whichever it is", &low_first, {false, 0, {0}}, 0},
    {"the lower decides alone", &blank_first, {true, 0, {0}}, 1},
    {"of two straps the right one is asked", &low_first, {true, 1, {0}}, 0},
    {"where none holds none is named",
     &blank_first,
     {true, 2, {0}},
     PART_NONE},
    {"an empty table decides nothing", &none, {false, 0, {0}}, PART_NONE},
};

static void rules_row(void **state)
{
  const struct rules_row *r = *state;
  assert_int_equal(rules_choose(r->part, &r->in), r->rule);
}

int main(void)
{
  struct CMUnitTest tests[ROWS_COUNT(rows)];
  ROWS_ADD(tests, rules_row, rows);
  return cmocka_run_group_tests_name("rows", tests, NULL, NULL);
}

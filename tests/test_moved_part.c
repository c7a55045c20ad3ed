/* Nothing in the program knows a part: models/latched.json under another
 * name, with its flash controller at other addresses, its registers at other
 * offsets, its bits elsewhere and other keys, gives the same results to the
 * byte, but for the name.
 *
 * The layouts are drawn from a generator with a fixed start (xorshift32,
 * G. Marsaglia, "Xorshift RNGs", 2003; shifts 13, 17, 5 from memory), so they
 * are the same in every run.
 */
#include <inttypes.h>

#include "played.h"
#include "report/json.h"

#define LAYOUTS 24u

/* --- drawing a layout ---------------------------------------------------- */

static uint32_t draw(uint32_t *random, uint32_t below)
{
  *random ^= *random << 13;
  *random ^= *random >> 17;
  *random ^= *random << 5;
  return *random % below;
}

/* `count` different numbers below `below`, in no order. */
static void draw_different(uint32_t *random, uint32_t below, uint32_t *numbers,
                           uint32_t count)
{
  for (uint32_t i = 0; i < count;) {
    numbers[i] = draw(random, below);
    uint32_t same = 0;
    while (numbers[same] != numbers[i]) {
      same++;
    }
    if (same == i) i++;
  }
}

enum { KEY, ORDER, STATE, TARGET, DATA, CELL, REGISTERS };
enum { PROGRAM, ERASE_PAGE, ERASE_EVERYTHING, RELOAD, LOCK, ORDERS };

struct layout {
  uint32_t base, offset[REGISTERS];
  uint32_t order[ORDERS], busy, refused; /* bits */
  bool one_register; /* the state stands beside the orders */
  uint32_t keys[2];
};

/* A window of 2 KiB in the peripheral space, above all the others. */
static struct layout draw_layout(uint32_t *random)
{
  struct layout l = {.base = 0x45000000u + draw(random, 0x2000) * 0x800u};
  uint32_t numbers[ORDERS + 2];
  draw_different(random, 0x800 / 4, l.offset, REGISTERS);
  draw_different(random, 32, numbers, ORDERS + 2);
  memcpy(l.order, numbers, sizeof l.order);
  l.busy = numbers[ORDERS];
  l.refused = numbers[ORDERS + 1];
  l.one_register = draw(random, 2) != 0;
  l.keys[0] = draw(random, UINT32_MAX);
  l.keys[1] = draw(random, UINT32_MAX);
  return l;
}

/* --- the part file ------------------------------------------------------- */

static const char *bit_field(struct played_bench *bench, uint32_t bit,
                             const char *role, const char *access)
{
  return played_format(bench,
                       "{ \"name\": \"%s\", \"bits\": \"%" PRIu32
                       "\", \"role\": \"flash.%s\", \"access\": \"%s\" }",
                       role, bit, role, access);
}

static const char *reload_field(struct played_bench *bench, uint32_t bit)
{
  return played_format(bench,
                       "{ \"name\": \"reload\", \"bits\": \"%" PRIu32
                       "\", \"role\": \"options.reload\", \"access\": "
                       "\"w1s\" }",
                       bit);
}

static const char *word_field(struct played_bench *bench, const char *rest)
{
  return played_format(bench, "{ \"name\": \"word\", \"bits\": \"31:0\", %s }",
                       rest);
}

static const char *orders(struct played_bench *bench, const struct layout *l)
{
  return played_format(
      bench, "%s, %s, %s, %s, %s",
      bit_field(bench, l->order[LOCK], "lock", "w1s"),
      bit_field(bench, l->order[ERASE_EVERYTHING], "erase_all", "w1s"),
      bit_field(bench, l->order[PROGRAM], "program", "w1s"),
      reload_field(bench, l->order[RELOAD]),
      bit_field(bench, l->order[ERASE_PAGE], "erase_page", "w1s"));
}

static const char *state(struct played_bench *bench, const struct layout *l)
{
  return played_format(bench, "%s, %s",
                       bit_field(bench, l->refused, "refused", "w1c"),
                       bit_field(bench, l->busy, "busy", "ro"));
}

static const char *key(struct played_bench *bench, const struct layout *l)
{
  return word_field(
      bench,
      played_format(bench,
                    "\"role\": \"flash.unlock\", \"access\": \"wo\", "
                    "\"keys\": [ \"0x%08" PRIX32 "\", \"0x%08" PRIX32 "\" ]",
                    l->keys[0], l->keys[1]));
}

static const char *reg(struct played_bench *bench, const struct layout *l,
                       uint32_t which, const char *fields)
{
  return played_format(bench,
                       "{ \"name\": \"R%" PRIu32 "\", \"offset\": \"0x%" PRIX32
                       "\", \"fields\": [ %s ] }",
                       which, l->offset[which] * 4, fields);
}

/* The block of the controller, its registers in an order of its own. */
static const char *controller(struct played_bench *bench,
                              const struct layout *l)
{
  const char *order = orders(bench, l), *apart = "";
  if (l->one_register) {
    order = played_format(bench, "%s, %s", order, state(bench, l));
  } else {
    apart =
        played_format(bench, "%s,\n", reg(bench, l, STATE, state(bench, l)));
  }
  return played_format(
      bench,
      "{ \"name\": \"ELSEWHERE\", \"at\": \"0x%08" PRIX32
      "\", \"size\": \"2KiB\", \"registers\": [\n%s,\n%s,\n%s%s,\n%s,\n%s ] "
      "},\n    ",
      l->base,
      reg(bench, l, DATA,
          word_field(bench, "\"role\": \"flash.data\", \"access\": \"rw\"")),
      reg(bench, l, ORDER, order), apart,
      reg(bench, l, CELL,
          word_field(bench, "\"role\": \"options.cell\", \"access\": \"ro\", "
                            "\"index\": 0")),
      reg(bench, l, TARGET,
          word_field(bench, "\"role\": \"flash.target\", \"access\": \"rw\"")),
      reg(bench, l, KEY, key(bench, l)));
}

static const struct part *moved_part(struct played_bench *bench,
                                     const struct layout *layout,
                                     const char *name)
{
  const char *text = played_part_text(bench, PLAYED_LATCHED);
  text = played_replace(bench, text, "\"part\": \"latched\"",
                        played_format(bench, "\"part\": \"%s\"", name));
  const char *from = strstr(text, "{ \"name\": \"FLASHCTL\"");
  const char *to = strstr(text, "{ \"name\": \"RESETS\"");
  assert_true(from && to && from < to);
  text = played_format(bench, "%.*s%s%s", (int)(from - text), text,
                       controller(bench, layout), to);
  const char *file = played_format(bench, "%s.json", name);
  return played_part(bench, played_text_file(bench, file, text));
}

/* --- comparing ----------------------------------------------------------- */

static const char *result_json(struct played_bench *bench,
                               const struct case_script *script,
                               const struct part *part)
{
  struct play *play = played_prepare(script, part);
  const struct result *result = play_run(play);
  assert_int_equal(result->verdict, VERDICT_HELD);
  struct report_json document;
  char *text = NULL;
  size_t length = 0;
  FILE *to = open_memstream(&text, &length);
  assert_non_null(to);
  report_json_begin(&document);
  report_json_add(&document, result);
  assert_true(report_json_write(&document, to));
  assert_int_equal(fclose(to), 0);
  report_json_free(&document);
  play_free(play);
  const char *kept = arena_text_n(&bench->arena, text, length);
  free(text);
  return kept;
}

static const struct row {
  const char *name; /* of a case for the part, in traces/ */
} rows[] = {
    {"still-boots-rom"},       {"mended-by-reload"},
    {"mended-by-power-cycle"}, {"power-cycle-that-was-none"},
    {"blank-at-base"},         {"erased-under-a-stale-latch"},
};

static void is_the_same_on_a_moved_part(void **state)
{
  struct played_bench *bench = *state;
  const struct row *row = bench->row;
  const struct case_script *script = played_case(
      bench,
      played_format(bench, FIRSTFETCH_ROOT "/traces/%s.jsonc", row->name));
  const char *expected =
      result_json(bench, script, played_part(bench, PLAYED_LATCHED));
  uint32_t random = 0x1f3d5b79;
  for (uint32_t i = 0; i < LAYOUTS; i++) {
    const char *name = played_format(bench, "moved-%" PRIu32, i);
    struct layout layout = draw_layout(&random);
    const struct part *part = moved_part(bench, &layout, name);
    const char *json = result_json(bench, script, part);
    json = played_replace(bench, json,
                          played_format(bench, "\"part\": \"%s\"", name),
                          "\"part\": \"latched\"");
    assert_string_equal(json, expected);
  }
}

int main(void)
{
  struct CMUnitTest tests[ROWS_COUNT(rows)];
  PLAYED_ADD(tests, is_the_same_on_a_moved_part, rows);
  return cmocka_run_group_tests(tests, NULL, NULL);
}

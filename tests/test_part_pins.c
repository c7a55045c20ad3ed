/* What a part file says of its pins: pulls, limits, and what they do below
 * power-on. */
#include "describe/part_shape.h"
#include "rows.h"
#include "sample_edit.h"

static const struct row {
  const char *name;
  const char *keys; /* beside "debug" in the sample part */
  uint64_t up, down;
  int64_t total_limit;
  bool undefined;
  const char *error; /* NULL: it is read */
} rows[] = {
    {"left out, no pulls, 100 mA in all, released", "", 0, 0, 100000000, false,
     NULL},
    {"pins that the part pulls",
     ", \"pulled_up\": [ \"P1\", \"P0\" ], "
     "\"pulled_down\": [ \"P2\" ]",
     3, 4, 100000000, false, NULL},
    {"a limit of all pins together", ", \"total_limit\": \"60mA\"", 0, 0,
     60000000, false, NULL},
    {"undefined below power-on", ", \"below_power_on\": \"undefined\"", 0, 0,
     100000000, true, NULL},
    {"a pin is pulled one way",
     ", \"pulled_up\": [ \"P1\" ], "
     "\"pulled_down\": [ \"P1\" ]",
     0, 0, 0, false,
     "pins.pulled_down: pulls \"P1\" down, which is pulled up, too; expected "
     "one of them"},
    {"a pull is on a pin", ", \"pulled_up\": [ \"Q1\" ]", 0, 0, 0, false,
     "pins.pulled_up[0]: is \"Q1\"; expected "},
};

static void row(void **state)
{
  const struct row *r = *state;
  struct arena arena;
  struct sim_error err;
  const struct json *root;
  const struct part *part = NULL;
  char debug[200], said[1400];
  arena_init(&arena);
  snprintf(debug, sizeof debug, "\"debug\": [ \"P3\" ]%s", r->keys);
  const struct sample_edit edits[SAMPLE_EDITS] = {
      {"\"debug\": [ \"P3\" ]", debug}};
  const char *text = sample_edited(&arena, SAMPLE_PART, edits);
  assert_int_equal(
      json_parse(&arena, "part.json", text, strlen(text), false, &root, &err),
      SIM_OK);
  enum sim_status status =
      part_from_json(&arena, "part.json", root, &part, &err);
  if (r->error != NULL) {
    assert_int_not_equal(status, SIM_OK);
    assert_non_null(strstr(sim_error_text(&err, said, sizeof said), r->error));
  } else {
    assert_int_equal(status, SIM_OK);
    assert_int_equal(part->pins.pulled_up, r->up);
    assert_int_equal(part->pins.pulled_down, r->down);
    assert_int_equal(part->pins.total_limit.typ, r->total_limit);
    assert_int_equal(part->pins.undefined_below, r->undefined);
  }
  arena_free(&arena);
}

int main(void)
{
  struct CMUnitTest tests[ROWS_COUNT(rows)];
  ROWS_ADD(tests, row, rows);
  return cmocka_run_group_tests_name("part_pins", tests, NULL, NULL);
}

/* The host, the neighbours and the `send` steps of a case: what is read, and
 * in which words the rest is refused. */
#include "host_fixture.h"

/* %s: board; step. */
static const char text[] = "{ \"case\": \"x\", \"part\": \"latched\",\n"
                           "  \"images\": { \"app\": \"app.elf\" },\n"
                           "  \"board\": { %s },\n"
                           "  \"steps\": [\n"
                           "    { \"power\": \"on\" },\n"
                           "    %s ] }\n";

#define HOST "\"host\": { }"

static const struct case_script *read_text(struct played_bench *bench,
                                           const char *board, const char *step,
                                           struct sim_error *err)
{
  const struct case_script *script = NULL;
  const char *path = played_text_file(bench, "case.json",
                                      played_format(bench, text, board, step));
  *err = (struct sim_error){0};
  if (case_read(&bench->arena, path, &script, err) != SIM_OK) return NULL;
  return script;
}

/* --- what is read -------------------------------------------------------- */

static void a_host_has_defaults(void **state)
{
  struct sim_error err;
  const struct case_script *s =
      read_text(*state, HOST, "{ \"send\": \"hello\" }", &err);
  assert_non_null(s);
  assert_true(s->host.present && s->host.attached);
  assert_null(s->host.to);
  assert_null(s->host.from);
  assert_int_equal(s->host.baud, 115200);
  assert_int_equal(s->host.timeout, 100 * PS_PER_MS);
  assert_int_equal(s->host.retries, 1);
  assert_int_equal(s->steps[1].verb, VERB_SEND);
  assert_int_equal(s->steps[1].request, REQUEST_HELLO);
}

static void a_neighbour_says_octets(void **state)
{
  struct sim_error err;
  const struct case_script *s = read_text(
      *state,
      "\"neighbours\": [ { \"name\": \"n\", \"to\": \"P3\", \"bytes\": "
      "\"00fFA5\", \"every\": \"1s\" } ]",
      "{ \"run\": \"1ms\" }", &err);
  assert_non_null(s);
  assert_int_equal(s->neighbour_count, 1);
  const struct case_neighbour *n = &s->neighbours[0];
  static const uint8_t octets[] = {0x00, 0xff, 0xa5};
  assert_int_equal(n->octets.count, sizeof octets);
  assert_memory_equal(n->octets.at, octets, sizeof octets);
  assert_int_equal(n->baud, 9600);
  assert_int_equal(n->every, PS_PER_S);
}

static const struct step_row {
  const char *name;
  const char *step;
  struct step read; /* request, at, has_at, pages */
} step_rows[] = {
    {"a wipe of everything",
     "{ \"send\": \"wipe\" }",
     {.request = REQUEST_WIPE, .pages = 1}},
    {"a wipe of pages",
     "{ \"send\": \"wipe\", \"at\": \"0x04000400\", "
     "\"pages\": 3 }",
     {.request = REQUEST_WIPE, .has_at = true, .at = 0x04000400, .pages = 3}},
    {"a put",
     "{ \"send\": \"put\", \"image\": \"app\" }",
     {.request = REQUEST_PUT}},
    {"a compare",
     "{ \"send\": \"compare\", \"image\": \"app\" }",
     {.request = REQUEST_COMPARE}},
    {"a get",
     "{ \"send\": \"get\", \"at\": \"0x04000001\" }",
     {.request = REQUEST_GET, .has_at = true, .at = 0x04000001}},
    {"a launch at the base",
     "{ \"send\": \"launch\" }",
     {.request = REQUEST_LAUNCH}},
    {"a launch elsewhere",
     "{ \"send\": \"launch\", \"at\": \"0x04002000\" }",
     {.request = REQUEST_LAUNCH, .has_at = true, .at = 0x04002000}},
    {"the plug", "{ \"send\": \"detach\" }", {.request = REQUEST_DETACH}},
};

static void step_row(void **state)
{
  struct played_bench *bench = *state;
  const struct step_row *row = bench->row;
  struct sim_error err;
  const struct case_script *s = read_text(bench, HOST, row->step, &err);
  assert_non_null(s);
  const struct step *step = &s->steps[1];
  assert_int_equal(step->request, row->read.request);
  assert_int_equal(step->has_at, row->read.has_at);
  assert_int_equal(step->at, row->read.at);
  if (row->read.request == REQUEST_WIPE)
    assert_int_equal(step->pages, row->read.pages);
}

/* --- what is refused ----------------------------------------------------- */

#define OCTETS                                                                \
  "expected 1 to 512 octets, each two hexadecimal digits, such as \"7ec201\""

static const struct refused_row {
  const char *name;
  const char *board, *step;
  const char *error; /* behind the file's name */
} refused_rows[] = {
    {"no host on the board", "", "{ \"send\": \"hello\" }",
     ":6:15: steps[1].send: needs a serial host, and the board has none; "
     "expected \"host\" in \"board\""},
    {"nor for a write", "", "{ \"write\": \"app\", \"by\": \"host\" }",
     ":6:29: steps[1].by: needs a serial host, and the board has none; "
     "expected \"host\" in \"board\""},
    {"no such word", HOST, "{ \"send\": \"helo\" }",
     ":6:15: steps[1].send: is \"helo\"; expected \"hello\""},
    {"pages of what", HOST, "{ \"send\": \"wipe\", \"pages\": 2 }",
     ":6:23: steps[1].pages: stands alone; expected \"at\" beside it: the "
     "first page"},
    {"an image that is not listed", HOST,
     "{ \"send\": \"put\", \"image\": \"ap\" }",
     ":6:31: steps[1].image: is \"ap\"; expected one of \"app\", \"latch\", "
     "\"options\""},
    {"half an octet", HOST, "{ \"send\": \"bytes\", \"bytes\": \"7ec\" }",
     ":6:33: steps[1].bytes: is \"7ec\"; " OCTETS},
    {"no digit", HOST, "{ \"send\": \"bytes\", \"bytes\": \"7g\" }",
     ":6:33: steps[1].bytes: is \"7g\"; " OCTETS},
    {"a hello has no address", HOST,
     "{ \"send\": \"hello\", \"at\": \"0x04000000\" }",
     ":6:24: steps[1].at: is no key of a \"send\" step; expected \"send\" or "
     "\"label\""},
    {"a baud rate of 0", "\"host\": { \"baud\": 0 }",
     "{ \"send\": \"hello\" }",
     ":3:32: board.host.baud: is 0; expected an integer from 50 to "
     "10000000"},
    {"the options are nothing for the host", HOST,
     "{ \"write\": \"options\", \"set\": { \"start.source\": 2 }, \"by\": "
     "\"host\" }",
     ":6:63: steps[1].by: is \"host\"; expected \"probe\" or \"preset\""},
};

static void refused_row(void **state)
{
  struct played_bench *bench = *state;
  const struct refused_row *row = bench->row;
  struct sim_error err;
  char said[1200];
  assert_null(read_text(bench, row->board, row->step, &err));
  sim_error_text(&err, said, sizeof said);
  const char *at = strstr(said, "case.json");
  assert_non_null(at);
  assert_string_equal(at + strlen("case.json"), row->error);
}

/* --- what a part refuses ------------------------------------------------- */

static const struct part_row {
  const char *name;
  const char *board;
  const char *error; /* behind the file's name and line */
} part_rows[] = {
    {"a pin that the part lacks", "\"host\": { \"to\": \"P99\" }",
     "board.host.to: is \"P99\", which part latched has no pin of; expected "
     "the name of one"},
    {"a neighbour's",
     "\"neighbours\": [ { \"name\": \"n\", \"to\": \"P99\", "
     "\"bytes\": \"00\", \"every\": \"1s\" } ]",
     "board.neighbours[0].to: is \"P99\", which part latched has no pin of; "
     "expected the name of one"},
};

static void part_row(void **state)
{
  struct played_bench *bench = *state;
  const struct part_row *row = bench->row;
  static const struct play_options options = {.judge = true};
  struct sim_error err;
  struct play *play;
  char said[1200];
  const struct case_script *s =
      read_text(bench, row->board, "{ \"run\": \"1ms\" }", &err);
  assert_non_null(s);
  assert_int_equal(play_prepare(s, played_part(bench, PLAYED_LATCHED),
                                &options, &play, &err),
                   SIM_REFERENCE);
  sim_error_text(&err, said, sizeof said);
  assert_non_null(strstr(said, row->error));
}

int main(void)
{
  static const struct CMUnitTest singles[] = {
      PLAYED_TEST(a_host_has_defaults),
      PLAYED_TEST(a_neighbour_says_octets),
  };
  struct CMUnitTest tests[ROWS_COUNT(step_rows) + ROWS_COUNT(refused_rows) +
                          ROWS_COUNT(part_rows)];
  size_t count = PLAYED_ADD(tests, step_row, step_rows);
  count += PLAYED_ADD(tests + count, refused_row, refused_rows);
  PLAYED_ADD(tests + count, part_row, part_rows);
  int failed = cmocka_run_group_tests_name("rows", tests, NULL, NULL);
  return failed + cmocka_run_group_tests_name("singles", singles, NULL, NULL);
}

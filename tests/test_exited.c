/* A program that ends itself by a call of the host: its status is part of the
 * result, and a case can ask for it.
 *
 * The call: Arm's semihosting specification (SYS_EXIT_EXTENDED 0x20 with
 * ADP_Stopped_ApplicationExit 0x20026, by BKPT 0xAB). */
#include "played.h"

/* Vectors; movs r0, #0x20; ldr r1, =block; bkpt 0xab; b .; block: 0x20026, 3
 */
#define IMAGE                                                                 \
  ":10000000001000200900000020200249ABBEFEE7DE\n"                             \
  ":10001000000000001800000026000200030000009D\n"                             \
  ":00000001FF\n"

#define PART                                                                  \
  "{ \"part\": \"small\", \"core\": { \"kind\": \"cortex-m0\"%s }, "          \
  "\"memory\": [ { \"name\": \"flash\", \"kind\": \"flash\", "                \
  "\"at\": \"0x00000000\", \"size\": \"4KiB\" }, { \"name\": \"ram\", "       \
  "\"kind\": \"ram\", \"at\": \"0x20000000\", \"size\": \"4KiB\" } ] }"

#define CASE                                                                  \
  "{ \"case\": \"It exits\", \"part\": \"part.json\", \"images\": { "         \
  "\"app\": \"app.hex\" }, \"steps\": [ { \"write\": \"app\", \"by\": "       \
  "\"preset\" }, { \"power\": \"on\" }, { \"expect\": { %s, \"within\": "     \
  "\"1ms\" } } ] }"

static const struct row {
  const char *name;
  const char *core; /* more about it in the part's file */
  bool option;      /* of the play */
  const char *asked;
  enum outcome outcome;
  const char *seen; /* NULL: as asked */
} rows[] = {
    {"the part says so", ", \"semihosting\": true", false,
     "\"outcome\": \"exited\", \"exit_status\": 3", OUTCOME_EXITED, NULL},
    {"the player says so", "", true, "\"exit_status\": 3", OUTCOME_EXITED,
     NULL},
    {"another status", "", true, "\"exit_status\": 0", OUTCOME_EXITED,
     "exit_status 3"},
    {"nobody says so: a fault", "", false, "\"exit_status\": 3",
     OUTCOME_LOCKUP, "exit_status none"},
};

static void row(void **state)
{
  struct played_bench *bench = *state;
  const struct row *r = bench->row;
  struct sim_error err;
  struct play *play;
  played_text_file(bench, "app.hex", IMAGE);
  const char *part = played_text_file(bench, "part.json",
                                      played_format(bench, PART, r->core));
  const char *script = played_text_file(bench, "case.json",
                                        played_format(bench, CASE, r->asked));
  const struct play_options how = {.judge = true, .semihosting = r->option};
  assert_int_equal(play_prepare(played_case(bench, script),
                                played_part(bench, part), &how, &play, &err),
                   SIM_OK);
  const struct result *result = play_run(play);
  const struct start *s = &result->starts[0];
  assert_int_equal(s->outcome, r->outcome);
  if (r->outcome == OUTCOME_EXITED) {
    assert_int_equal(s->exit_status, 3);
    assert_int_equal(s->stop_pc, 0xe);
  }
  const struct judgement *j = &result->judgements[0];
  assert_int_equal(j->held, r->seen == NULL);
  if (r->seen != NULL) assert_string_equal(j->seen, r->seen);
  play_free(play);
}

int main(void)
{
  struct CMUnitTest tests[ROWS_COUNT(rows)];
  PLAYED_ADD(tests, row, rows);
  return cmocka_run_group_tests_name("rows", tests, NULL, NULL);
}

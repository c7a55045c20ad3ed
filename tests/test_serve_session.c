/* A session of gdb's with the part: what is asked and answered. Packets and
 * answers: GDB manual, "Remote Serial Protocol". What the part does is held
 * against its description and against what the same steps of a case do. */
#include "serve_fixture.h"

#include "serve/gdb_registers.h"

/* The demo case, attached with reset held: blank, halted at the ROM's
 * vector. */
#define DEMO       "still-boots-rom"
#define DEMO_BLANK 2
#define DEMO_WAITS 6 /* the stale latch has started the ROM, which polls */
#define FLASH      "4000000"
#define FLASH_PAGE 1024

/* --- one packet, one answer ---------------------------------------------- */

static const struct ask_row {
  const char *name;
  const char *asked, *answer;
} ask_rows[] = {
    {"what is not known gets the empty answer", "vMustReplyEmpty", ""},
    {"so does an empty packet", "", ""},
    {"the server attached to what was there", "qAttached", "1"},
    {"any thread will do", "Hg0", "OK"},
    {"steps and continues come by vCont", "vCont?", "vCont;c;C;s;S"},
    {"an action nobody knows is an error", "vCont;x", "E01"},
    {"a signal needs a number", "C", "E01"},
    {"a register needs a number", "p", "E01"},
    {"there are no more registers than described", "p15", "E03"},
    {"no number is too large to be refused", "pffffffff", "E03"},
    {"a register needs a value", "P0", "E01"},
    {"a value has all of its digits", "P0=0000", "E01"},
    {"and no more", "P0=0000000000", "E01"},
    {"all registers come in their whole length", "G00", "E01"},
    {"memory needs a place", "m", "E01"},
    {"and a length", "m0,", "E01"},
    {"an address has 32 bits", "m100000000,4", "E01"},
    {"where nothing is there is nothing to be read", "m30000000,4", "E03"},
    {"memory ends at the last address", "mffffffff,4", "E03"},
    {"nothing can be read of nothing", "m20000000,0", ""},
    {"flash takes no plain writes", "M" FLASH ",4:00000000", "E03"},
    {"ROM takes none", "M6000000,4:00000000", "E03"},
    {"a write has all of its bytes", "M20000000,4:0000", "E01"},
    {"and no more", "M20000000,1:0000", "E01"},
    {"a binary write has its length", "X20000000,2:a", "E01"},
    {"an empty binary write asks whether there are any", "X20000000,0:", "OK"},
    {"RAM ends where it ends", "M200017ff,2:0000", "E03"},
    {"registers take whole words", "M44000000,1:00", "E03"},
    {"watchpoints are not known", "Z2,20000000,4", ""},
    {"the unit does not reach RAM", "Z1,20000000,2", "E02"},
    {"no instruction is at an odd address", "Z1,4000001,2", "E02"},
    {"a breakpoint needs a kind", "Z1,4000000", "E01"},
    {"a breakpoint that is not there can't be cleared", "z1,4000000,2", "E03"},
    {"only flash is erased", "vFlashErase:20000000,400", "E04"},
    {"flash ends where it ends", "vFlashErase:400bc00,401", "E04"},
    {"a large length is not wrapped", "vFlashErase:4000000,ffffffff", "E04"},
    {"only flash is programmed", "vFlashWrite:20000000:a", "E.memtype"},
    {"nothing staged is nothing to program", "vFlashDone", "OK"},
    {"beyond the end of a description there is no more",
     "qXfer:features:read:target.xml:fffff,10", "l"},
    {"other descriptions there are none", "qXfer:features:read:a.xml:0,10",
     "E00"},
    {"a piece of a description needs two numbers", "qXfer:memory-map:read::0",
     "E01"},
    {"a command is hexadecimal", "qRcmd,6", "E01"},
    {"all of it", "qRcmd,6z", "E01"},
    {"a command that nobody knows fails", "qRcmd,78", "E02"},
};

static void ask_row(void **state)
{
  struct played_bench *played = *state;
  const struct ask_row *row = played->row;
  struct serve_bench *b = serve_open(played, DEMO, DEMO_BLANK);
  serve_expect(b, row->asked, row->answer);
  serve_close(b);
}

/* --- monitor ------------------------------------------------------------- */

static const struct monitor_row {
  const char *name;
  const char *command;
  bool done;
  const char *says;
} monitor_rows[] = {
    {"nothing asked is help", "", true, "starts"},
    {"help lists every command", "help", true, "run TIME"},
    {"a wrong command may be meant otherwise", "stats", false,
     "did you mean starts"},
    {"the latch says blank", "latch", true,
     "blank; a fresh check would say blank"},
    {"the starts are told as a run tells them", "starts", true,
     "the rules that decided:"},
    {"the state tells what is aliased", "state", true, "address 0    rom"},
    {"looking takes no words", "state now", false, "now is too much"},
    {"a soldered battery can't be switched off", "power", false,
     "can't be switched off"},
    {"what is on can't be switched on", "power on", false, "on already"},
    {"a time needs its unit", "power off 3", false, "is no time"},
    {"a reset that is none is refused", "reset hard", false, "is no reset"},
    {"power is no cause to ask for", "reset power_on", false, "the supply's"},
    {"a cause that the part lacks is refused", "reset deep_sleep_exit", false,
     "not in this part's reset table"},
    {"one reset at a time", "reset pin core", false, "word too much"},
    {"a run needs a time", "run", false, "needs one time"},
    {"a run that nobody could stop is refused", "run 2s", false, "too long"},
    {"a reset by the line halts at the vector", "reset", true,
     "start 3 (pin)"},
    {"so does one by request", "reset request", true, "start 3 (software)"},
    {"and one of the core", "reset core", true, "start 3 (core_only)"},
    {"and a reload of the option words", "reload", true,
     "start 3 (option_reload)"},
    {"a pin needs a level", "drive P2", false, "needs a pin and a level"},
    {"a level that is none is refused", "drive P2 up", false, "is no level"},
    {"a pin that the part lacks is refused", "drive P99 high", false,
     "is no pin"},
    {"more words than any command takes are refused", "run 1 2 3 4 5 6", false,
     "too much"},
};

static void monitor_row(void **state)
{
  struct played_bench *played = *state;
  const struct monitor_row *row = played->row;
  struct serve_bench *b = serve_open(played, DEMO, DEMO_BLANK);
  bool done;
  const char *text = serve_monitor(b, row->command, &done);
  if (!strstr(text, row->says)) fail_msg("says: %s", text);
  assert_int_equal(done, row->done);
  serve_close(b);
}

static void a_line_that_is_too_long_is_refused(void **state)
{
  struct serve_bench *b = serve_open(*state, DEMO, DEMO_BLANK);
  char line[400] = "";
  bool done;
  memset(line, 'a', sizeof line - 1);
  serve_monitor(b, line, &done);
  assert_false(done);
  serve_close(b);
}

/* --- descriptions -------------------------------------------------------- */

/* GDB manual, "ARM Features": which registers each feature has. */
static const struct feature_row {
  const char *name;
  const char *part;
  const char *has, *lacks;
  uint32_t bytes; /* of all registers */
} feature_rows[] = {
    {"a Cortex-M0 has 21 registers", "latched", "org.gnu.gdb.arm.m-profile",
     "basepri", 21 * 4},
    {"a Cortex-M3 can mask by priority", "rom-first", "faultmask", "vfp",
     23 * 4},
    {"a Cortex-M4 without floating point lacks it", "latched-banked",
     "basepri", "vfp", 23 * 4},
};

static void feature_row(void **state)
{
  struct played_bench *played = *state;
  const struct feature_row *row = played->row;
  struct serve_bench *b =
      serve_open_on(played, serve_case(played, DEMO),
                    played_part(played, serve_part(played, row->part)), 0);
  const char *xml = serve_ask(b, "qXfer:features:read:target.xml:0,1fff");
  assert_int_equal(xml[0], 'l');
  assert_non_null(strstr(xml, row->has));
  assert_null(strstr(xml, row->lacks));
  assert_int_equal(strlen(serve_ask(b, "g")), 2 * row->bytes);
  serve_close(b);
}

static void a_core_with_floating_point_has_16_doubles(void **state)
{
  struct played_bench *played = *state;
  const struct part_core part = {.kind = CORE_KIND_M4F};
  struct core c = {.part = &part};
  char *text;
  size_t size;
  uint8_t bytes[8] = {1, 2, 3, 4, 5, 6, 7, 8}, read[8];
  (void)played;
  FILE *to = open_memstream(&text, &size);
  gdb_registers_describe(&c, to);
  fclose(to);
  assert_non_null(strstr(text, "org.gnu.gdb.arm.vfp"));
  assert_non_null(strstr(text, "\"d15\" bitsize=\"64\""));
  assert_null(strstr(text, "\"d16\""));
  free(text);
  /* 17 of the profile, 6 of the system, then d0; fpscr is behind d15 */
  gdb_registers_write(&c, 24, bytes);
  gdb_registers_read(&c, 24, read);
  assert_memory_equal(read, bytes, 8);
  assert_int_equal(c.fpu.s[2], 0x04030201u);
  assert_int_equal(c.fpu.s[3], 0x08070605u);
  assert_int_equal(gdb_registers_size(&c, 38), 8);
  assert_int_equal(gdb_registers_size(&c, 39), 4);
  assert_int_equal(gdb_registers_size(&c, 40), 0);
}

static void a_description_comes_in_pieces(void **state)
{
  struct serve_bench *b = serve_open(*state, DEMO, DEMO_BLANK);
  char whole[8192] = "";
  const char *piece = NULL;
  for (unsigned from = 0; from < 8000; from += 100) {
    piece = serve_ask(
        b, played_format(*state, "qXfer:memory-map:read::%x,64", from));
    strcat(whole, piece + 1);
    if (piece[0] == 'l') break;
    assert_int_equal(piece[0], 'm');
    assert_int_equal(strlen(piece + 1), 100);
  }
  assert_int_equal(piece[0], 'l');
  assert_string_equal(whole,
                      serve_ask(b, "qXfer:memory-map:read::0,1000") + 1);
  assert_non_null(strstr(whole, "<memory type=\"flash\" start=\"0x4000000\" "
                                "length=\"0xc000\"><property "
                                "name=\"blocksize\">0x400</property>"));
  serve_close(b);
}

/* --- the connection ------------------------------------------------------ */

static void acknowledgements_end_when_gdb_says_so(void **state)
{
  struct serve_bench *b = serve_open(*state, DEMO, DEMO_BLANK);
  serve_put(b, "$?#3f", 5);
  assert_int_equal(b->out[0], '+');
  serve_expect(b, "QStartNoAckMode", "OK");
  size_t before = b->out_size;
  serve_expect(b, "qAttached", "1");
  assert_int_equal(b->out[before], '$');
  serve_close(b);
}

static void what_did_not_arrive_is_sent_again(void **state)
{
  struct serve_bench *b = serve_open(*state, DEMO, DEMO_BLANK);
  serve_put(b, "-", 1);
  assert_int_equal(b->out_size, 0);
  serve_expect(b, "qAttached", "1");
  serve_put(b, "-", 1);
  assert_string_equal(serve_last(b), "1");
  serve_put(b, "$qAttached#00", 13);
  assert_int_equal(b->out[b->out_size - 1], '-');
  assert_null(serve_last(b));
  serve_close(b);
}

static void a_packet_without_room_is_an_error(void **state)
{
  struct serve_bench *b = serve_open(*state, DEMO, DEMO_BLANK);
  char *data = arena_get(&b->played->arena, PACKET_BYTES + 2);
  memset(data, 'a', PACKET_BYTES + 1);
  serve_expect(b, data, "E01");
  serve_expect(b, "qAttached", "1");
  serve_close(b);
}

static void who_detaches_is_answered_and_no_more(void **state)
{
  struct serve_bench *b = serve_open(*state, DEMO, DEMO_BLANK);
  serve_expect(b, "Z1,4000100,2", "OK");
  serve_expect(b, "D", "OK");
  assert_true(b->session.over && !b->session.killed);
  serve_send(b, "qAttached");
  assert_null(serve_last(b));
  session_close(&b->session);
  session_open(&b->session, &b->target, serve_keep, b);
  serve_expect(b, "z1,4000100,2", "E03");
  serve_send(b, "k");
  assert_true(b->session.over && b->session.killed);
  serve_close(b);
}

int main(void)
{
  struct CMUnitTest tests[ROWS_COUNT(ask_rows) + ROWS_COUNT(monitor_rows) +
                          ROWS_COUNT(feature_rows) + 7] = {
      PLAYED_TEST(a_line_that_is_too_long_is_refused),
      PLAYED_TEST(a_core_with_floating_point_has_16_doubles),
      PLAYED_TEST(a_description_comes_in_pieces),
      PLAYED_TEST(acknowledgements_end_when_gdb_says_so),
      PLAYED_TEST(what_did_not_arrive_is_sent_again),
      PLAYED_TEST(a_packet_without_room_is_an_error),
      PLAYED_TEST(who_detaches_is_answered_and_no_more)};
  size_t n = 7;
  n += PLAYED_ADD(tests + n, ask_row, ask_rows);
  n += PLAYED_ADD(tests + n, monitor_row, monitor_rows);
  PLAYED_ADD(tests + n, feature_row, feature_rows);
  return cmocka_run_group_tests(tests, NULL, NULL);
}

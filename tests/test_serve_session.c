/* A session of gdb's with the part: what is asked and answered. Packets and
 * answers: GDB manual, "Remote Serial Protocol". What the part does is held
 * against its description and against what the same steps of a case do. */
#include "serve_fixture.h"

#include "board/probe.h"
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

/* --- looking ------------------------------------------------------------- */

/* ARM DDI 0419E B1.5.5: the first fetch is where the vector says. */
static void the_core_is_halted_at_its_vector(void **state)
{
  struct serve_bench *b = serve_open(*state, DEMO, DEMO_BLANK);
  uint32_t vector = serve_word(serve_ask(b, "m4,4"));
  assert_int_equal(serve_pc(b), vector & ~1u);
  assert_int_equal(serve_word(serve_ask(b, "pd")),
                   serve_word(serve_ask(b, "m0,4")));
  serve_close(b);
}

static void looking_takes_no_time(void **state)
{
  struct serve_bench *b = serve_open(*state, DEMO, DEMO_WAITS);
  const struct machine *m = play_machine(b->play);
  ps_t before = m->now;
  uint64_t instructions = m->chip.core.instructions;
  bool done;
  serve_ask(b, "g");
  serve_ask(b, "m6000000,2000");
  serve_monitor(b, "state", &done);
  serve_monitor(b, "starts", &done);
  serve_ask(b, "?");
  for (int i = 0; i < 10; i++)
    session_pass(&b->session);
  assert_int_equal(m->now, before);
  assert_int_equal(m->chip.core.instructions, instructions);
  serve_close(b);
}

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
  const struct case_script *script =
      played_case(played, played_format(played, "traces/%s.jsonc", DEMO));
  struct serve_bench *b = arena_get(&played->arena, sizeof *b);
  const struct part *part =
      played_part(played, played_format(played, "models/%s.json", row->part));
  b->played = played;
  b->out = arena_get(&played->arena, SERVE_BYTES);
  b->console = open_memstream(&b->console_text, &b->console_size);
  b->play = played_prepare(script, part);
  target_open(&b->target, b->play, b->console);
  session_open(&b->session, &b->target, serve_keep, b);
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

/* --- changing ------------------------------------------------------------ */

static void registers_and_memory_take_what_is_written(void **state)
{
  struct serve_bench *b = serve_open(*state, DEMO, DEMO_BLANK);
  serve_expect(b, "P5=78563412", "OK");
  serve_expect(b, "p5", "78563412");
  serve_expect(b, "M2000000f,5:0011223344", "OK");
  serve_expect(b, "M20000010,3:aabbcc", "OK");
  serve_expect(b, "m2000000f,5", "00aabbcc44");
  serve_expect(b, "M200017fe,2:5566", "OK");
  serve_expect(b, "m200017fe,4", "5566");
  serve_expect(b, "X20000020,2:hi", "OK");
  serve_expect(b, "m20000020,2", "6869");
  const char *all = played_format(*state, "G%s", serve_ask(b, "g"));
  serve_expect(b, all, "OK");
  assert_string_equal(serve_ask(b, "g"), all + 1);
  serve_close(b);
}

static void one_step_is_one_instruction(void **state)
{
  struct serve_bench *b = serve_open(*state, DEMO, DEMO_BLANK);
  const struct core *core = &play_machine(b->play)->chip.core;
  uint64_t before = core->instructions;
  uint32_t pc = serve_pc(b);
  for (unsigned i = 1; i <= 5; i++) {
    const char *stop = serve_until_stopped(b, i % 2 ? "s" : "vCont;s:1;c");
    assert_memory_equal(stop, "T05", 3);
    assert_int_equal(core->instructions, before + i);
  }
  assert_int_not_equal(serve_pc(b), pc);
  serve_close(b);
}

/* ARM DDI 0419E C1.8.3: the unit of a Cortex-M0 has at most four comparators;
 * ARM DDI 0432C: this one has four. */
static void breakpoints_are_as_many_as_the_unit_has(void **state)
{
  struct serve_bench *b = serve_open(*state, DEMO, DEMO_BLANK);
  for (unsigned i = 0; i < 4; i++)
    serve_expect(b, played_format(*state, "Z1,400010%x,2", 2 * i), "OK");
  serve_expect(b, "Z1,4000100,2", "OK");
  serve_expect(b, "Z1,4000108,2", "E02");
  assert_non_null(strstr(serve_console(b), "4 comparators"));
  serve_expect(b, "z1,4000102,2", "OK");
  serve_expect(b, "Z1,4000108,2", "OK");
  serve_close(b);
}

static void a_comparator_of_the_program_is_left_alone(void **state)
{
  struct serve_bench *b = serve_open(*state, DEMO, DEMO_BLANK);
  uint32_t mine = 0x04000201u | 0x40000000u, value;
  struct machine *m = play_machine(b->play);
  assert_true(probe_write(&m->chip, 0xe0002008u, mine, m->now));
  for (unsigned i = 0; i < 3; i++)
    serve_expect(b, played_format(*state, "Z1,400010%x,2", 2 * i), "OK");
  serve_expect(b, "Z1,4000108,2", "E02");
  assert_true(probe_read(&m->chip, 0xe0002008u, m->now, &value));
  assert_int_equal(value, mine);
  serve_close(b);
}

static void a_breakpoint_stops_in_front_of_its_instruction(void **state)
{
  struct serve_bench *b = serve_open(*state, DEMO, DEMO_BLANK);
  uint32_t entry = serve_pc(b);
  serve_until_stopped(b, "s");
  uint32_t second = serve_pc(b);
  bool done;
  serve_monitor(b, "reset", &done);
  assert_int_equal(serve_pc(b), entry);
  serve_expect(b, played_format(*state, "Z1,%x,2", (unsigned)second), "OK");
  assert_memory_equal(serve_until_stopped(b, "c"), "T05", 3);
  assert_int_equal(serve_pc(b), second);
  serve_close(b);
}

/* In RAM it is an instruction, and nobody sees it: BKPT #0 is 0xbe00, ARM DDI
 * 0419E A6.7.12; MOV r8, r8 is 0x46c0. */
static void a_breakpoint_in_ram_hides(void **state)
{
  struct serve_bench *b = serve_open(*state, DEMO, DEMO_BLANK);
  const struct machine *m = play_machine(b->play);
  uint32_t word;
  serve_expect(b, "M20000100,4:c046c046", "OK");
  serve_expect(b, "Z0,20000102,2", "OK");
  serve_expect(b, "m20000101,3", "46c046");
  assert_true(bus_peek(&m->chip.bus, 0x20000102u, 2, &word));
  assert_int_equal(word, 0xbe00u);
  serve_expect(b, "Pf=00010020", "OK");
  assert_memory_equal(serve_until_stopped(b, "c"), "T05", 3);
  assert_int_equal(serve_pc(b), 0x20000102u);
  serve_expect(b, "z0,20000102,2", "OK");
  assert_true(bus_peek(&m->chip.bus, 0x20000102u, 2, &word));
  assert_int_equal(word, 0x46c0u);
  serve_close(b);
}

/* --- flash --------------------------------------------------------------- */

static void load_goes_through_the_controller(void **state)
{
  struct serve_bench *b = serve_open(*state, DEMO, DEMO_BLANK);
  const struct machine *m = play_machine(b->play);
  ps_t before = m->now, page = m->part->flash.erase_page.typ;
  serve_expect(b, "vFlashErase:" FLASH ",800", "OK");
  assert_true(m->now >= before + 2 * page);
  before = m->now;
  serve_expect(b, "vFlashWrite:" FLASH ":abcdef", "OK");
  serve_expect(b, "vFlashWrite:4000006:ghij", "OK");
  assert_int_equal(m->now, before);
  serve_expect(b, "m" FLASH ",4", "ffffffff");
  serve_expect(b, "vFlashDone", "OK");
  assert_true(m->now >= before + 3 * m->part->flash.program.typ);
  serve_expect(b, "m" FLASH ",c", "6162636465666768696affff");
  assert_true(m->chip.flash.locked);
  serve_close(b);
}

/* The point of it: nothing has looked at the flash since. */
static void after_load_the_latch_is_stale(void **state)
{
  struct serve_bench *b = serve_open(*state, DEMO, DEMO_BLANK);
  bool done;
  serve_expect(b, "vFlashWrite:" FLASH ":abcd", "OK");
  serve_expect(b, "vFlashDone", "OK");
  assert_non_null(strstr(serve_monitor(b, "latch", &done), "blank, stale"));
  assert_non_null(strstr(serve_monitor(b, "reset pin", &done), "in rom"));
  assert_non_null(strstr(serve_monitor(b, "reload", &done), "start"));
  assert_non_null(
      strstr(serve_monitor(b, "latch", &done), "programmed; a fresh"));
  serve_close(b);
}

/* Common practice, no source: what is programmed must have been erased. */
static void what_the_part_refuses_is_an_error(void **state)
{
  struct serve_bench *b = serve_open(*state, DEMO, DEMO_BLANK);
  serve_expect(b, "vFlashWrite:" FLASH ":abcd", "OK");
  serve_expect(b, "vFlashDone", "OK");
  serve_expect(b, "vFlashWrite:" FLASH ":wxyz", "OK");
  serve_expect(b, "vFlashDone", "E04");
  assert_non_null(strstr(serve_console(b), "the part refused"));
  serve_expect(b, "m" FLASH ",4", "61626364");
  serve_expect(b, "vFlashDone", "OK");
  serve_close(b);
}

/* --- going and stopping -------------------------------------------------- */

static void an_interrupt_stops_a_program_that_runs_for_ever(void **state)
{
  struct serve_bench *b = serve_open(*state, DEMO, DEMO_WAITS);
  const struct machine *m = play_machine(b->play);
  ps_t before = m->now;
  serve_put(b, "\x03", 1);
  assert_null(serve_last(b));
  serve_send(b, "vCont;c");
  for (int i = 0; i < 20; i++)
    session_pass(&b->session);
  assert_true(session_runs(&b->session));
  assert_null(serve_last(b));
  assert_true(m->now > before);
  serve_put(b, "\x03", 1);
  assert_memory_equal(serve_last(b), "T02", 3);
  before = m->now;
  session_pass(&b->session);
  assert_int_equal(m->now, before);
  serve_close(b);
}

static void a_packet_stops_it_as_well(void **state)
{
  struct serve_bench *b = serve_open(*state, DEMO, DEMO_WAITS);
  serve_send(b, "c");
  session_pass(&b->session);
  serve_send(b, "qAttached");
  assert_memory_equal(serve_next(b), "T02", 3);
  assert_string_equal(serve_next(b), "1");
  assert_false(session_runs(&b->session));
  serve_close(b);
}

/* Deep sleep, and nothing is set up to end it: on this part the debug port is
 * dead meanwhile. */
static void what_sleeps_for_ever_does_not_hang(void **state)
{
  struct serve_bench *b = serve_open(*state, "shut-out-by-sleep", 2);
  serve_send(b, "c");
  for (int i = 0; i < 10 && session_runs(&b->session); i++)
    session_pass(&b->session);
  assert_int_equal(serve_next(b)[0], 'O');
  assert_memory_equal(serve_next(b), "T00", 3);
  assert_int_equal(b->target.machine->chip.core.mode, CORE_SLEEPING);
  serve_expect(b, "Pf=00000000", "E02");
  serve_expect(b, "Z1,4000000,2", "E02");
  assert_non_null(strstr(serve_console(b), "sleeps deeply"));
  assert_int_equal(serve_ask(b, "m" FLASH ",4")[0] == 'E', false);
  serve_close(b);
}

static void what_took_the_debug_pins_can_be_stepped_all_the_same(void **state)
{
  struct serve_bench *b = serve_open(*state, "shut-out-by-pins", 3);
  const struct core *core = &play_machine(b->play)->chip.core;
  uint64_t before = core->instructions;
  assert_false(core->debug_enabled);
  for (unsigned i = 1; i <= 3; i++) {
    assert_memory_equal(serve_until_stopped(b, "s"), "T05", 3);
    assert_int_equal(core->instructions, before + i);
  }
  serve_expect(b, "P0=00000000", "E02");
  serve_close(b);
}

/* A power-on clears the breakpoint unit: ARM DDI 0419E C1.6, debug state is
 * that of a power-on reset. The server loads it again. */
static void a_breakpoint_outlives_the_supply(void **state)
{
  struct serve_bench *b = serve_open(*state, "mended-by-power-cycle", 2);
  bool done;
  uint32_t entry = serve_word(serve_ask(b, "m"
                                           "4000004,4")) &
                   ~1u;
  serve_expect(b, played_format(*state, "Z1,%x,2", (unsigned)entry + 4), "OK");
  assert_non_null(strstr(serve_monitor(b, "power off", &done), "without"));
  assert_true(done);
  serve_expect(b, "Z1,4000000,2", "E02");
  assert_memory_equal(serve_until_stopped(b, "c"), "T00", 3);
  const char *text = serve_monitor(b, "power on", &done);
  assert_non_null(strstr(text, "in flash, start 2 (power_on)"));
  assert_int_equal(serve_pc(b), entry);
  assert_memory_equal(serve_until_stopped(b, "c"), "T05", 3);
  assert_int_equal(serve_pc(b), entry + 4);
  serve_close(b);
}

static void a_power_cycle_may_be_none(void **state)
{
  struct serve_bench *b = serve_open(*state, "mended-by-power-cycle", 2);
  bool done;
  const char *text = serve_monitor(b, "power 100ms", &done);
  if (!strstr(text, "in rom, start 2 (brown_out)")) fail_msg("%s", text);
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
                          ROWS_COUNT(feature_rows) + 24] = {
      PLAYED_TEST(a_line_that_is_too_long_is_refused),
      PLAYED_TEST(the_core_is_halted_at_its_vector),
      PLAYED_TEST(looking_takes_no_time),
      PLAYED_TEST(a_core_with_floating_point_has_16_doubles),
      PLAYED_TEST(a_description_comes_in_pieces),
      PLAYED_TEST(registers_and_memory_take_what_is_written),
      PLAYED_TEST(one_step_is_one_instruction),
      PLAYED_TEST(breakpoints_are_as_many_as_the_unit_has),
      PLAYED_TEST(a_comparator_of_the_program_is_left_alone),
      PLAYED_TEST(a_breakpoint_stops_in_front_of_its_instruction),
      PLAYED_TEST(a_breakpoint_in_ram_hides),
      PLAYED_TEST(load_goes_through_the_controller),
      PLAYED_TEST(after_load_the_latch_is_stale),
      PLAYED_TEST(what_the_part_refuses_is_an_error),
      PLAYED_TEST(an_interrupt_stops_a_program_that_runs_for_ever),
      PLAYED_TEST(a_packet_stops_it_as_well),
      PLAYED_TEST(what_sleeps_for_ever_does_not_hang),
      PLAYED_TEST(what_took_the_debug_pins_can_be_stepped_all_the_same),
      PLAYED_TEST(a_breakpoint_outlives_the_supply),
      PLAYED_TEST(a_power_cycle_may_be_none),
      PLAYED_TEST(acknowledgements_end_when_gdb_says_so),
      PLAYED_TEST(what_did_not_arrive_is_sent_again),
      PLAYED_TEST(a_packet_without_room_is_an_error),
      PLAYED_TEST(who_detaches_is_answered_and_no_more)};
  size_t n = 24;
  n += PLAYED_ADD(tests + n, ask_row, ask_rows);
  n += PLAYED_ADD(tests + n, monitor_row, monitor_rows);
  PLAYED_ADD(tests + n, feature_row, feature_rows);
  return cmocka_run_group_tests(tests, NULL, NULL);
}

/* What gdb does to the part, and what the part makes of it: looking, changing,
 * flash, going and stopping. Packets: GDB manual, "Remote Serial Protocol". */
#include "board/probe.h"
#include "run/plan.h"
#include "run/starts.h"
#include "serve_fixture.h"

/* The demo case, attached with reset held: blank, halted at the ROM's
 * vector. */
#define DEMO       "still-boots-rom"
#define DEMO_BLANK 2
#define DEMO_WAITS 6 /* the stale latch has started the ROM, which polls */
#define FLASH      "4000000"

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

/* A write to a register may move what the core is to run to: str r3, [r2] to
 * the pins, then MOV r8, r8. ARM DDI 0419E C1.5.3: a step is one
 * instruction. */
static void a_step_over_a_register_write_is_one_too(void **state)
{
  struct serve_bench *b = serve_open(*state, DEMO, DEMO_BLANK);
  serve_expect(b, "M20000100,8:1360c0461360c046", "OK");
  serve_expect(b, "P2=00000144", "OK");
  serve_expect(b, "Pf=00010020", "OK");
  for (uint32_t i = 1; i <= 4; i++) {
    serve_until_stopped(b, "s");
    assert_int_equal(serve_pc(b), 0x20000100u + 2 * i);
  }
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

/* A breakpoint is met when a run without gdb reaches the place, to the
 * picosecond: neither the probe nor the pieces in which time passes move
 * anything. */
static void time_is_that_of_a_run(void **state)
{
  struct played_bench *played = *state;
  const struct case_script *script =
      serve_case(played, "erased-under-a-stale-latch");
  const struct part *part =
      played_part(played, serve_part(played, script->part));
  struct play *plain = played_prepare(script, part);
  play_until(plain, 3);
  const struct start *start = starts_last(play_starts(plain));
  assert_string_equal(start->reached[0], "main");
  struct serve_bench *b = serve_open_on(played, script, part, 2);
  const struct image *image = play_plan(b->play)->images[0];
  serve_expect(b,
               played_format(played, "Z1,%x,2",
                             (unsigned)image_symbol_named(image, "main")->at),
               "OK");
  serve_until_stopped(b, "c");
  assert_int_equal(play_machine(b->play)->now, start->reached_at[0]);
  play_free(plain);
  serve_close(b);
}

static void a_monitor_command_says_what_the_probe_could_not(void **state)
{
  struct serve_bench *b = serve_open(*state, "mended-by-power-cycle", 2);
  bool done;
  serve_monitor(b, "power off", &done);
  const char *text = serve_monitor(b, "reset request", &done);
  assert_false(done);
  if (!strstr(text, "the part has no power")) fail_msg("%s", text);
  serve_close(b);
}

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
  serve_expect(b, "M20000000,4:00000000", "E03");
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
  serve_expect(b, "Z0,20000000,2", "E02");
  assert_memory_equal(serve_until_stopped(b, "c"), "T00", 3);
  const char *text = serve_monitor(b, "power on", &done);
  assert_non_null(strstr(text, "in flash, start 2 (power_on)"));
  assert_int_equal(serve_pc(b), entry);
  assert_memory_equal(serve_until_stopped(b, "c"), "T05", 3);
  assert_int_equal(serve_pc(b), entry + 4);
  serve_close(b);
}

/* The port answers once the ROM has gone elsewhere: not before can a
 * breakpoint be loaded, and then it is in time. */
static void a_breakpoint_waits_for_a_port_that_is_shut(void **state)
{
  struct played_bench *played = *state;
  const char *text = played_replace(
      played, played_part_text(played, serve_part(played, "rom-first")),
      "\"probe\": {", "\"probe\": { \"shut_in_rom\": true,");
  const struct part *part =
      played_part(played, played_text_file(played, "part.json", text));
  struct serve_bench *b =
      serve_open_on(played, serve_case(played, "rom-first-lands"), part, 2);
  const struct image *image = play_plan(b->play)->images[0];
  uint32_t there = image_symbol_named(image, "main")->at;
  serve_expect(b, played_format(played, "Z1,%x,2", (unsigned)there), "OK");
  assert_false(b->target.machine->chip.core.debug_enabled);
  assert_non_null(strstr(serve_console(b), "no power"));
  assert_memory_equal(serve_until_stopped(b, "c"), "T05", 3);
  assert_int_equal(serve_pc(b), there);
  serve_close(b);
}

/* ARM DDI 0419E B1.5.15: a fault at the priority of HardFault locks the core
 * up; this part has no reset for that. */
static void a_lockup_is_told(void **state)
{
  struct serve_bench *b = serve_open(*state, "erased-under-a-stale-latch", 8);
  serve_send(b, "c");
  session_pass(&b->session);
  assert_int_equal(serve_next(b)[0], 'O');
  assert_memory_equal(serve_next(b), "T0b", 3);
  serve_close(b);
}

static void a_strap_can_be_driven(void **state)
{
  struct serve_bench *b = serve_open(*state, DEMO, DEMO_BLANK);
  bool done;
  serve_monitor(b, "drive start high", &done);
  assert_true(done);
  assert_non_null(strstr(serve_monitor(b, "state", &done), "start low"));
  serve_monitor(b, "reset", &done);
  assert_non_null(strstr(serve_monitor(b, "state", &done), "start high"));
  serve_monitor(b, "drive start release", &done);
  serve_monitor(b, "reset", &done);
  assert_non_null(strstr(serve_monitor(b, "state", &done), "start low"));
  serve_close(b);
}

static void a_start_by_gdb_is_none_of_the_parts(void **state)
{
  static const char note[] = "runs from the debugger";
  struct serve_bench *b = serve_open(*state, DEMO, DEMO_BLANK);
  bool done;
  const char *all = played_format(*state, "G%s", serve_ask(b, "g"));
  serve_expect(b, all, "OK");
  serve_expect(b, "P0=01000000", "OK");
  assert_null(strstr(serve_console(b), note));
  serve_expect(b, "Pf=00010020", "OK");
  serve_expect(b, "Pf=00020020", "OK");
  const char *told = strstr(serve_console(b), note);
  assert_non_null(told);
  assert_null(strstr(told + 1, note));
  serve_monitor(b, "reset", &done);
  serve_expect(b, "Pf=00010020", "OK");
  assert_non_null(strstr(strstr(serve_console(b), note) + 1, note));
  serve_close(b);
}

/* SYS_WRITEC is 3, r1 points to the character: Arm's semihosting
 * specification, from memory. movs r0, #3; bkpt 0xab; b 0x20000100 */
static void what_a_program_says_reaches_gdb(void **state)
{
  struct serve_bench *b = serve_open(*state, DEMO, DEMO_BLANK);
  bool done;
  play_machine(b->play)->chip.core.semihosting = true;
  serve_expect(b, "M20000100,6:0320abbefce7", "OK");
  serve_expect(b, "M20000200,1:41", "OK");
  serve_expect(b, "P1=00020020", "OK");
  serve_expect(b, "Pf=00010020", "OK");
  const char *text = serve_monitor(b, "run 1ms", &done);
  assert_true(strspn(text, "A") > 300);
  serve_send(b, "c");
  session_pass(&b->session);
  assert_memory_equal(serve_next(b), "O414141", 7);
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

int main(void)
{
  const struct CMUnitTest tests[] = {
      PLAYED_TEST(the_core_is_halted_at_its_vector),
      PLAYED_TEST(looking_takes_no_time),
      PLAYED_TEST(registers_and_memory_take_what_is_written),
      PLAYED_TEST(one_step_is_one_instruction),
      PLAYED_TEST(a_step_over_a_register_write_is_one_too),
      PLAYED_TEST(breakpoints_are_as_many_as_the_unit_has),
      PLAYED_TEST(a_comparator_of_the_program_is_left_alone),
      PLAYED_TEST(a_breakpoint_stops_in_front_of_its_instruction),
      PLAYED_TEST(a_breakpoint_in_ram_hides),
      PLAYED_TEST(load_goes_through_the_controller),
      PLAYED_TEST(after_load_the_latch_is_stale),
      PLAYED_TEST(what_the_part_refuses_is_an_error),
      PLAYED_TEST(time_is_that_of_a_run),
      PLAYED_TEST(a_monitor_command_says_what_the_probe_could_not),
      PLAYED_TEST(an_interrupt_stops_a_program_that_runs_for_ever),
      PLAYED_TEST(a_packet_stops_it_as_well),
      PLAYED_TEST(what_sleeps_for_ever_does_not_hang),
      PLAYED_TEST(what_took_the_debug_pins_can_be_stepped_all_the_same),
      PLAYED_TEST(a_breakpoint_outlives_the_supply),
      PLAYED_TEST(a_breakpoint_waits_for_a_port_that_is_shut),
      PLAYED_TEST(a_lockup_is_told),
      PLAYED_TEST(a_strap_can_be_driven),
      PLAYED_TEST(a_start_by_gdb_is_none_of_the_parts),
      PLAYED_TEST(what_a_program_says_reaches_gdb),
      PLAYED_TEST(a_power_cycle_may_be_none),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}

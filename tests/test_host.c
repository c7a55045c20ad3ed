/* The boot ROM's protocol from end to end: the host's octets over the line,
 * the ROM executing, the flash through its controller. What must hold is
 * board/protocol.h; framing is RFC 1662 (test_frame).
 */
#include "host_fixture.h"

#include "chip_fixture.h"
#include "run/plan.h"

/* --- on each part -------------------------------------------------------- */

static const struct part_row {
  const char *name;
  const char *part;
} part_rows[] = {
    {"latched is programmed and started by the host", "latched"},
    {"latched-clearable is, with its units of 16", "latched-clearable"},
    {"checked is", "checked"},
    {"strapped is, with its two ports", "strapped"},
    {"latched-banked is, at 60 MHz", "latched-banked"},
    {"rom-first is, by its checking ROM at 16 MHz", "rom-first"},
};

static const char whole[] =
    ",\n { \"write\": \"app\", \"by\": \"host\", \"erase\": \"none\" },\n"
    " { \"expect\": { \"host\": \"done\", \"region\": \"rom\" } },\n"
    " { \"send\": \"get\", \"at\": \"0x04000000\" },\n"
    " { \"expect\": { \"host\": \"done\", \"read\": \"0x20001800\" } },\n"
    " { \"send\": \"launch\" },\n"
    " { \"expect\": { \"host\": \"done\", \"reaches\": \"main\", \"within\": "
    "\"3ms\" } }";

static void part_row(void **state)
{
  struct played_bench *bench = *state;
  const struct part_row *row = bench->row;
  struct play *play =
      host_prepare(bench, row->part, "logger/logger", HOST_QUICK, whole);
  const struct result *r = host_play(play);
  size_t length;
  uint32_t size;
  const uint8_t *wanted = played_bytes(
      bench, FIRSTFETCH_ROOT "/images/logger/logger.bin", &length);
  const uint8_t *flash = host_flash(play, &size);
  assert_memory_equal(flash, wanted, length);
  const struct start *last = &r->starts[r->start_count - 1];
  assert_int_equal(last->how, START_HANDOVER);
  assert_true(last->launched);
  assert_int_equal(r->starts[r->start_count - 2].outcome, OUTCOME_HANDOVER);
  play_free(play);
}

/* A put onto what is not erased is refused (common practice: cells only go
 * from one to zero); a write wipes the page first. */
static void what_is_not_erased_must_be_wiped_first(void **state)
{
  struct played_bench *bench = *state;
  struct play *play = host_prepare(bench, "latched", "logger/logger",
                                   "\"timeout\": \"40ms\"", "");
  host_play(play);
  struct machine *m = play_machine(play);
  const struct image *image = play_plan(play)->images[0];
  static const uint8_t old[] = {0, 1, 2, 3, 4, 5, 6, 7};
  chip_preset(&m->chip, part_memory_of(m->part, MEMORY_FLASH), 256, old,
              sizeof old, m->now);
  bench_host_hello(m);
  bench_host_put(m, image);
  assert_int_equal(m->host.reply, REPLY_REFUSED);
  bench_host_write(m, image, ERASE_PAGES);
  assert_int_equal(m->host.reply, REPLY_DONE);
  bench_host_compare(m, image);
  assert_int_equal(m->host.reply, REPLY_DONE);
  play_free(play);
}

/* --- order --------------------------------------------------------------- */

static void before_the_first_hello_nothing_is_done(void **state)
{
  struct played_bench *bench = *state;
  struct play *play = host_waiting(bench, "latched");
  static const uint8_t wipe[] = {
      PROTOCOL_CODE(PROTOCOL_WIPE), 0, 0, 0, 0, 4, 1, 0};
  assert_int_equal(host_say_frame(play, wipe, sizeof wipe), REPLY_NO_HELLO);
  assert_int_equal(host_greet(play, 255), REPLY_DONE);
  assert_int_equal(host_say_frame(play, wipe, 2), REPLY_MALFORMED);
  play_free(play);
}

/* An answer that got lost costs a repetition, and nothing is done twice: a
 * unit that is programmed again would be refused. */
static void the_same_frame_again_is_answered_and_not_done_again(void **state)
{
  struct played_bench *bench = *state;
  struct play *play = host_waiting(bench, "latched");
  struct machine *m = play_machine(play);
  static const uint8_t put[] = {
      PROTOCOL_CODE(PROTOCOL_PUT), 8, 0, 0, 0, 4, 0x11, 0x22, 0x7e, 0x7d};
  assert_int_equal(host_greet(play, 7), REPLY_DONE);
  trace_keep(&m->trace, TRACE_BIT(TRACE_FLASH_BEGIN), 100);
  for (int i = 0; i < 3; i++)
    assert_int_equal(host_say_frame(play, put, sizeof put), REPLY_DONE);
  assert_int_equal(kept_count(&m->trace, TRACE_FLASH_BEGIN), 1);
  uint32_t size;
  assert_memory_equal(host_flash(play, &size), put + 6, 4);
  play_free(play);
}

static void out_of_turn_is_refused(void **state)
{
  struct played_bench *bench = *state;
  struct play *play = host_waiting(bench, "latched");
  uint8_t get[] = {PROTOCOL_CODE(PROTOCOL_GET), 0, 0, 0, 0, 4, 4};
  assert_int_equal(host_greet(play, 10), REPLY_DONE);
  get[1] = 12;
  assert_int_equal(host_say_frame(play, get, sizeof get), REPLY_SEQUENCE);
  get[1] = 10;
  assert_int_equal(host_say_frame(play, get, sizeof get), REPLY_SEQUENCE);
  get[1] = 11;
  assert_int_equal(host_say_frame(play, get, sizeof get), REPLY_DONE);
  play_free(play);
}

/* --- what is asked wrongly ----------------------------------------------- */

static const struct refused_row {
  const char *name;
  enum trace_reply reply;
  uint32_t size; /* of the content, without code and sequence */
  uint8_t code;
  uint8_t arguments[14];
} refused_rows[] = {
    {"no such request", REPLY_UNKNOWN, 0, 0x41, {0}},
    {"an answer is no request", REPLY_UNKNOWN, 0, 0xc3, {0}},
    {"a hello with arguments", REPLY_MALFORMED, 1, 0xc2, {0}},
    {"a put without data", REPLY_MALFORMED, 4, 0xc6, {0, 0, 0, 4}},
    {"half a unit", REPLY_OUTSIDE, 6, 0xc6, {0, 0, 0, 4, 1, 2}},
    {"a unit that is not aligned",
     REPLY_OUTSIDE,
     8,
     0xc6,
     {2, 0, 0, 4, 1, 2, 3, 4}},
    {"a put into the boot ROM",
     REPLY_OUTSIDE,
     8,
     0xc6,
     {0, 0, 0, 6, 1, 2, 3, 4}},
    {"a put into RAM", REPLY_OUTSIDE, 8, 0xc6, {0, 0, 0, 0x20, 1, 2, 3, 4}},
    {"a put behind the end of flash",
     REPLY_OUTSIDE,
     8,
     0xc6,
     {0, 0xc0, 0, 4, 1, 2, 3, 4}},
    {"a put across the end of the address space",
     REPLY_OUTSIDE,
     8,
     0xc6,
     {0xfc, 0xff, 0xff, 0xff, 1, 2, 3, 4}},
    {"a wipe in the middle of a page",
     REPLY_OUTSIDE,
     6,
     0xc4,
     {4, 0, 0, 4, 1, 0}},
    {"a wipe of more pages than there are",
     REPLY_OUTSIDE,
     6,
     0xc4,
     {0, 0, 0, 4, 49, 0}},
    {"a wipe of so many that their size wraps",
     REPLY_OUTSIDE,
     6,
     0xc4,
     {0, 0, 0, 4, 0xfe, 0xff}},
    {"a get of nothing", REPLY_OUTSIDE, 5, 0xc8, {0, 0, 0, 4, 0}},
    {"a get of more than fits", REPLY_OUTSIDE, 5, 0xc8, {0, 0, 0, 4, 129}},
    {"a compare of more than there is",
     REPLY_OUTSIDE,
     12,
     0xca,
     {0, 0, 0, 4, 1, 0xc0, 0, 0}},
    {"a compare whose length wraps",
     REPLY_OUTSIDE,
     12,
     0xca,
     {4, 0, 0, 4, 0xff, 0xff, 0xff, 0xff}},
    {"a compare with a wrong CRC",
     REPLY_DIFFERS,
     12,
     0xca,
     {0, 0, 0, 4, 4, 0, 0, 0, 1, 2, 3, 4}},
    {"a launch of erased flash", REPLY_DIFFERS, 4, 0xcc, {0, 0, 0, 4}},
    {"a launch of RAM", REPLY_OUTSIDE, 4, 0xcc, {0, 0, 0, 0x20}},
    {"a launch of what is not aligned", REPLY_OUTSIDE, 4, 0xcc, {2, 0, 0, 4}},
};

static void refused_row(void **state)
{
  struct played_bench *bench = *state;
  const struct refused_row *row = bench->row;
  struct play *play = host_waiting(bench, "latched");
  uint8_t content[2 + sizeof row->arguments] = {row->code, 2};
  memcpy(content + 2, row->arguments, sizeof row->arguments);
  assert_int_equal(host_greet(play, 1), REPLY_DONE);
  assert_int_equal(host_say_frame(play, content, 2 + row->size), row->reply);
  uint32_t size;
  const uint8_t *flash = host_flash(play, &size);
  for (uint32_t i = 0; i < size; i++)
    assert_int_equal(flash[i], 0xff);
  assert_int_equal(host_greet(play, 1), REPLY_DONE);
  play_free(play);
}

/* --- hello tells what the part is ---------------------------------------- */

static void hello_tells_unit_page_and_flash(void **state)
{
  struct played_bench *bench = *state;
  struct play *play = host_waiting(bench, "latched-clearable");
  struct machine *m = play_machine(play);
  bench_host_hello(m);
  uint32_t size;
  const uint8_t *r = host_result(&m->host, &size);
  static const uint8_t wanted[] = {1, 16, 0, 0,    8, 0, 0,
                                   0, 4,  0, 0x80, 1, 0, 128};
  assert_int_equal(size, PROTOCOL_HELLO_RESULT);
  assert_int_equal(size, sizeof wanted);
  assert_memory_equal(r, wanted, sizeof wanted);
  play_free(play);
}

/* --- the line ------------------------------------------------------------ */

/* 208 cycles of 24 MHz are 8.667 us; at 115200 baud a bit is 8.681 us. A
 * character bears some 5 %, either way (test_character). */
static const struct baud_row {
  const char *name;
  const char *keys;
  bool understood;
} baud_rows[] = {
    {"3 % fast is understood", HOST_QUICK ", \"baud\": 118656", true},
    {"3 % slow is understood", HOST_QUICK ", \"baud\": 111744", true},
    {"8 % fast is not", HOST_QUICK ", \"baud\": 124416", false},
    {"8 % slow is not", HOST_QUICK ", \"baud\": 105984", false},
    {"half as fast is not", HOST_QUICK ", \"baud\": 57600", false},
};

static void baud_row(void **state)
{
  struct played_bench *bench = *state;
  const struct baud_row *row = bench->row;
  struct play *play = host_prepare(bench, "latched", "logger/logger",
                                   row->keys, ",\n{ \"send\": \"hello\" }");
  const struct result *r = host_play(play);
  assert_int_equal(play_machine(play)->host.reply == REPLY_DONE,
                   row->understood);
  assert_int_equal(host_found(r, FINDING_HOST_FAILED), !row->understood);
  play_free(play);
}

static const struct deaf_row {
  const char *name;
  const char *keys, *steps;
  enum trace_reply reply;
} deaf_rows[] = {
    {"crossed wrongly, nothing is heard",
     HOST_QUICK ", \"to\": \"P9\", \"from\": \"P10\"", "", REPLY_SILENT},
    {"a host that is not plugged in", HOST_QUICK ", \"attached\": false", "",
     REPLY_DETACHED},
    {"one that was plugged in is heard", HOST_QUICK ", \"attached\": false",
     ", { \"send\": \"attach\" }", REPLY_DONE},
    {"one that was unplugged", HOST_QUICK, ", { \"send\": \"detach\" }",
     REPLY_DETACHED},
    {"a part in reset", HOST_QUICK, ", { \"reset\": \"hold\" }", REPLY_SILENT},
    {"a part without power", HOST_QUICK,
     ", { \"power\": \"off\", \"for\": \"20ms\" }", REPLY_SILENT},
    {"a core that the probe holds", HOST_QUICK, ", { \"probe\": \"attach\" }",
     REPLY_SILENT},
};

static void deaf_row(void **state)
{
  struct played_bench *bench = *state;
  const struct deaf_row *row = bench->row;
  struct play *play =
      host_prepare(bench, "latched", "logger/logger", row->keys, row->steps);
  host_play(play);
  struct machine *m = play_machine(play);
  bench_host_hello(m);
  assert_int_equal(m->host.reply, row->reply);
  play_free(play);
}

/* Plugged in it drives its line high, also while the part is off. */
static void an_idle_host_drives_its_line_high(void **state)
{
  struct played_bench *bench = *state;
  struct play *play =
      host_prepare(bench, "latched", "logger/logger", HOST_QUICK, "");
  const struct pins *pins = &play_machine(play)->chip.pins;
  assert_true(pins->outside >> 10 & 1u);
  assert_true(pins->outside_level >> 10 & 1u);
  play_free(play);
}

/* --- a neighbour --------------------------------------------------------- */

static const char chatter[] =
    "{ \"case\": \"A neighbour\", \"part\": \"strapped\",\n"
    "  \"board\": { \"host\": { \"timeout\": \"3ms\", \"retries\": 0 },\n"
    "    \"neighbours\": [ { \"name\": \"n\", \"to\": \"%s\", \"baud\": "
    "9600,\n"
    "      \"bytes\": \"2447\", \"every\": \"4ms\" } ] },\n"
    "  \"steps\": [ { \"drive\": \"P12\", \"level\": \"low\" },\n"
    "    { \"power\": \"on\", \"for\": \"%s\" },\n"
    "    { \"send\": \"hello\" } ] }\n";

static const struct neighbour_row {
  const char *name;
  const char *to, *wait;
  enum trace_reply reply;
  bool taken;
} neighbour_rows[] = {
    {"a neighbour that talked first has the ROM", "P13", "12ms", REPLY_SILENT,
     true},
    {"a host that talked first has it", "P13", "2ms", REPLY_DONE, false},
    {"a neighbour on another pin is none of its business", "P3", "12ms",
     REPLY_DONE, false},
};

static void neighbour_row(void **state)
{
  struct played_bench *bench = *state;
  const struct neighbour_row *row = bench->row;
  const char *path = played_text_file(
      bench, "case.json", played_format(bench, chatter, row->to, row->wait));
  struct play *play = played_prepare(
      played_case(bench, path),
      played_part(bench, FIRSTFETCH_ROOT "/models/strapped.json"));
  const struct result *r = play_run(play);
  assert_int_equal(play_machine(play)->host.reply, row->reply);
  assert_int_equal(host_found(r, FINDING_PORT_TAKEN), row->taken);
  /* whoever has it, it waits for a host, and the run may end */
  assert_int_equal(start_doing(&r->starts[0]), OUTCOME_WAITING);
  assert_true(r->starts[0].waits_for_host);
  play_free(play);
}

int main(void)
{
  static const struct CMUnitTest singles[] = {
      PLAYED_TEST(what_is_not_erased_must_be_wiped_first),
      PLAYED_TEST(before_the_first_hello_nothing_is_done),
      PLAYED_TEST(the_same_frame_again_is_answered_and_not_done_again),
      PLAYED_TEST(out_of_turn_is_refused),
      PLAYED_TEST(hello_tells_unit_page_and_flash),
      PLAYED_TEST(an_idle_host_drives_its_line_high),
  };
  struct CMUnitTest tests[ROWS_COUNT(part_rows) + ROWS_COUNT(refused_rows) +
                          ROWS_COUNT(baud_rows) + ROWS_COUNT(deaf_rows) +
                          ROWS_COUNT(neighbour_rows)];
  size_t count = PLAYED_ADD(tests, part_row, part_rows);
  count += PLAYED_ADD(tests + count, refused_row, refused_rows);
  count += PLAYED_ADD(tests + count, baud_row, baud_rows);
  count += PLAYED_ADD(tests + count, deaf_row, deaf_rows);
  PLAYED_ADD(tests + count, neighbour_row, neighbour_rows);
  int failed = cmocka_run_group_tests_name("rows", tests, NULL, NULL);
  return failed + cmocka_run_group_tests_name("singles", singles, NULL, NULL);
}

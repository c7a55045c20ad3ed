/* A session under attack: every byte of a conversation damaged in several
 * ways, connections that end anywhere, and bytes by chance. The server answers
 * or is silent, what it sends is whole packets with right sums, and the next
 * connection finds it in order. */
#include "serve_fixture.h"

#define DEMO       "still-boots-rom"
#define DEMO_BLANK 2

/* What gdb says in a session that does a little of everything. */
static const char *const conversation[] = {
    "qSupported:swbreak+;hwbreak+",
    "?",
    "qXfer:features:read:target.xml:0,40",
    "qXfer:memory-map:read::10,40",
    "g",
    "p10",
    "P4=01020304",
    "m6000000,20",
    "M20000100,2:00be",
    "X20000104,3:}\x03z",
    "Z0,20000100,2",
    "Z1,4000100,2",
    "vCont;s:1;c",
    "c",
    "z1,4000100,2",
    "z0,20000100,2",
    "vFlashErase:4000400,400",
    "vFlashWrite:4000400:abcdef",
    "vFlashDone",
    "qRcmd,73746174650a",
    "qRcmd,72756e20316d73",
    "qRcmd,7265736574",
};

/* All of it, framed. */
static uint8_t *write_conversation(struct played_bench *played, size_t *size)
{
  uint8_t *bytes = arena_get(&played->arena, 4096);
  *size = 0;
  for (size_t i = 0; i < ROWS_COUNT(conversation); i++) {
    unsigned sum = 0;
    for (const char *p = conversation[i]; *p; p++)
      sum += (unsigned char)*p;
    *size += (size_t)sprintf((char *)bytes + *size, "+$%s#%02x",
                             conversation[i], sum & 0xffu);
  }
  assert_true(*size < 4096);
  return bytes;
}

/* One connection: bytes come one by one, and time passes while it goes. */
static void converse(struct serve_bench *b, const uint8_t *bytes, size_t size)
{
  b->out_size = b->out_read = 0;
  session_open(&b->session, &b->target, serve_keep, b);
  for (size_t i = 0; i < size; i++) {
    serve_put(b, bytes + i, 1);
    if (session_runs(&b->session) && i % 8 == 0) session_pass(&b->session);
  }
  session_close(&b->session);
  assert_false(session_runs(&b->session));
  while (serve_next(b) != NULL) {
  }
}

static void is_in_order(struct serve_bench *b)
{
  b->out_size = b->out_read = 0;
  session_open(&b->session, &b->target, serve_keep, b);
  assert_int_equal(serve_ask(b, "?")[0], 'T');
  assert_int_equal(strlen(serve_ask(b, "g")), 21 * 8);
  assert_int_equal(strlen(serve_ask(b, "m6000000,4")), 8);
  session_close(&b->session);
  assert_int_equal(b->target.breaks.used, 0);
  assert_int_equal(b->target.breaks.ram_count, 0);
}

/* Takes the place of the byte: what changes most. */
static const uint8_t damages[] = {'$', '#', '}', 0x03, 0x00, 0xff, 'f', ';'};

static void any_byte_may_be_another_one(void **state)
{
  size_t size;
  struct serve_bench *b = serve_open(*state, DEMO, DEMO_BLANK);
  uint8_t *bytes = write_conversation(*state, &size);
  for (size_t i = 0; i < size; i++) {
    uint8_t before = bytes[i];
    bytes[i] = damages[i % ROWS_COUNT(damages)];
    converse(b, bytes, size);
    bytes[i] = (uint8_t)(before ^ 1u << i % 8);
    converse(b, bytes, size);
    bytes[i] = before;
  }
  is_in_order(b);
  serve_close(b);
}

/* As above, but the sum fits: the damage reaches what is behind it. */
static void any_byte_of_a_whole_packet_may_be_another_one(void **state)
{
  struct serve_bench *b = serve_open(*state, DEMO, DEMO_BLANK);
  for (size_t i = 0; i < ROWS_COUNT(conversation); i++) {
    char text[64];
    strcpy(text, conversation[i]);
    for (size_t k = 0; text[k] != '\0'; k++) {
      char before = text[k];
      for (unsigned bit = 0; bit < 7; bit++) {
        text[k] = (char)(before ^ 1 << bit);
        if (text[k] == '\0' || strchr("#$}", text[k])) continue;
        b->out_size = b->out_read = 0;
        session_open(&b->session, &b->target, serve_keep, b);
        serve_send(b, text);
        for (int n = 0; n < 3; n++)
          session_pass(&b->session);
        session_close(&b->session);
        while (serve_next(b) != NULL) {
        }
      }
      text[k] = before;
    }
  }
  is_in_order(b);
  serve_close(b);
}

static void a_connection_may_end_anywhere(void **state)
{
  size_t size;
  struct serve_bench *b = serve_open(*state, DEMO, DEMO_BLANK);
  const uint8_t *bytes = write_conversation(*state, &size);
  for (size_t i = 0; i <= size; i += 3)
    converse(b, bytes, i);
  is_in_order(b);
  serve_close(b);
}

/* A small generator of our own: the same bytes on every machine. */
static void bytes_by_chance_do_no_harm(void **state)
{
  struct serve_bench *b = serve_open(*state, DEMO, DEMO_BLANK);
  uint32_t chance = 1;
  uint8_t bytes[512];
  for (unsigned n = 0; n < 200; n++) {
    for (size_t i = 0; i < sizeof bytes; i++) {
      chance = chance * 1664525u + 1013904223u;
      bytes[i] = (uint8_t)(chance >> 24);
    }
    converse(b, bytes, sizeof bytes);
  }
  is_in_order(b);
  serve_close(b);
}

/* Same packets, same answers, byte by byte. */
static void a_session_repeats_itself(void **state)
{
  size_t size;
  const uint8_t *bytes = write_conversation(*state, &size);
  struct serve_bench *a = serve_open(*state, DEMO, DEMO_BLANK);
  struct serve_bench *b = serve_open(*state, DEMO, DEMO_BLANK);
  converse(a, bytes, size);
  converse(b, bytes, size);
  assert_true(a->out_size > 1000);
  assert_int_equal(a->out_size, b->out_size);
  assert_memory_equal(a->out, b->out, a->out_size);
  assert_int_equal(a->target.machine->now, b->target.machine->now);
  serve_close(a);
  serve_close(b);
}

int main(void)
{
  const struct CMUnitTest tests[] = {
      PLAYED_TEST(any_byte_may_be_another_one),
      PLAYED_TEST(any_byte_of_a_whole_packet_may_be_another_one),
      PLAYED_TEST(a_connection_may_end_anywhere),
      PLAYED_TEST(bytes_by_chance_do_no_harm),
      PLAYED_TEST(a_session_repeats_itself),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}

/* Packets of the GDB Remote Serial Protocol: GDB manual, "Remote Serial
 * Protocol", Overview. Sums are worked out by hand from its rule: the bytes of
 * the data, added modulo 256. */
#include <stdlib.h>
#include <string.h>

#include "rows.h"
#include "serve/packet.h"
#include "serve/scan.h"

/* --- reading ------------------------------------------------------------- */

#define BYTES(text) text, sizeof(text) - 1

/* What comes of the bytes: a letter an event, and the data of the last packet.
 * P packet, s bad sum, l too long, a ack, n again, i interrupt, ? noise */
static const struct read_row {
  const char *name;
  const char *bytes;
  size_t size;
  const char *events;
  const char *data;
  size_t data_size;
} read_rows[] = {
    /* 'O' 0x4f + 'K' 0x4b = 0x9a */
    {"a packet ends with the sum of its data", BYTES("$OK#9a"), "P",
     BYTES("OK")},
    {"digits of the sum may be capitals", BYTES("$OK#9A"), "P", BYTES("OK")},
    {"an empty packet has the sum 0", BYTES("$#00"), "P", BYTES("")},
    {"a sum is taken modulo 256", BYTES("$}\x5d}\x5d#b4"), "P", BYTES("}}")},
    {"a wrong sum is told", BYTES("$OK#9b"), "s", BYTES("")},
    {"a sum that is no number is told", BYTES("$OK#9g"), "s", BYTES("")},
    {"a bad packet does not harm the next", BYTES("$OK#00$g#67"), "sP",
     BYTES("g")},
    {"acknowledgements come between packets", BYTES("+$g#67-"), "aPn",
     BYTES("g")},
    {"an interrupt comes between packets", BYTES("\x03$g#67\x03"), "iPi",
     BYTES("g")},
    {"inside a packet 0x03 is data", BYTES("$\x03#03"), "P", BYTES("\x03")},
    /* 0x7d + 0x03 + 0x7d + 0x04 + 0x7d + 0x5d = 0x1db */
    {"escaped bytes are those marks that can't travel",
     BYTES("$}\x03}\x04}\x5d#db"), "P", BYTES("#$}")},
    {"what gdb sends is not run-length encoded", BYTES("$0* #7a"), "P",
     BYTES("0* ")},
    {"a packet begins where another one has not ended", BYTES("$m12$g#67"),
     "P", BYTES("g")},
    {"zero bytes are data", BYTES("$X\0\0#58"), "P", BYTES("X\0\0")},
    {"an escape at the end escapes nothing", BYTES("$}#7d"), "P", BYTES("")},
    {"other bytes between packets are noise", BYTES("abc$g#67"), "???P",
     BYTES("g")},
};

static char letter(enum packet_event event)
{
  static const char letters[] = {
      [PACKET_COMPLETE] = 'P', [PACKET_BAD_SUM] = 's',
      [PACKET_TOO_LONG] = 'l', [PACKET_ACK] = 'a',
      [PACKET_AGAIN] = 'n',    [PACKET_INTERRUPT] = 'i',
      [PACKET_NOISE] = '?'};
  return letters[event];
}

static void read_row(void **state)
{
  const struct read_row *row = *state;
  char events[16] = "";
  size_t count = 0;
  struct packet_reader *r = malloc(sizeof *r);
  assert_non_null(r);
  packet_reader_init(r);
  for (size_t i = 0; i < row->size; i++) {
    enum packet_event event = packet_take(r, (uint8_t)row->bytes[i]);
    if (event != PACKET_NOTHING) events[count++] = letter(event);
  }
  assert_string_equal(events, row->events);
  if (strchr(row->events, 'P')) {
    assert_int_equal(r->size, row->data_size);
    assert_memory_equal(r->data, row->data, row->data_size);
  }
  free(r);
}

/* `size` times 'a', which is 0x61. */
static enum packet_event read_long(struct packet_reader *r, size_t size)
{
  char sum[3];
  packet_take(r, '$');
  for (size_t i = 0; i < size; i++)
    assert_int_equal(packet_take(r, 'a'), PACKET_NOTHING);
  snprintf(sum, sizeof sum, "%02x", (unsigned)(size * 0x61u & 0xffu));
  packet_take(r, '#');
  packet_take(r, (uint8_t)sum[0]);
  return packet_take(r, (uint8_t)sum[1]);
}

static void a_packet_has_as_much_room_as_is_promised(void **state)
{
  (void)state;
  struct packet_reader *r = malloc(sizeof *r);
  assert_non_null(r);
  packet_reader_init(r);
  assert_int_equal(read_long(r, PACKET_BYTES), PACKET_COMPLETE);
  assert_int_equal(r->size, PACKET_BYTES);
  assert_int_equal(read_long(r, PACKET_BYTES + 1), PACKET_TOO_LONG);
  assert_int_equal(read_long(r, 100 * (size_t)PACKET_BYTES), PACKET_TOO_LONG);
  assert_int_equal(read_long(r, 5), PACKET_COMPLETE);
  assert_int_equal(r->size, 5);
  free(r);
}

/* --- writing ------------------------------------------------------------- */

static void what_is_written_is_framed(void **state)
{
  (void)state;
  struct packet_writer *w = malloc(sizeof *w);
  assert_non_null(w);
  packet_begin(w);
  packet_text(w, "OK");
  packet_end(w);
  assert_int_equal(w->size, 6);
  assert_memory_equal(w->bytes, "$OK#9a", 6);
  packet_begin(w);
  packet_hex(w, (const uint8_t *)"\x00\xff\x1a", 3);
  packet_end(w);
  /* 0x30 + 0x30 + 0x66 + 0x66 + 0x31 + 0x61 = 0x1be */
  assert_memory_equal(w->bytes, "$00ff1a#be", 10);
  free(w);
}

/* GDB manual: responses must escape '*' too. */
static void every_byte_survives_the_way_out_and_in(void **state)
{
  (void)state;
  struct packet_writer *w = malloc(sizeof *w);
  struct packet_reader *r = malloc(sizeof *r);
  assert_true(w && r);
  packet_begin(w);
  for (unsigned i = 0; i < 256; i++)
    packet_binary(w, (uint8_t)i);
  packet_end(w);
  for (size_t i = 1; i < w->size - 3; i++)
    assert_null(memchr("#$*", w->bytes[i], 3));
  packet_reader_init(r);
  for (size_t i = 0; i < w->size - 1; i++)
    assert_int_equal(packet_take(r, w->bytes[i]), PACKET_NOTHING);
  assert_int_equal(packet_take(r, w->bytes[w->size - 1]), PACKET_COMPLETE);
  assert_int_equal(r->size, 256);
  for (unsigned i = 0; i < 256; i++)
    assert_int_equal(r->data[i], i);
  free(w);
  free(r);
}

static void write_too_much(void)
{
  static struct packet_writer w;
  packet_begin(&w);
  for (size_t i = 0; i <= PACKET_BYTES; i++)
    packet_text(&w, "a");
}

static const struct misuse_row misuse_rows[] = {
    {"more than a packet holds is never written", write_too_much},
};

/* --- numbers ------------------------------------------------------------- */

static const struct number_row {
  const char *name;
  const char *text;
  bool good;
  uint32_t value;
  const char *rest;
} number_rows[] = {
    {"digits make a number up to another mark", "1a,4", true, 0x1a, ",4"},
    {"capitals count", "fF", true, 0xff, ""},
    {"eight digits fit", "ffffffff", true, 0xffffffffu, ""},
    {"nine do not", "0ffffffff", false, 0, "0ffffffff"},
    {"none is no number", "", false, 0, ""},
    {"a mark is no number", ",4", false, 0, ",4"},
    {"there are no signs", "-1", false, 0, "-1"},
    {"nor prefixes", "0x10", true, 0, "x10"},
};

static void number_row(void **state)
{
  const struct number_row *row = *state;
  const uint8_t *text = (const uint8_t *)row->text;
  struct scan s = {text, text + strlen(row->text)};
  uint32_t value = 0;
  assert_int_equal(scan_number(&s, &value), row->good);
  assert_int_equal(value, row->value);
  assert_string_equal((const char *)s.at, row->rest);
}

static void bytes_are_pairs_of_digits(void **state)
{
  (void)state;
  const uint8_t text[] = "00fFx1";
  struct scan s = {text, text + 6};
  uint8_t bytes[3];
  assert_false(scan_hex(&s, bytes, 3));
  assert_ptr_equal(s.at, text);
  assert_true(scan_hex(&s, bytes, 2));
  assert_int_equal(bytes[1], 0xff);
  assert_false(scan_hex(&s, bytes, 1));
  assert_false(scan_hex(&s, bytes, SIZE_MAX));
}

int main(void)
{
  struct CMUnitTest tests[ROWS_COUNT(read_rows) + ROWS_COUNT(number_rows) +
                          ROWS_COUNT(misuse_rows) + 4] = {
      cmocka_unit_test(a_packet_has_as_much_room_as_is_promised),
      cmocka_unit_test(what_is_written_is_framed),
      cmocka_unit_test(every_byte_survives_the_way_out_and_in),
      cmocka_unit_test(bytes_are_pairs_of_digits)};
  size_t n = 4;
  n += ROWS_ADD(tests + n, read_row, read_rows);
  n += ROWS_ADD(tests + n, number_row, number_rows);
  ROWS_ADD(tests + n, misuse_row, misuse_rows);
  return cmocka_run_group_tests(tests, NULL, NULL);
}

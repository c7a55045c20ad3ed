/* Frames and their check.
 *
 * Against RFC 1662 (July 1994): section 4.2 has the escaping, 4.3 what is an
 * invalid frame, appendix C.2 the table for fcstab[1] and [255], the initial
 * and the good FCS. The check value of "123456789" is that of the CRC
 * catalogues for CRC-16/X-25, 0x906E (from memory); that of CRC-32/ISO-HDLC is
 * 0xCBF43926 (the same).
 */
#include <string.h>

#include "base/crc32.h"
#include "base/frame.h"
#include "chip_fixture.h"
#include "rows.h"

static void the_constants_are_those_of_the_rfc(void **state)
{
  (void)state;
  assert_int_equal(FRAME_FLAG, 0x7e);
  assert_int_equal(FRAME_ESCAPE, 0x7d);
  assert_int_equal(FRAME_FCS_FIRST, 0xffff);
  assert_int_equal(FRAME_FCS_GOOD, 0xf0b8);
}

/* fcstab[b] is what one octet makes of a check of zero. */
static void single_octets_are_the_table_of_the_rfc(void **state)
{
  (void)state;
  static const struct {
    uint8_t octet;
    uint16_t check;
  } rows[] = {{0x00, 0x0000}, {0x01, 0x1189}, {0x02, 0x2312}, {0x03, 0x329b},
              {0x08, 0x8c48}, {0x80, 0x8408}, {0xff, 0x0f78}};
  for (size_t i = 0; i < ROWS_COUNT(rows); i++)
    assert_int_equal(frame_fcs(0, &rows[i].octet, 1), rows[i].check);
}

static void the_check_value_is_the_published_one(void **state)
{
  (void)state;
  static const uint8_t digits[] = "123456789";
  assert_int_equal(frame_fcs(FRAME_FCS_FIRST, digits, 9) ^ 0xffff, 0x906e);
  assert_int_equal(crc32_iso_hdlc(digits, 9), 0xcbf43926);
}

static void a_frame_with_its_check_comes_to_the_good_value(void **state)
{
  (void)state;
  uint8_t octets[] = "123456789..";
  octets[9] = 0x6e; /* the lower octet first: RFC 1662 C.2 */
  octets[10] = 0x90;
  assert_int_equal(frame_fcs(FRAME_FCS_FIRST, octets, 11), FRAME_FCS_GOOD);
}

static void what_is_put_is_as_the_rfc_has_it(void **state)
{
  (void)state;
  static const uint8_t content[] = {0x31, 0x7e, 0x7d, 0x11};
  uint8_t octets[FRAME_MAX_OCTETS];
  size_t length = frame_put(content, sizeof content, octets);
  static const uint8_t begin[] = {0x7e, 0x31, 0x7d, 0x5e, 0x7d, 0x5d, 0x11};
  assert_true(length >= sizeof begin + 3);
  assert_memory_equal(octets, begin, sizeof begin);
  assert_int_equal(octets[length - 1], 0x7e);
}

/* --- frames that come in ------------------------------------------------- */

static const struct stream_row {
  const char *name;
  const char *octets; /* in hexadecimal digits; .. loses one on the line */
  unsigned good, bad;
  unsigned length; /* of the last good one's content */
} stream_rows[] = {
    {"a whole frame", "7e3132333435363738396e907e", 1, 0, 9},
    {"without a flag before it is none", "3132333435363738396e907e", 0, 0, 0},
    {"one flag ends a frame and begins the next",
     "7e3132333435363738396e907e3132333435363738396e907e", 2, 0, 9},
    {"between two flags is no frame and no error",
     "7e7e7e3132333435363738396e907e7e", 1, 0, 9},
    {"a wrong octet", "7e3132333435363738386e907e", 0, 1, 0},
    {"a wrong check", "7e3132333435363738396e917e", 0, 1, 0},
    {"the check's octets exchanged", "7e313233343536373839906e7e", 0, 1, 0},
    {"aborted by an escape before the flag", "7e3132333435363738396e907d7e", 0,
     1, 0},
    {"too short to have a check", "7e317e", 0, 1, 0},
    {"a check and nothing in it", "7effff7e", 0, 1, 0},
    {"an octet escaped without need",
     "7e7d11323334353637383"
     "96e907e",
     1, 0, 9},
    {"an escaped escape is an octet", "7e7d7d7e", 0, 1, 0},
    {"an octet lost on the line", "7e31..3132333435363738396e907e", 0, 1, 0},
    {"and the frame after it is heard", "7e31..327e3132333435363738396e907e",
     1, 1, 9},
};

static unsigned hex_digit(char c)
{
  return c <= '9' ? (unsigned)(c - '0') : (unsigned)(c - 'a' + 10);
}

static void stream_row(void **state)
{
  const struct stream_row *r = *state;
  struct frame_in f;
  unsigned good = 0, bad = 0, length = 0;
  frame_in_init(&f);
  for (const char *at = r->octets; *at != '\0'; at += 2) {
    if (*at == '.') {
      frame_spoil(&f);
      continue;
    }
    uint8_t octet = (uint8_t)(hex_digit(at[0]) << 4 | hex_digit(at[1]));
    enum frame_news news = frame_take(&f, octet);
    good += news == FRAME_GOOD;
    bad += news == FRAME_BAD;
    if (news == FRAME_GOOD) length = f.count - 2;
  }
  assert_int_equal(good, r->good);
  assert_int_equal(bad, r->bad);
  assert_int_equal(length, r->length);
}

/* --- any content --------------------------------------------------------- */

static void whatever_is_put_comes_in_again(void **state)
{
  (void)state;
  uint64_t seed = 1662;
  struct frame_in f;
  frame_in_init(&f);
  for (unsigned round = 0; round < 2000; round++) {
    uint8_t content[FRAME_MAX - 2], octets[FRAME_MAX_OCTETS];
    size_t size = 1 + fixture_random(&seed) % sizeof content;
    for (size_t i = 0; i < size; i++) {
      uint32_t any = fixture_random(&seed);
      content[i] = any % 3 == 0 ? (uint8_t)(0x7d + any % 2) : (uint8_t)any;
    }
    size_t length = frame_put(content, size, octets);
    assert_true(length <= sizeof octets);
    for (size_t i = 0; i + 1 < length; i++)
      assert_int_equal(frame_take(&f, octets[i]), FRAME_MORE);
    assert_int_equal(frame_take(&f, octets[length - 1]), FRAME_GOOD);
    assert_int_equal(f.count, size + 2);
    assert_memory_equal(f.octets, content, size);
  }
}

/* A check of 16 bits finds every burst of at most 16: one octet is one. */
static void one_octet_changed_is_always_found(void **state)
{
  (void)state;
  uint64_t seed = 2;
  for (unsigned round = 0; round < 2000; round++) {
    uint8_t content[40], octets[FRAME_MAX_OCTETS];
    for (size_t i = 0; i < sizeof content; i++)
      content[i] = (uint8_t)fixture_random(&seed);
    size_t length = frame_put(content, sizeof content, octets);
    struct frame_in f;
    frame_in_init(&f);
    size_t wrong = 1 + fixture_random(&seed) % (length - 2);
    octets[wrong] ^= (uint8_t)(1 + fixture_random(&seed) % 255);
    for (size_t i = 0; i < length; i++)
      assert_int_not_equal(frame_take(&f, octets[i]), FRAME_GOOD);
  }
}

static void a_frame_too_long_is_bad_and_the_next_is_heard(void **state)
{
  (void)state;
  struct frame_in f;
  frame_in_init(&f);
  frame_take(&f, FRAME_FLAG);
  for (unsigned i = 0; i < 10 * FRAME_MAX; i++)
    assert_int_equal(frame_take(&f, 0x31), FRAME_MORE);
  assert_int_equal(frame_take(&f, FRAME_FLAG), FRAME_BAD);
  static const uint8_t rest[] = {0x31, 0x32, 0x33, 0x34, 0x35, 0x36,
                                 0x37, 0x38, 0x39, 0x6e, 0x90};
  for (size_t i = 0; i < sizeof rest; i++)
    frame_take(&f, rest[i]);
  assert_int_equal(frame_take(&f, FRAME_FLAG), FRAME_GOOD);
}

int main(void)
{
  static const struct CMUnitTest singles[] = {
      cmocka_unit_test(the_constants_are_those_of_the_rfc),
      cmocka_unit_test(single_octets_are_the_table_of_the_rfc),
      cmocka_unit_test(the_check_value_is_the_published_one),
      cmocka_unit_test(a_frame_with_its_check_comes_to_the_good_value),
      cmocka_unit_test(what_is_put_is_as_the_rfc_has_it),
      cmocka_unit_test(whatever_is_put_comes_in_again),
      cmocka_unit_test(one_octet_changed_is_always_found),
      cmocka_unit_test(a_frame_too_long_is_bad_and_the_next_is_heard),
  };
  struct CMUnitTest tests[ROWS_COUNT(stream_rows)];
  ROWS_ADD(tests, stream_row, stream_rows);
  int failed = cmocka_run_group_tests_name("rows", tests, NULL, NULL);
  return failed + cmocka_run_group_tests_name("singles", singles, NULL, NULL);
}

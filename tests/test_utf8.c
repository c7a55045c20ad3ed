/* One character of UTF-8, against the C library's converter as reference. */
#include <stdarg.h>
#include <stddef.h>
#include <setjmp.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>
#include <iconv.h>
#include <cmocka.h>

#include "base/utf8.h"

/* The reference's answer for the first character of `bytes`, as utf8_read
 * gives it. Longer and longer parts are tried: the shortest that it converts
 * is the character. */
static size_t reference_read(iconv_t converter, const char *bytes,
                             size_t length, uint32_t *code)
{
  for (size_t part = 1; part <= length && part <= 4; part++) {
    char in[4];
    uint32_t out = 0;
    char *from = in, *to = (char *)&out;
    size_t from_left = part, to_left = sizeof out;
    memcpy(in, bytes, part);
    iconv(converter, NULL, NULL, NULL, NULL);
    size_t done = iconv(converter, &from, &from_left, &to, &to_left);
    if (done != (size_t)-1 && from_left == 0 && to_left == 0) {
      *code = out;
      return part;
    }
  }
  return 0;
}

/* Native byte order, without a byte order mark. */
static iconv_t open_reference(void)
{
  const uint16_t one = 1;
  uint8_t low_first;
  memcpy(&low_first, &one, 1);
  iconv_t converter = iconv_open(low_first ? "UTF-32LE" : "UTF-32BE", "UTF-8");
  assert_true(converter != (iconv_t)-1);
  return converter;
}

static void agree(iconv_t converter, const char *bytes, size_t length)
{
  uint32_t ours = 0, theirs = 0;
  size_t read = utf8_read(bytes, length, &ours);
  size_t expected = reference_read(converter, bytes, length, &theirs);
  if (read == expected && ours == theirs) return;
  print_error("%zu bytes: %02x %02x %02x %02x\n", length, (uint8_t)bytes[0],
              (uint8_t)bytes[1], (uint8_t)bytes[2], (uint8_t)bytes[3]);
  assert_int_equal(read, expected);
  assert_int_equal(ours, theirs);
}

/* All first and second bytes; of later ones the ends of the range they may
 * be in and their neighbours. */
static void agrees_with_the_reference(void **state)
{
  (void)state;
  static const uint8_t later[] = {0x00, 0x7F, 0x80, 0xBF, 0xC0};
  iconv_t converter = open_reference();
  for (int first = 0; first < 256; first++) {
    for (int second = 0; second < 256; second++) {
      for (size_t i = 0; i < sizeof later * sizeof later; i++) {
        char bytes[4] = {(char)first, (char)second,
                         (char)later[i / sizeof later],
                         (char)later[i % sizeof later]};
        agree(converter, bytes, 4);
      }
    }
  }
  iconv_close(converter);
}

static void a_character_that_is_cut_is_none(void **state)
{
  (void)state;
  static const char *const characters[] = {"A", "\xC3\xA9", "\xE2\x82\xAC",
                                           "\xF0\x9D\x84\x9E"};
  for (size_t i = 0; i < 4; i++) {
    uint32_t code = 0;
    size_t whole = strlen(characters[i]);
    assert_int_equal(whole, i + 1);
    for (size_t length = 0; length <= whole; length++) {
      assert_int_equal(utf8_read(characters[i], length, &code),
                       length == whole ? whole : 0);
    }
  }
}

int main(void)
{
  static const struct CMUnitTest tests[] = {
      cmocka_unit_test(agrees_with_the_reference),
      cmocka_unit_test(a_character_that_is_cut_is_none),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}

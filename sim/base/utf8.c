#include "base/utf8.h"

#include <stdbool.h>

/* RFC 3629 section 4, the rules UTF8-1 to UTF8-4: the ranges of the first
 * and the second byte; every later byte is 80 to BF. `bits` is what the
 * first byte contributes to the code point. */
static const struct form {
  uint8_t first, last;
  uint8_t second_first, second_last;
  uint8_t length;
  uint8_t bits;
} forms[] = {
    {0x00, 0x7F, 0x00, 0x00, 1, 0x7F}, {0xC2, 0xDF, 0x80, 0xBF, 2, 0x1F},
    {0xE0, 0xE0, 0xA0, 0xBF, 3, 0x0F}, {0xE1, 0xEC, 0x80, 0xBF, 3, 0x0F},
    {0xED, 0xED, 0x80, 0x9F, 3, 0x0F}, {0xEE, 0xEF, 0x80, 0xBF, 3, 0x0F},
    {0xF0, 0xF0, 0x90, 0xBF, 4, 0x07}, {0xF1, 0xF3, 0x80, 0xBF, 4, 0x07},
    {0xF4, 0xF4, 0x80, 0x8F, 4, 0x07},
};

static const struct form *form_of(uint8_t byte)
{
  for (size_t i = 0; i < sizeof forms / sizeof forms[0]; i++) {
    if (byte >= forms[i].first && byte <= forms[i].last) return &forms[i];
  }
  return NULL;
}

static bool follows(const struct form *form, size_t index, uint8_t byte)
{
  if (index > 1) return byte >= 0x80 && byte <= 0xBF;
  return byte >= form->second_first && byte <= form->second_last;
}

size_t utf8_read(const char *text, size_t length, uint32_t *code)
{
  const uint8_t *bytes = (const uint8_t *)text;
  const struct form *form = length > 0 ? form_of(bytes[0]) : NULL;
  if (!form || form->length > length) return 0;

  uint32_t value = bytes[0] & form->bits;
  for (size_t i = 1; i < form->length; i++) {
    if (!follows(form, i, bytes[i])) return 0;
    value = value << 6 | (bytes[i] & 0x3Fu);
  }
  *code = value;
  return form->length;
}

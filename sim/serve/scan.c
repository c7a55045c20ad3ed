#include "serve/scan.h"

#include <string.h>

unsigned scan_digit(uint8_t byte)
{
  if (byte >= '0' && byte <= '9') return (unsigned)(byte - '0');
  if (byte >= 'a' && byte <= 'f') return (unsigned)(byte - 'a') + 10;
  if (byte >= 'A' && byte <= 'F') return (unsigned)(byte - 'A') + 10;
  return 16;
}

bool scan_text(struct scan *s, const char *text)
{
  size_t length = strlen(text);
  if (scan_left(s) < length || memcmp(s->at, text, length) != 0) return false;
  s->at += length;
  return true;
}

bool scan_number(struct scan *s, uint32_t *value)
{
  uint32_t v = 0;
  size_t count = 0;
  while (count < scan_left(s) && scan_digit(s->at[count]) < 16)
    v = v << 4 | scan_digit(s->at[count++]);
  if (count < 1 || count > 8) return false;
  s->at += count;
  *value = v;
  return true;
}

bool scan_hex(struct scan *s, uint8_t *bytes, size_t count)
{
  if (scan_left(s) / 2 < count) return false;
  for (size_t i = 0; i < count; i++) {
    unsigned high = scan_digit(s->at[2 * i]);
    unsigned low = scan_digit(s->at[2 * i + 1]);
    if (high > 15 || low > 15) return false;
    bytes[i] = (uint8_t)(high << 4 | low);
  }
  s->at += 2 * count;
  return true;
}

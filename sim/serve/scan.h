/* scan.h -- the parts of a packet's data, from left to right.
 *
 * Numbers are hexadecimal and unsigned, of 1 to 8 digits: more is refused, not
 * wrapped. Each function takes what it names and moves on, or returns false
 * and leaves the place alone.
 *
 * Owns: nothing. Borrows: the data.
 */
#ifndef SERVE_SCAN_H
#define SERVE_SCAN_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

struct scan {
  const uint8_t *at, *end;
};

/* Value of a hexadecimal digit, or 16. */
unsigned scan_digit(uint8_t byte);

bool scan_text(struct scan *s, const char *text);
bool scan_number(struct scan *s, uint32_t *value);

/* `count` bytes of two digits each. */
bool scan_hex(struct scan *s, uint8_t *bytes, size_t count);

static inline size_t scan_left(const struct scan *s)
{
  return (size_t)(s->end - s->at);
}

#endif

/* utf8.h -- one character of UTF-8, strictly (RFC 3629).
 *
 * Overlong forms, surrogates and anything above U+10FFFF are no characters.
 */
#ifndef BASE_UTF8_H
#define BASE_UTF8_H

#include <stddef.h>
#include <stdint.h>

/* Read the character at `text`, of which `length` bytes may be looked at.
 * Returns its length, 1 to 4, and sets *code; 0 if no valid character begins
 * there, or `length` cuts it. */
size_t utf8_read(const char *text, size_t length, uint32_t *code);

#endif

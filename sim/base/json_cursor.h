/* json_cursor.h -- a place moving through a JSON source; private to
 * json_scan and json.c.
 *
 * Knows characters, lines, space and comments, and how to tell what is wrong
 * at a place; knows no grammar. A function that returns false has filled in
 * the error.
 *
 * Owns: nothing. Borrows: the source, the error, the value being read.
 */
#ifndef BASE_JSON_CURSOR_H
#define BASE_JSON_CURSOR_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "base/arena.h"
#include "base/json.h"
#include "base/status.h"

#define JSON_END (-1)

struct json_source {
  const char *file;
  const char *text;
  size_t length;
  bool comments; /* allowed */
};

struct json_mark {
  size_t at; /* offset in bytes */
  uint32_t line, column;
};

struct json_cursor {
  const struct json_source *source;
  struct sim_error *err;
  char *blanked; /* copy of the source */
  struct json_mark mark;
  const struct json *inside; /* whose path errors carry; may be NULL */
};

void json_cursor_init(struct json_cursor *c, const struct json_source *source,
                      struct arena *scratch, struct sim_error *err);

/* The next byte, or JSON_END. */
int json_peek(const struct json_cursor *c);

/* Over one ASCII character, which json_peek has seen. */
void json_step(struct json_cursor *c);

/* Over any one character of a string or comment. Control characters and bad
 * UTF-8 are refused; in a comment, tabs and carriage returns are not. */
bool json_step_character(struct json_cursor *c);

/* Over a word if it is the next, the whole of it. False is no error. */
bool json_step_word(struct json_cursor *c, const char *word);

/* Over space (RFC 8259 section 2) and comments, which are blanked. */
bool json_skip_space(struct json_cursor *c);

/* Overwrite what was read from the offset `start` on with spaces. */
void json_blank(struct json_cursor *c, size_t start);

/* Always false. "is X; expected EXPECTED", with X what comes next. */
bool json_unexpected(struct json_cursor *c, const char *expected);

/* Always false. An error at any mark. */
bool json_cursor_fail(struct json_cursor *c, struct json_mark mark,
                      enum sim_status status, const char *format, ...)
    SIM_PRINTF(4, 5);

#endif

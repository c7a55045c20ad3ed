#include "base/json_cursor.h"

#include <inttypes.h>
#include <stdarg.h>
#include <stdio.h>
#include <string.h>

#include "base/utf8.h"

void json_cursor_init(struct json_cursor *c, const struct json_source *source,
                      struct arena *scratch, struct sim_error *err)
{
  *c = (struct json_cursor){
      .source = source,
      .err = err,
      .blanked = arena_text_n(scratch, source->text, source->length),
      .mark = {0, 1, 1},
  };
}

int json_peek(const struct json_cursor *c)
{
  if (c->mark.at == c->source->length) return JSON_END;
  return (unsigned char)c->source->text[c->mark.at];
}

void json_step(struct json_cursor *c)
{
  if (json_peek(c) == '\n') {
    c->mark.line++;
    c->mark.column = 0;
  }
  c->mark.at++;
  c->mark.column++;
}

/* --- errors -------------------------------------------------------------- */

bool json_cursor_fail(struct json_cursor *c, struct json_mark mark,
                      enum sim_status status, const char *format, ...)
{
  char path[sizeof c->err->path] = "";
  if (c->inside) json_path(c->inside, path, sizeof path);
  struct sim_place where = {c->source->file, path, mark.line, mark.column};
  va_list args;
  va_start(args, format);
  sim_fail_args(c->err, status, &where, format, args);
  va_end(args);
  return false;
}

static bool is_letter(int byte)
{
  return (byte >= 'a' && byte <= 'z') || (byte >= 'A' && byte <= 'Z');
}

/* Bytes of the word that is next: letters, digits and '_'. */
static size_t word_length(const struct json_cursor *c)
{
  struct json_cursor ahead = *c;
  int byte = json_peek(&ahead);
  if (!is_letter(byte)) return 0;
  while (is_letter(byte) || (byte >= '0' && byte <= '9') || byte == '_') {
    json_step(&ahead);
    byte = json_peek(&ahead);
  }
  return ahead.mark.at - c->mark.at;
}

static void describe_character(const struct json_cursor *c, char *buf,
                               size_t size)
{
  const char *text = c->source->text + c->mark.at;
  uint32_t code;
  if (utf8_read(text, c->source->length - c->mark.at, &code) == 0) {
    snprintf(buf, size, "the byte 0x%02X, which is no UTF-8",
             (unsigned char)text[0]);
  } else if (code == 0xFEFF) {
    snprintf(buf, size, "a byte order mark");
  } else if (code < 0x20 || code >= 0x7F) {
    snprintf(buf, size, "the character U+%04" PRIX32, code);
  } else {
    snprintf(buf, size, "'%c'", (char)code);
  }
}

/* What is next, as a user would call it. */
static void describe(const struct json_cursor *c, char *buf, size_t size)
{
  enum { SHOWN = 24 };
  size_t word = word_length(c);
  int byte = json_peek(c);
  if (byte == JSON_END) {
    snprintf(buf, size, "the end of the file");
  } else if (byte == '\n' || byte == '\r') {
    snprintf(buf, size, "the end of the line");
  } else if (word > 0) {
    snprintf(buf, size, "\"%.*s%s\"", word > SHOWN ? SHOWN : (int)word,
             c->source->text + c->mark.at, word > SHOWN ? "..." : "");
  } else {
    describe_character(c, buf, size);
  }
}

bool json_unexpected(struct json_cursor *c, const char *expected)
{
  char next[64];
  describe(c, next, sizeof next);
  return json_cursor_fail(c, c->mark, SIM_SYNTAX, "is %s; expected %s", next,
                          expected);
}

/* --- characters and words ------------------------------------------------ */

bool json_step_character(struct json_cursor *c)
{
  uint32_t code;
  size_t length = utf8_read(c->source->text + c->mark.at,
                            c->source->length - c->mark.at, &code);
  if (length == 0) return json_unexpected(c, "UTF-8");
  if (code < 0x20) return json_unexpected(c, "no control character here");
  c->mark.at += length;
  c->mark.column++;
  return true;
}

bool json_step_word(struct json_cursor *c, const char *word)
{
  size_t length = strlen(word);
  if (word_length(c) != length) return false;
  if (memcmp(c->source->text + c->mark.at, word, length) != 0) return false;
  c->mark.at += length;
  c->mark.column += (uint32_t)length;
  return true;
}

/* --- space and comments -------------------------------------------------- */

void json_blank(struct json_cursor *c, size_t start)
{
  memset(c->blanked + start, ' ', c->mark.at - start);
}

static bool is_space(int byte)
{
  return byte == ' ' || byte == '\t' || byte == '\n' || byte == '\r';
}

/* The byte behind the next one. */
static int peek_second(const struct json_cursor *c)
{
  struct json_cursor ahead = *c;
  json_step(&ahead);
  return json_peek(&ahead);
}

static bool step_in_comment(struct json_cursor *c)
{
  if (!is_space(json_peek(c))) return json_step_character(c);
  json_step(c);
  return true;
}

/* Up to the end of the line, which is not part of it. */
static bool skip_line_comment(struct json_cursor *c)
{
  while (json_peek(c) != '\n' && json_peek(c) != JSON_END) {
    if (!step_in_comment(c)) return false;
  }
  return true;
}

static bool skip_block_comment(struct json_cursor *c)
{
  struct json_mark start = c->mark;
  json_step(c);
  json_step(c);
  while (json_peek(c) != JSON_END) {
    if (json_peek(c) == '*' && peek_second(c) == '/') {
      json_step(c);
      json_step(c);
      return true;
    }
    if (!step_in_comment(c)) return false;
  }
  return json_cursor_fail(c, start, SIM_SYNTAX,
                          "is a comment without end; expected \"*/\" behind "
                          "it");
}

static bool skip_comment(struct json_cursor *c)
{
  if (!c->source->comments) {
    return json_cursor_fail(c, c->mark, SIM_SYNTAX,
                            "is a comment; expected none in a file whose "
                            "name does not end in .jsonc");
  }
  size_t start = c->mark.at;
  bool line = peek_second(c) == '/';
  if (!(line ? skip_line_comment(c) : skip_block_comment(c))) return false;
  json_blank(c, start);
  return true;
}

bool json_skip_space(struct json_cursor *c)
{
  for (;;) {
    int byte = json_peek(c);
    if (is_space(byte)) {
      json_step(c);
    } else if (byte == '/' &&
               (peek_second(c) == '/' || peek_second(c) == '*')) {
      if (!skip_comment(c)) return false;
    } else {
      return true;
    }
  }
}

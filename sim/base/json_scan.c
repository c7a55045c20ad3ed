#include "base/json_scan.h"

#include <ctype.h>
#include <string.h>

#include "base/json_cursor.h"

struct scan {
  struct json_cursor cursor;
  struct arena *nodes;
  uint32_t depth, values;
  struct json_spot *first, *last;
};

/* A list or an object being read, and its last child so far. */
struct container {
  struct json *value;
  struct json *last;
};

struct key {
  const char *text;
  struct json_mark mark;
};

static bool scan_value(struct scan *s, struct container *in,
                       const struct key *key);

/* --- strings ------------------------------------------------------------- */

static bool scan_hex(struct json_cursor *c, uint32_t *code)
{
  *code = 0;
  for (int i = 0; i < 4; i++) {
    static const char digits[] = "0123456789abcdefABCDEF";
    int next = json_peek(c);
    const char *digit = next > 0 ? strchr(digits, next) : NULL;
    if (!digit) return false;
    size_t value = (size_t)(digit - digits);
    *code = *code << 4 | (uint32_t)(value < 16 ? value : value - 6);
    json_step(c);
  }
  return true;
}

static bool scan_low_surrogate(struct json_cursor *c)
{
  uint32_t code;
  if (json_peek(c) != '\\') return false;
  json_step(c);
  if (json_peek(c) != 'u') return false;
  json_step(c);
  return scan_hex(c, &code) && code >= 0xDC00 && code <= 0xDFFF;
}

/* Behind "\u". Half a pair is legal grammar but no character (RFC 8259
 * section 8.2), and U+0000 would end the text early. */
static bool scan_unicode(struct json_cursor *c, struct json_mark start)
{
  uint32_t code;
  if (!scan_hex(c, &code)) {
    return json_cursor_fail(c, start, SIM_SYNTAX,
                            "is an escape cut short; expected four "
                            "hexadecimal digits behind \\u");
  }
  if (code == 0) {
    return json_cursor_fail(c, start, SIM_SYNTAX,
                            "is \\u0000; expected any other character");
  }
  bool low = code >= 0xDC00 && code <= 0xDFFF;
  bool high = code >= 0xD800 && code <= 0xDBFF;
  if (low || (high && !scan_low_surrogate(c))) {
    return json_cursor_fail(c, start, SIM_SYNTAX,
                            "is half of a surrogate pair; expected \\uD800 "
                            "to \\uDBFF, then \\uDC00 to \\uDFFF");
  }
  return true;
}

static bool scan_escape(struct json_cursor *c)
{
  struct json_mark start = c->mark;
  json_step(c);
  int next = json_peek(c);
  if (next == JSON_END) return true; /* scan_string says so */
  if (next == 0 || !strchr("\"\\/bfnrtu", next)) {
    return json_cursor_fail(c, start, SIM_SYNTAX,
                            "is an unknown escape; expected one of \\\" \\\\ "
                            "\\/ \\b \\f \\n \\r \\t \\u");
  }
  json_step(c);
  return next != 'u' || scan_unicode(c, start);
}

static bool scan_string(struct json_cursor *c)
{
  struct json_mark start = c->mark;
  json_step(c);
  for (;;) {
    switch (json_peek(c)) {
    case JSON_END:
      return json_cursor_fail(c, start, SIM_SYNTAX,
                              "is a string without end; expected '\"' "
                              "behind it");
    case '"': json_step(c); return true;
    case '\\':
      if (!scan_escape(c)) return false;
      break;
    case '\r':
    case '\n':
      return json_unexpected(c, "'\"' before it, at the end of the string");
    default:
      if (!json_step_character(c)) return false;
    }
  }
}

/* --- numbers and words --------------------------------------------------- */

static bool scan_digits(struct json_cursor *c)
{
  if (!isdigit(json_peek(c))) return json_unexpected(c, "a digit");
  while (isdigit(json_peek(c))) {
    json_step(c);
  }
  return true;
}

static bool scan_whole_part(struct json_cursor *c)
{
  struct json_mark start = c->mark;
  bool zero = json_peek(c) == '0';
  if (!scan_digits(c)) return false;
  if (!zero || c->mark.at == start.at + 1) return true;
  return json_cursor_fail(c, start, SIM_SYNTAX,
                          "is a number with a leading zero; expected it "
                          "without");
}

static bool scan_exponent(struct json_cursor *c)
{
  json_step(c);
  if (json_peek(c) == '+' || json_peek(c) == '-') json_step(c);
  return scan_digits(c);
}

/* RFC 8259 section 6. */
static bool scan_number(struct scan *s, struct json *value)
{
  struct json_cursor *c = &s->cursor;
  size_t start = c->mark.at;
  if (json_peek(c) == '-') json_step(c);
  if (!scan_whole_part(c)) return false;
  if (json_peek(c) == '.') {
    json_step(c);
    if (!scan_digits(c)) return false;
  }
  if (json_peek(c) == 'e' || json_peek(c) == 'E') {
    if (!scan_exponent(c)) return false;
  }
  value->type = JSON_NUMBER;
  value->text =
      arena_text_n(s->nodes, c->source->text + start, c->mark.at - start);
  json_blank(c, start);
  c->blanked[start] = '0';
  return true;
}

static bool scan_word(struct json_cursor *c, struct json *value)
{
  static const struct {
    const char *word;
    enum json_type type;
    bool truth;
  } words[] = {{"null", JSON_NULL, false},
               {"true", JSON_BOOLEAN, true},
               {"false", JSON_BOOLEAN, false}};
  for (size_t i = 0; i < sizeof words / sizeof words[0]; i++) {
    if (!json_step_word(c, words[i].word)) continue;
    value->type = words[i].type;
    value->truth = words[i].truth;
    return true;
  }
  return json_unexpected(c, "a value");
}

/* --- lists and objects --------------------------------------------------- */

/* Go in: one level deeper, behind the bracket and the space after it. */
static bool enter(struct scan *s)
{
  if (s->depth == JSON_MAX_DEPTH) {
    return json_cursor_fail(&s->cursor, s->cursor.mark, SIM_LIMIT,
                            "is one level too deep; expected at most %d",
                            JSON_MAX_DEPTH);
  }
  s->depth++;
  json_step(&s->cursor);
  return json_skip_space(&s->cursor);
}

static bool leave(struct scan *s)
{
  s->depth--;
  json_step(&s->cursor);
  return true;
}

/* Behind an element: a comma, and *more is set, or the closing bracket. */
static bool scan_separator(struct scan *s, char closing, const char *expected,
                           bool *more)
{
  struct json_cursor *c = &s->cursor;
  if (!json_skip_space(c)) return false;
  *more = json_peek(c) == ',';
  if (!*more && json_peek(c) != closing) return json_unexpected(c, expected);
  if (!*more) return true;
  json_step(c);
  return json_skip_space(c);
}

static bool scan_list(struct scan *s, struct json *value)
{
  struct container list = {value, NULL};
  value->type = JSON_LIST;
  if (!enter(s)) return false;
  bool more = json_peek(&s->cursor) != ']';
  while (more) {
    if (!scan_value(s, &list, NULL)) return false;
    if (!scan_separator(s, ']', "',' or ']'", &more)) return false;
  }
  return leave(s);
}

/* A key and the ':' behind it. */
static bool scan_key(struct scan *s, struct key *key, const char *expected)
{
  struct json_cursor *c = &s->cursor;
  if (json_peek(c) != '"') return json_unexpected(c, expected);
  key->mark = c->mark;
  if (!scan_string(c)) return false;
  size_t start = key->mark.at + 1;
  key->text =
      arena_text_n(s->nodes, c->source->text + start, c->mark.at - 1 - start);
  if (!json_skip_space(c)) return false;
  if (json_peek(c) != ':') return json_unexpected(c, "':'");
  json_step(c);
  return json_skip_space(c);
}

static bool scan_object(struct scan *s, struct json *value)
{
  struct container object = {value, NULL};
  value->type = JSON_OBJECT;
  if (!enter(s)) return false;
  const char *expected = "a key in double quotes, or '}'";
  bool more = json_peek(&s->cursor) != '}';
  while (more) {
    struct key key;
    if (!scan_key(s, &key, expected)) return false;
    if (!scan_value(s, &object, &key)) return false;
    if (!scan_separator(s, '}', "',' or '}'", &more)) return false;
    expected = "a key in double quotes";
  }
  return leave(s);
}

/* --- values -------------------------------------------------------------- */

static void add_child(struct container *in, struct json *value)
{
  if (in->last) {
    in->last->next = value;
  } else {
    in->value->child = value;
  }
  in->last = value;
  value->parent = in->value;
  value->index = in->value->count++;
}

/* A value that begins here, in its place in both orders. */
static struct json *new_value(struct scan *s, struct container *in,
                              const struct key *key)
{
  struct json_spot *spot = arena_get(s->nodes, sizeof *spot);
  struct json *value = &spot->value;
  value->file = s->cursor.source->file;
  value->line = s->cursor.mark.line;
  value->column = s->cursor.mark.column;
  if (key) {
    value->key = key->text;
    value->key_line = key->mark.line;
    value->key_column = key->mark.column;
  }
  if (in) add_child(in, value);
  *(s->last ? &s->last->next : &s->first) = spot;
  s->last = spot;
  return value;
}

static bool scan_body(struct scan *s, struct json *value)
{
  int next = json_peek(&s->cursor);
  if (next == '{') return scan_object(s, value);
  if (next == '[') return scan_list(s, value);
  if (next == '-' || isdigit(next)) return scan_number(s, value);
  if (next != '"') return scan_word(&s->cursor, value);
  value->type = JSON_STRING;
  return scan_string(&s->cursor);
}

static bool scan_value(struct scan *s, struct container *in,
                       const struct key *key)
{
  if (s->values == JSON_MAX_VALUES) {
    return json_cursor_fail(&s->cursor, s->cursor.mark, SIM_LIMIT,
                            "is one value too many; expected at most %u",
                            JSON_MAX_VALUES);
  }
  s->values++;
  struct json *value = new_value(s, in, key);
  s->cursor.inside = value;
  if (!scan_body(s, value)) return false;
  s->cursor.inside = in ? in->value : NULL;
  return true;
}

static bool scan_document(struct scan *s)
{
  struct json_cursor *c = &s->cursor;
  if (!json_skip_space(c)) return false;
  if (!scan_value(s, NULL, NULL)) return false;
  if (!json_skip_space(c)) return false;
  if (json_peek(c) == JSON_END) return true;
  return json_unexpected(c, "the end of the file");
}

enum sim_status json_scan(const struct json_source *source,
                          struct arena *nodes, struct arena *scratch,
                          struct json_scanned *out, struct sim_error *err)
{
  struct scan s = {.nodes = nodes};
  json_cursor_init(&s.cursor, source, scratch, err);
  if (!scan_document(&s)) return err->status;
  *out = (struct json_scanned){s.first, s.cursor.blanked};
  return SIM_OK;
}

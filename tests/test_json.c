/* What is JSON here, and where it stops being so.
 *
 * The grammar is RFC 8259; each row begins with the section it is taken
 * from. "7493" is RFC 7493 (I-JSON), for what RFC 8259 leaves open and this
 * reader refuses; "3629" is RFC 3629 (UTF-8). Section numbers and examples
 * are from memory. "ours" is a rule of this program. */
#include <stdlib.h>
#include <string.h>

#include "base/arena.h"
#include "base/json.h"
#include "rows.h"

/* A literal that may contain zero bytes. */
#define T(literal) literal, sizeof(literal) - 1

/* Parse a copy of exactly `length` bytes, so that a sanitizer sees a read
 * beyond it. */
static enum sim_status parse(struct arena *arena, const char *text,
                             size_t length, bool comments,
                             const struct json **root, struct sim_error *err)
{
  char *exact = malloc(length > 0 ? length : 1);
  assert_non_null(exact);
  memcpy(exact, text, length);
  enum sim_status status =
      json_parse(arena, "case.json", exact, length, comments, root, err);
  free(exact);
  return status;
}

/* --- accepted ------------------------------------------------------------ */

static const struct accept_row {
  const char *name;
  const char *text;
  size_t length;
} accept_rows[] = {
    {"2: the four space characters may stand around every token",
     T(" \t\n\r{ \t\n\r\"a\" \t\n\r: \t\n\r[ \t\n\r1 \t\n\r, \t\n\r2 \t\n\r] "
       "\t\n\r} \t\n\r")},
    {"2: no space is needed", T("{\"a\":[1,2,{\"b\":null}]}")},
    {"2: a text may be a string", T("\"x\"")},
    {"2: a text may be a number", T("0")},
    {"2: a text may be a literal", T("null")},
    {"3: the three literal names", T("[true,false,null]")},
    {"4: an object may be empty", T("{}")},
    {"4: a name may be empty", T("{\"\":1}")},
    {"4: names that differ in case differ", T("{\"a\":1,\"A\":2}")},
    {"4: the same name may recur in another object",
     T("{\"a\":{\"a\":{\"a\":1}},\"b\":[{\"a\":1},{\"a\":2}]}")},
    {"5: a list may be empty", T("[]")},
    {"5: values of a list may differ in type", T("[1,\"1\",true,null,[],{}]")},
    {"6: zero and minus zero", T("[0,-0,0.0,-0.0,0e0]")},
    {"6: integer, fraction and exponent",
     T("[10,0.5,-10.25,1e5,1E5,1e+5,1E-5,123.456e789]")},
    {"6: an exponent may have leading zeros", T("1e005")},
    {"6: the grammar sets no limit to size", T("[1e999,-1e999,1e-999]")},
    {"6: nor to the number of digits",
     T("1234567890123456789012345678901234567890123456789012345678901234567890"
       "1234567890123456789012345678901234567890.1234567890")},
    {"7: every two-character escape", T("\"\\\"\\\\\\/\\b\\f\\n\\r\\t\"")},
    {"7: hexadecimal in either case", T("\"\\u00aF\\u00Fa\"")},
    {"7: a surrogate pair", T("\"\\uD834\\uDD1E\"")},
    {"7: the ends of the surrogate ranges",
     T("\"\\uD800\\uDC00\\uDBFF\\uDFFF\"")},
    {"7: the neighbours of the surrogates are characters",
     T("\"\\uD7FF\\uE000\"")},
    {"7: what need not be escaped", T("\"/ \x7F \xE2\x80\xA8 \xE2\x80\xA9\"")},
    {"7: names are strings with all escapes",
     T("{\"\\u0061\\n\\\"\\uD834\\uDD1E\":1}")},
    {"8.1: text is UTF-8", T("\"\xC3\xA9\xE2\x82\xAC\xF0\x9D\x84\x9E\"")},
    {"3629 7: A, not identical to, Alpha, full stop",
     T("\"\x41\xE2\x89\xA2\xCE\x91\x2E\"")},
    {"3629 7: three Korean syllables",
     T("\"\xED\x95\x9C\xEA\xB5\xAD\xEC\x96\xB4\"")},
    {"3629 3: the last character", T("\"\xF4\x8F\xBF\xBF\"")},
    {"13: the example object",
     T("{\n  \"Image\": {\n    \"Width\":  800,\n    \"Height\": 600,\n"
       "    \"Title\":  \"View from 15th Floor\",\n    \"Thumbnail\": {\n"
       "      \"Url\":    \"http://www.example.com/image/481989943\",\n"
       "      \"Height\": 125,\n      \"Width\":  100\n    },\n"
       "    \"Animated\" : false,\n    \"IDs\": [116, 943, 234, 38793]\n"
       "  }\n}\n")},
};

static void accept_row(void **state)
{
  const struct accept_row *r = *state;
  struct arena arena;
  struct sim_error err;
  const struct json *root = NULL;
  arena_init(&arena);
  /* Whether comments are allowed makes no difference to JSON. */
  for (int comments = 0; comments < 2; comments++) {
    assert_int_equal(parse(&arena, r->text, r->length, comments, &root, &err),
                     SIM_OK);
    assert_non_null(root);
  }
  arena_free(&arena);
}

/* --- refused ------------------------------------------------------------- */

static const struct refuse_row {
  const char *name;
  const char *text;
  size_t length;
  bool comments;
  const char *error; /* the whole of it, with line, column and path */
} refuse_rows[] = {
    /* the text as a whole */
    {"2: an empty text has no value", T(""), false,
     "case.json:1:1: is the end of the file; expected a value"},
    {"2: space alone has no value", T(" \n "), false,
     "case.json:2:2: is the end of the file; expected a value"},
    {"2: nothing may follow the value", T("{}\n{}"), false,
     "case.json:2:1: is '{'; expected the end of the file"},
    {"2: a closing bracket too many", T("[1]]"), false,
     "case.json:1:4: is ']'; expected the end of the file"},
    {"2: a zero byte is no space", T("1\0"), false,
     "case.json:1:2: is the character U+0000; expected the end of the file"},
    {"2: a no-break space is no space",
     T("[1,\xC2\xA0"
       "2]"),
     false, "case.json:1:4: [1]: is the character U+00A0; expected a value"},
    {"2: a form feed is no space", T("\f1"), false,
     "case.json:1:1: is the character U+000C; expected a value"},
    {"8.1: no byte order mark", T("\xEF\xBB\xBF{}"), false,
     "case.json:1:1: is a byte order mark; expected a value"},
    {"8.1: UTF-16 is refused", T("\xFF\xFE{\0}\0"), false,
     "case.json:1:1: is the byte 0xFF, which is no UTF-8; expected a value"},

    /* literals */
    {"3: literal names are lower case", T("[True]"), false,
     "case.json:1:2: [0]: is \"True\"; expected a value"},
    {"3: no other names", T("[NaN]"), false,
     "case.json:1:2: [0]: is \"NaN\"; expected a value"},
    {"3: a name cut short", T("{\"a\": tru}"), false,
     "case.json:1:7: a: is \"tru\"; expected a value"},
    {"3: a name too long", T("nullx"), false,
     "case.json:1:1: is \"nullx\"; expected a value"},
    {"3: a long word is shown in part", T("abcdefghijklmnopqrstuvwxyz"), false,
     "case.json:1:1: is \"abcdefghijklmnopqrstuvwx...\"; expected a value"},

    /* objects */
    {"4: keys are quoted", T("{a: 1}"), false,
     "case.json:1:2: is \"a\"; expected a key in double quotes, or '}'"},
    {"4: single quotes are no quotes", T("{'a': 1}"), false,
     "case.json:1:2: is '''; expected a key in double quotes, or '}'"},
    {"4: typographic quotes are no quotes",
     T("{\xE2\x80\x9C"
       "a\xE2\x80\x9D: 1}"),
     false,
     "case.json:1:2: is the character U+201C; expected a key in double "
     "quotes, or '}'"},
    {"4: a key is no number", T("{1: 1}"), false,
     "case.json:1:2: is '1'; expected a key in double quotes, or '}'"},
    {"4: a key needs its colon", T("{\"a\" 1}"), false,
     "case.json:1:6: is '1'; expected ':'"},
    {"4: an equals sign is no colon", T("{\"x\": {\"a\" = 1}}"), false,
     "case.json:1:12: x: is '='; expected ':'"},
    {"4: a key needs its value", T("{\"steps\": [{\"hold\": }]}"), false,
     "case.json:1:21: steps[0].hold: is '}'; expected a value"},
    {"4: no comma may be last", T("{\"a\": 1,\n}"), false,
     "case.json:2:1: is '}'; expected a key in double quotes"},
    {"4: no comma may be first", T("{, \"a\": 1}"), false,
     "case.json:1:2: is ','; expected a key in double quotes, or '}'"},
    {"4: members need a comma", T("{\"a\": 1\n \"b\": 2}"), false,
     "case.json:2:2: is '\"'; expected ',' or '}'"},
    {"4: an object ends with its own bracket", T("{\"a\": 1]"), false,
     "case.json:1:8: is ']'; expected ',' or '}'"},
    {"4: an object does not end by itself", T("{\"a\": {\"b\": 1}"), false,
     "case.json:1:15: is the end of the file; expected ',' or '}'"},

    /* lists */
    {"5: no comma may be last", T("[1, 2,]"), false,
     "case.json:1:7: [2]: is ']'; expected a value"},
    {"5: no comma may be first", T("[,1]"), false,
     "case.json:1:2: [0]: is ','; expected a value"},
    {"5: no comma may be doubled", T("[1,,2]"), false,
     "case.json:1:4: [1]: is ','; expected a value"},
    {"5: values need a comma", T("[[1], [2 3]]"), false,
     "case.json:1:10: [1]: is '3'; expected ',' or ']'"},
    {"5: a list ends with its own bracket", T("[1}"), false,
     "case.json:1:3: is '}'; expected ',' or ']'"},
    {"5: a list does not end by itself", T("[1,\n2"), false,
     "case.json:2:2: is the end of the file; expected ',' or ']'"},
    {"5: a semicolon is no comma", T("[1;2]"), false,
     "case.json:1:3: is ';'; expected ',' or ']'"},

    /* numbers */
    {"6: no leading zero", T("{\"a\": 012}"), false,
     "case.json:1:7: a: is a number with a leading zero; expected it "
     "without"},
    {"6: none behind a minus", T("-01"), false,
     "case.json:1:2: is a number with a leading zero; expected it without"},
    {"6: no double zero", T("00"), false,
     "case.json:1:1: is a number with a leading zero; expected it without"},
    {"6: a point needs digits behind it", T("[1.]"), false,
     "case.json:1:4: [0]: is ']'; expected a digit"},
    {"6: a point needs digits before it", T("[.5]"), false,
     "case.json:1:2: [0]: is '.'; expected a value"},
    {"6: an exponent needs digits", T("[1e]"), false,
     "case.json:1:4: [0]: is ']'; expected a digit"},
    {"6: a signed exponent needs digits", T("[1e+]"), false,
     "case.json:1:5: [0]: is ']'; expected a digit"},
    {"6: an exponent may not follow the point", T("1.e1"), false,
     "case.json:1:3: is \"e1\"; expected a digit"},
    {"6: an exponent is whole", T("1e1.5"), false,
     "case.json:1:4: is '.'; expected the end of the file"},
    {"6: no plus in front", T("+1"), false,
     "case.json:1:1: is '+'; expected a value"},
    {"6: a minus needs digits", T("-"), false,
     "case.json:1:2: is the end of the file; expected a digit"},
    {"6: no double minus", T("--1"), false,
     "case.json:1:2: is '-'; expected a digit"},
    {"6: no infinity", T("-Infinity"), false,
     "case.json:1:2: is \"Infinity\"; expected a digit"},
    {"6: no hexadecimal", T("[0x10]"), false,
     "case.json:1:3: is \"x10\"; expected ',' or ']'"},
    {"6: no digit groups", T("[1_000]"), false,
     "case.json:1:3: is '_'; expected ',' or ']'"},
    {"6: no space after the minus", T("- 1"), false,
     "case.json:1:2: is ' '; expected a digit"},
    {"6: no other digits than ours", T("\xD9\xA1"), false,
     "case.json:1:1: is the character U+0661; expected a value"},

    /* strings */
    {"7: a string has an end", T("[\"abc]"), false,
     "case.json:1:2: [0]: is a string without end; expected '\"' behind it"},
    {"7: a string ends on its line", T("{\"a\": \"abc,\n\"b\": 1}"), false,
     "case.json:1:12: a: is the end of the line; expected '\"' before it, at "
     "the end of the string"},
    {"7: the same with other line ends", T("[\"abc\r\n\"]"), false,
     "case.json:1:6: [0]: is the end of the line; expected '\"' before it, "
     "at the end of the string"},
    {"7: a key has an end", T("{\"steps\": [{\"hol"), false,
     "case.json:1:13: steps[0]: is a string without end; expected '\"' "
     "behind it"},
    {"7: a tab is escaped", T("\"a\tb\""), false,
     "case.json:1:3: is the character U+0009; expected no control character "
     "here"},
    {"7: a zero byte is escaped", T("\"a\0b\""), false,
     "case.json:1:3: is the character U+0000; expected no control character "
     "here"},
    {"7: the last control character is escaped", T("\"\x1F\""), false,
     "case.json:1:2: is the character U+001F; expected no control character "
     "here"},
    {"7: no other escapes", T("\"a\\x41\""), false,
     "case.json:1:3: is an unknown escape; expected one of \\\" \\\\ \\/ \\b "
     "\\f \\n \\r \\t \\u"},
    {"7: no escaped single quote", T("\"\\'\""), false,
     "case.json:1:2: is an unknown escape; expected one of \\\" \\\\ \\/ \\b "
     "\\f \\n \\r \\t \\u"},
    {"7: no escaped zero byte", T("\"\\\0\""), false,
     "case.json:1:2: is an unknown escape; expected one of \\\" \\\\ \\/ \\b "
     "\\f \\n \\r \\t \\u"},
    {"7: \\u is small", T("\"\\U0041\""), false,
     "case.json:1:2: is an unknown escape; expected one of \\\" \\\\ \\/ \\b "
     "\\f \\n \\r \\t \\u"},
    {"7: \\u has four digits", T("\"\\u004\""), false,
     "case.json:1:2: is an escape cut short; expected four hexadecimal digits "
     "behind \\u"},
    {"7: \\u has hexadecimal digits", T("\"\\u00g1\""), false,
     "case.json:1:2: is an escape cut short; expected four hexadecimal digits "
     "behind \\u"},
    {"7: the text ends in an escape", T("\"abc\\"), false,
     "case.json:1:1: is a string without end; expected '\"' behind it"},
    {"7: an escaped quote ends nothing", T("\"abc\\\""), false,
     "case.json:1:1: is a string without end; expected '\"' behind it"},
    {"ours: no U+0000, which would cut the text", T("[\"a\\u0000b\"]"), false,
     "case.json:1:4: [0]: is \\u0000; expected any other character"},

    /* surrogates */
    {"7493 2.1: no lone high surrogate", T("\"\\uD834\""), false,
     "case.json:1:2: is half of a surrogate pair; expected \\uD800 to "
     "\\uDBFF, then \\uDC00 to \\uDFFF"},
    {"7493 2.1: no lone low surrogate", T("\"ab\\uDD1E\""), false,
     "case.json:1:4: is half of a surrogate pair; expected \\uD800 to "
     "\\uDBFF, then \\uDC00 to \\uDFFF"},
    {"7493 2.1: no pair the wrong way round", T("\"\\uDD1E\\uD834\""), false,
     "case.json:1:2: is half of a surrogate pair; expected \\uD800 to "
     "\\uDBFF, then \\uDC00 to \\uDFFF"},
    {"7493 2.1: no two high surrogates", T("\"\\uD834\\uD834\""), false,
     "case.json:1:2: is half of a surrogate pair; expected \\uD800 to "
     "\\uDBFF, then \\uDC00 to \\uDFFF"},
    {"7493 2.1: a high one before another escape", T("\"\\uD834\\n\""), false,
     "case.json:1:2: is half of a surrogate pair; expected \\uD800 to "
     "\\uDBFF, then \\uDC00 to \\uDFFF"},
    {"7493 2.1: a high one before a low one cut short", T("\"\\uD834\\uDD1\""),
     false,
     "case.json:1:2: is half of a surrogate pair; expected \\uD800 to "
     "\\uDBFF, then \\uDC00 to \\uDFFF"},

    /* UTF-8 */
    {"3629 3: no lone continuation byte", T("\"a\x80\""), false,
     "case.json:1:3: is the byte 0x80, which is no UTF-8; expected UTF-8"},
    {"3629 3: no overlong form of two bytes", T("\"\xC0\xAF\""), false,
     "case.json:1:2: is the byte 0xC0, which is no UTF-8; expected UTF-8"},
    {"3629 3: no overlong form of three bytes", T("\"\xE0\x9F\xBF\""), false,
     "case.json:1:2: is the byte 0xE0, which is no UTF-8; expected UTF-8"},
    {"3629 3: no overlong form of four bytes", T("\"\xF0\x8F\xBF\xBF\""),
     false,
     "case.json:1:2: is the byte 0xF0, which is no UTF-8; expected UTF-8"},
    {"3629 3: no encoded surrogate", T("\"\xED\xA0\x80\""), false,
     "case.json:1:2: is the byte 0xED, which is no UTF-8; expected UTF-8"},
    {"3629 3: nothing above U+10FFFF", T("\"\xF4\x90\x80\x80\""), false,
     "case.json:1:2: is the byte 0xF4, which is no UTF-8; expected UTF-8"},
    {"3629 3: no byte 0xF5 or above", T("\"\xF5\x80\x80\x80\""), false,
     "case.json:1:2: is the byte 0xF5, which is no UTF-8; expected UTF-8"},
    {"3629 4: a character is whole", T("{\"t\": [0, \"\xE2\x82\"]}"), false,
     "case.json:1:12: t[1]: is the byte 0xE2, which is no UTF-8; expected "
     "UTF-8"},
    {"3629 4: also where the text ends", T("\"\xE2\x82"), false,
     "case.json:1:2: is the byte 0xE2, which is no UTF-8; expected UTF-8"},
    {"8.1: another encoding of e acute", T("{\"caf\xE9\": 1}"), false,
     "case.json:1:6: is the byte 0xE9, which is no UTF-8; expected UTF-8"},

    /* places */
    {"ours: columns count characters, not bytes",
     T("[\"\xC3\xA9\xE2\x82\xAC\xF0\x9D\x84\x9E\" x]"), false,
     "case.json:1:8: is \"x\"; expected ',' or ']'"},
    {"ours: a tab is one column", T("\t\t[x]"), false,
     "case.json:1:4: [0]: is \"x\"; expected a value"},
    {"ours: CR LF is one line end", T("[\r\n1,\r\nx]"), false,
     "case.json:3:1: [1]: is \"x\"; expected a value"},
    {"ours: paths lead through lists and objects",
     T("{\"steps\": [1, {\"by\": 2},\n {\"hold\": {\"min\": 1, \"max\": "
       "x}}]}"),
     false, "case.json:2:29: steps[2].hold.max: is \"x\"; expected a value"},
    {"ours: the path of a list in a list", T("[[], [1, [2, x]]]"), false,
     "case.json:1:14: [1][1][1]: is \"x\"; expected a value"},
    {"ours: unusual keys are quoted in paths",
     T("{\"a.b\": {\"\": {\"a b\": x}}}"), false,
     "case.json:1:22: [\"a.b\"][\"\"][\"a b\"]: is \"x\"; expected a value"},
    {"ours: between members the path is the object's",
     T("{\"a\": {\"b\": 1 x}}"), false,
     "case.json:1:15: a: is \"x\"; expected ',' or '}'"},

    /* comments */
    {"ours: no comment unless allowed", T("{\n  // no\n}"), false,
     "case.json:2:3: is a comment; expected none in a file whose name does "
     "not end in .jsonc"},
    {"ours: no block comment either", T("[1, /* no */ 2]"), false,
     "case.json:1:5: is a comment; expected none in a file whose name does "
     "not end in .jsonc"},
    {"ours: a comment has an end", T("[1,\n /* x"), true,
     "case.json:2:2: is a comment without end; expected \"*/\" behind it"},
    {"ours: a star and a slash are not shared", T("/*/"), true,
     "case.json:1:1: is a comment without end; expected \"*/\" behind it"},
    {"ours: comments do not nest", T("/* /* */ */ 1"), true,
     "case.json:1:10: is '*'; expected a value"},
    {"ours: a comment is no value", T("{\"a\": /* x */}"), true,
     "case.json:1:14: a: is '}'; expected a value"},
    {"ours: a comment does not join tokens", T("[1/* */2]"), true,
     "case.json:1:8: is '2'; expected ',' or ']'"},
    {"ours: a hash begins no comment", T("# x\n1"), true,
     "case.json:1:1: is '#'; expected a value"},
    {"ours: a slash alone begins no comment", T("[1, / 2]"), true,
     "case.json:1:5: [1]: is '/'; expected a value"},
    {"ours: a slash at the very end", T("1/"), true,
     "case.json:1:2: is '/'; expected the end of the file"},
    {"ours: comments are UTF-8 too", T("// \xFF\n1"), true,
     "case.json:1:4: is the byte 0xFF, which is no UTF-8; expected UTF-8"},
    {"ours: comments hold no control characters", T("/* \x1B[2J */ 1"), true,
     "case.json:1:4: is the character U+001B; expected no control character "
     "here"},
    {"ours: a line comment ends the text", T("// nothing else"), true,
     "case.json:1:16: is the end of the file; expected a value"},
    {"ours: lines are counted through comments", T("/* 1\n 2\n */ // 3\n [x]"),
     true, "case.json:4:3: [0]: is \"x\"; expected a value"},

    /* duplicate keys */
    {"7493 2.3: a key occurs once", T("{\"a\": 1,\n \"b\": 2,\n \"a\": 3}"),
     false,
     "case.json:3:2: a: is a duplicate of the key at line 1, column 2; "
     "expected each key once"},
    {"7493 2.3: keys are compared decoded", T("{\"a\": 1, \"\\u0061\": 2}"),
     false,
     "case.json:1:10: a: is a duplicate of the key at line 1, column 2; "
     "expected each key once"},
    {"7493 2.3: in an object inside a list",
     T("[{}, {\"x\": {\"b\": 1, \"b\": 1}}]"), false,
     "case.json:1:21: [1].x.b: is a duplicate of the key at line 1, column "
     "13; expected each key once"},
    {"7493 2.3: the second is told, not the third",
     T("{\"a\": 1, \"a\": 2, \"a\": 3}"), false,
     "case.json:1:10: a: is a duplicate of the key at line 1, column 2; "
     "expected each key once"},
    {"7493 2.3: of several the first in the file is told",
     T("{\"z\": 1, \"y\": {\"b\": 1, \"b\": 1}, \"z\": 2, \"a\": 3, \"a\": "
       "4}"),
     false,
     "case.json:1:24: y.b: is a duplicate of the key at line 1, column 16; "
     "expected each key once"},
    {"7493 2.3: also where it follows an object with others",
     T("{\"z\": 1, \"z\": {\"b\": 1, \"b\": 1}}"), false,
     "case.json:1:10: z: is a duplicate of the key at line 1, column 2; "
     "expected each key once"},
    {"7493 2.3: an empty key too", T("{\"\": 1, \"\": 2}"), false,
     "case.json:1:9: [\"\"]: is a duplicate of the key at line 1, column 2; "
     "expected each key once"},
};

static void refuse_row(void **state)
{
  const struct refuse_row *r = *state;
  struct arena arena;
  struct sim_error err;
  const struct json *root = NULL;
  char text[1400];
  arena_init(&arena);
  enum sim_status status =
      parse(&arena, r->text, r->length, r->comments, &root, &err);
  assert_int_not_equal(status, SIM_OK);
  assert_int_equal(status, err.status);
  assert_int_equal(status,
                   strstr(r->error, "duplicate") ? SIM_KEY : SIM_SYNTAX);
  assert_null(root);
  assert_string_equal(sim_error_text(&err, text, sizeof text), r->error);
  arena_free(&arena);
}

/* --- comments, where allowed --------------------------------------------- */

static const struct accept_row comment_rows[] = {
    {"comments may stand around every token",
     T("/*a*/{/*b*/\"a\"/*c*/:/*d*/[/*e*/1/*f*/,/*g*/2/*h*/]/*i*/}/*j*/")},
    {"a line comment ends with its line", T("{ // x } \n \"a\": [1,2] }")},
    {"a line comment may be the last line", T("{\"a\":[1,2]} // end")},
    {"a line comment hides a block comment", T("// /*\n{\"a\":[1,2]}")},
    {"a block comment hides a line comment", T("/* // */{\"a\":[1,2]}")},
    {"a block comment may be empty", T("/**/{\"a\":[1,2]}/***/")},
    {"a block comment spans lines", T("/*\r\n\t*\n*/{\"a\":[1,2]}")},
    {"comments hold any language",
     T("// \xE4\xB8\xAD \xF0\x9F\x94\x8B\n{\"a\":[1,2]}")},
    {"quotes in comments begin nothing", T("{\"a\"/* \" */: // \"\n[1,2]}")},
};

static void comment_row(void **state)
{
  const struct accept_row *r = *state;
  struct arena arena;
  struct sim_error err;
  const struct json *root = NULL;
  arena_init(&arena);
  assert_int_equal(parse(&arena, r->text, r->length, true, &root, &err),
                   SIM_OK);
  const struct json *list = json_get(root, "a");
  int64_t second;
  assert_non_null(list);
  assert_int_equal(list->count, 2);
  assert_true(json_integer(list->child->next, &second));
  assert_int_equal(second, 2);
  arena_free(&arena);
}

static void slashes_in_strings_begin_no_comment(void **state)
{
  (void)state;
  struct arena arena;
  struct sim_error err;
  const struct json *root = NULL;
  arena_init(&arena);
  assert_int_equal(
      parse(&arena, T("\"http://x /* y */ \\\" // z\""), true, &root, &err),
      SIM_OK);
  assert_string_equal(root->text, "http://x /* y */ \" // z");
  arena_free(&arena);
}

/* --- limits -------------------------------------------------------------- */

/* `depth` brackets of one kind, and as many closing ones. */
static enum sim_status parse_nested(struct arena *arena, const char *open,
                                    const char *close, size_t depth,
                                    struct sim_error *err)
{
  char text[4096] = "";
  const struct json *root;
  for (size_t i = 0; i < depth; i++) {
    strcat(text, open);
  }
  if (open[0] == '{') strcat(text, "0");
  for (size_t i = 0; i < depth; i++) {
    strcat(text, close);
  }
  return parse(arena, text, strlen(text), false, &root, err);
}

static void nesting_of_64_is_accepted_and_65_is_not(void **state)
{
  (void)state;
  struct arena arena;
  struct sim_error err;
  arena_init(&arena);
  assert_int_equal(parse_nested(&arena, "[", "]", 64, &err), SIM_OK);
  assert_int_equal(parse_nested(&arena, "{\"a\":", "}", 64, &err), SIM_OK);
  assert_int_equal(parse_nested(&arena, "[", "]", 65, &err), SIM_LIMIT);
  assert_int_equal(err.line, 1);
  assert_int_equal(err.column, 65);
  assert_string_equal(err.message, "is one level too deep; expected at most "
                                   "64");
  assert_int_equal(parse_nested(&arena, "{\"a\":", "}", 65, &err), SIM_LIMIT);
  assert_int_equal(err.column, 64 * 5 + 1);
  arena_free(&arena);
}

static void nesting_side_by_side_is_not_deep(void **state)
{
  (void)state;
  struct arena arena;
  struct sim_error err;
  const struct json *root;
  char text[1024] = "[";
  arena_init(&arena);
  for (int i = 0; i < 100; i++) {
    strcat(text, "[{}],");
  }
  strcat(text, "0]");
  assert_int_equal(parse(&arena, text, strlen(text), false, &root, &err),
                   SIM_OK);
  assert_int_equal(root->count, 101);
  arena_free(&arena);
}

/* A list of `count` zeros, all of them on one line. */
static enum sim_status parse_zeros(size_t count, struct sim_error *err)
{
  struct arena arena;
  const struct json *root;
  size_t length = 2 * count + 1;
  char *text = malloc(length);
  assert_non_null(text);
  for (size_t i = 0; i < count; i++) {
    text[2 * i] = i == 0 ? '[' : ',';
    text[2 * i + 1] = '0';
  }
  text[2 * count] = ']';
  arena_init(&arena);
  enum sim_status status =
      json_parse(&arena, "case.json", text, length, false, &root, err);
  arena_free(&arena);
  free(text);
  return status;
}

static void more_values_than_the_limit_are_refused(void **state)
{
  (void)state;
  struct sim_error err;
  assert_int_equal(parse_zeros(JSON_MAX_VALUES - 1, &err), SIM_OK);
  assert_int_equal(parse_zeros(JSON_MAX_VALUES, &err), SIM_LIMIT);
  assert_int_equal(err.line, 1);
  assert_int_equal(err.column, 2 * JSON_MAX_VALUES);
}

/* A million keys, of which the last is the first again: found at once. */
static void duplicates_are_found_among_many_keys(void **state)
{
  (void)state;
  enum { KEYS = 500000, ROW = 16 };
  struct arena arena;
  struct sim_error err;
  const struct json *root;
  char *text = malloc((size_t)KEYS * ROW + 2);
  assert_non_null(text);
  size_t length = 0;
  for (int i = 0; i < KEYS; i++) {
    int key = i == KEYS - 1 ? 0 : i;
    length += (size_t)snprintf(text + length, ROW + 1, "%c\"%d\":0\n",
                               i == 0 ? '{' : ',', key);
  }
  text[length++] = '}';
  arena_init(&arena);
  assert_int_equal(
      json_parse(&arena, "case.json", text, length, false, &root, &err),
      SIM_KEY);
  assert_int_equal(err.line, KEYS);
  assert_int_equal(err.column, 2);
  assert_string_equal(err.path, "0");
  arena_free(&arena);
  free(text);
}

static void a_text_above_the_limit_is_refused(void **state)
{
  (void)state;
  struct arena arena;
  struct sim_error err;
  const struct json *root;
  size_t length = (size_t)JSON_MAX_BYTES + 1;
  char *text = malloc(length);
  assert_non_null(text);
  memset(text, ' ', length);
  text[0] = '1';
  arena_init(&arena);
  assert_int_equal(
      json_parse(&arena, "case.json", text, length - 1, false, &root, &err),
      SIM_OK);
  assert_int_equal(
      json_parse(&arena, "case.json", text, length, false, &root, &err),
      SIM_LIMIT);
  assert_int_equal(err.line, 1);
  arena_free(&arena);
  free(text);
}

int main(void)
{
  static const struct CMUnitTest singles[] = {
      cmocka_unit_test(slashes_in_strings_begin_no_comment),
      cmocka_unit_test(nesting_of_64_is_accepted_and_65_is_not),
      cmocka_unit_test(nesting_side_by_side_is_not_deep),
      cmocka_unit_test(more_values_than_the_limit_are_refused),
      cmocka_unit_test(duplicates_are_found_among_many_keys),
      cmocka_unit_test(a_text_above_the_limit_is_refused),
  };
  struct CMUnitTest tests[ROWS_COUNT(accept_rows) + ROWS_COUNT(refuse_rows) +
                          ROWS_COUNT(comment_rows)];
  size_t n = 0;
  n += ROWS_ADD(tests + n, accept_row, accept_rows);
  n += ROWS_ADD(tests + n, refuse_row, refuse_rows);
  n += ROWS_ADD(tests + n, comment_row, comment_rows);
  assert_int_equal(n, ROWS_COUNT(tests));
  int failed = cmocka_run_group_tests_name("rows", tests, NULL, NULL);
  return failed + cmocka_run_group_tests_name("singles", singles, NULL, NULL);
}

/* Where a text stops being JSON, and what is said about it.
 *
 * The grammar is RFC 8259; each row begins with the section it is taken
 * from. "7493" is RFC 7493 (I-JSON), for what RFC 8259 leaves open and this
 * reader refuses; "3629" is RFC 3629 (UTF-8). Section numbers are from
 * memory. "ours" is a rule of this program. */
#include <stdlib.h>
#include <string.h>

#include "base/arena.h"
#include "base/json.h"
#include "rows.h"

/* A literal that may contain zero bytes. */
#define T(literal) literal, sizeof(literal) - 1

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
  /* Exactly as long, so that a sanitizer sees a read beyond it. */
  char *exact = malloc(r->length > 0 ? r->length : 1);
  assert_non_null(exact);
  memcpy(exact, r->text, r->length);
  arena_init(&arena);
  enum sim_status status = json_parse(&arena, "case.json", exact, r->length,
                                      r->comments, &root, &err);
  free(exact);
  assert_int_not_equal(status, SIM_OK);
  assert_int_equal(status, err.status);
  assert_int_equal(status,
                   strstr(r->error, "duplicate") ? SIM_KEY : SIM_SYNTAX);
  assert_null(root);
  assert_string_equal(sim_error_text(&err, text, sizeof text), r->error);
  arena_free(&arena);
}

int main(void)
{
  struct CMUnitTest tests[ROWS_COUNT(refuse_rows)];
  ROWS_ADD(tests, refuse_row, refuse_rows);
  return cmocka_run_group_tests(tests, NULL, NULL);
}

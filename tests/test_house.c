/* Rules of the house that are not about includes: lengths, words, the names
 * of parts, and what lies at the top of the tree. Each rule is tried on small
 * files first, then read over the tree. */
#include <stdlib.h>
#include <string.h>

#include "rows.h"
#include "source_rules.h"

/* --- the rules, on small files ------------------------------------------- */

/* The same line as often as it takes. */
#define LINES_10(s) s s s s s s s s s s
#define LINES_50(s) LINES_10(s) LINES_10(s) LINES_10(s) LINES_10(s) LINES_10(s)

static void about_x(const char *path, const char *text, struct complaints *c)
{
  rule_parts(path, text, "plain", c);
}

static void about_x_y(const char *path, const char *text, struct complaints *c)
{
  rule_parts(path, text, "plain-banked", c);
}

static const struct rule_row {
  const char *name;
  source_visitor *rule;
  const char *path;
  const char *text;
  const char *complaint; /* "" for none */
} rule_rows[] = {
    {"a function may have 60 lines", rule_lengths, "sim/base/a.c",
     "int f(void)\n{\n" LINES_50("a();\n") "a();\na();\na();\na();\na();\na()"
                                           ";\na();\n}\n",
     ""},
    {"a function of 61 lines is too long", rule_lengths, "sim/base/a.c",
     "\nint g;\n\nint f(int x,\n      int y)\n{\n" LINES_50(
         "a();\n") "\na();\na();\na();\na();\na();\na();\n}\n",
     "sim/base/a.c:4: a function of 61 lines; at most 60\n"},
    {"the comment above is not the function", rule_lengths, "sim/base/a.c",
     "/*" LINES_50("\n") "*/\nint f(void)\n{\n" LINES_10("a();\n") "}\n", ""},
    {"a long table is no function", rule_lengths, "sim/base/a.c",
     "int t[] = {\n" LINES_50("1,\n") LINES_10("1,\n") "};\n", ""},
    {"two functions are not one", rule_lengths, "sim/base/a.c",
     "int f(void)\n{\n" LINES_50("a();\n") "}\n"
                                           "int g(void)\n{\n" LINES_50(
                                               "a();\n") "}\n",
     ""},
    {"a file may have 500 lines", rule_lengths, "tests/a.h",
     LINES_10(LINES_50("\n")), ""},
    {"a file of 501 lines is too long", rule_lengths, "tests/a.h",
     LINES_10(LINES_50("\n")) "\n", "tests/a.h: 501 lines; at most 500\n"},
    {"other files than C may be long", rule_lengths, "models/a.json",
     LINES_10(LINES_50("\n")) "\n", ""},
    {"structs are not typedef'd", rule_wording, "sim/base/a.h",
     "typedef struct a b;\n", "sim/base/a.h:1: typedef of a struct\n"},
    {"enums are not typedef'd", rule_wording, "sim/base/a.h",
     "int c;\ntypedef enum\n{ A } b;\n",
     "sim/base/a.h:2: typedef of a enum\n"},
    {"a function's type may be typedef'd", rule_wording, "sim/base/a.h",
     "typedef enum a (*b)(struct c *d);\n", ""},
    {"integers may be typedef'd", rule_wording, "sim/base/a.h",
     "typedef unsigned structural;\n", ""},
    {"comments do not end with the line", rule_wording, "sim/base/a.c",
     "/* a */\nint b; // c\n",
     "sim/base/a.c:2: a comment to the end of the line\n"},
    {"slashes in texts and comments are none", rule_wording, "sim/base/a.c",
     "/* // */ \"\\\"//\" '\"' \"//\";\n", ""},
    {"nothing in sim counts in floating point", rule_integers, "sim/board/a.c",
     "int a;\ndouble b;\n", "sim/board/a.c:2: says double\n"},
    {"a word in a comment counts nothing", rule_integers, "sim/board/a.c",
     "/* in double quotes */ \"float\" int doubles;\n", ""},
    {"no notes about what is not done", rule_notes, "models/a.json",
     "{\n\"a\": \"TO"
     "DO: b\" }\n",
     "models/a.json:2: says TO"
     "DO\n"},
    {"a longer word is no such note", rule_notes, "sim/base/a.c",
     "FIX"
     "MES a_XX"
     "X\n",
     ""},
    {"a part's file is not named", about_x, "sim/api/a.c",
     "/* models/plain.json */\n", "sim/api/a.c:1: names the part plain\n"},
    {"a part's name is no text of the program", about_x, "sim/api/a.c",
     "\nstrcmp(a, \"plain\")\n", "sim/api/a.c:2: names the part plain\n"},
    {"a plain word is no name of a part", about_x, "sim/api/a.c",
     "/* plain */ \"plain words\"\n", ""},
    {"a name of several words is one everywhere", about_x_y, "sim/api/a.c",
     "/* as on plain-banked */\n",
     "sim/api/a.c:1: names the part plain-banked\n"},
    {"tests may name parts", about_x_y, "tests/a.c", "plain-banked\n", ""},
};

static void rule_row(void **state)
{
  const struct rule_row *row = *state;
  struct complaints c;
  complaints_open(&c);
  row->rule(row->path, row->text, &c);
  assert_string_equal(complaints_text(&c), row->complaint);
  complaints_close(&c);
}

/* --- the rules, on the tree ---------------------------------------------- */

static void keeps_the_rules(const char *path, const char *text,
                            struct complaints *c)
{
  rule_lengths(path, text, c);
  rule_wording(path, text, c);
  rule_integers(path, text, c);
  rule_notes(path, text, c);
}

static void the_tree_keeps_the_rules(void **state)
{
  (void)state;
  static const char *const folders[] = {"sim", "tests", "images", "models",
                                        "traces"};
  struct complaints c;
  complaints_open(&c);
  for (size_t i = 0; i < ROWS_COUNT(folders); i++) {
    assert_true(sources_visit(folders[i], keeps_the_rules, &c) > 0);
  }
  assert_true(complaints_end(&c));
}

/* Ask rule_parts about each part that has a file. Returns how many. */
static unsigned each_part(const char *path, const char *text,
                          struct complaints *c)
{
  char **names;
  unsigned parts = 0;
  size_t count = sources_names("models", &names);
  for (size_t i = 0; i < count; i++) {
    if (source_ends(names[i], ".json") &&
        !source_ends(names[i], ".schema.json")) {
      names[i][strlen(names[i]) - strlen(".json")] = '\0';
      rule_parts(path, text, names[i], c);
      parts++;
    }
    free(names[i]);
  }
  free(names);
  return parts;
}

static void names_no_part(const char *path, const char *text,
                          struct complaints *c)
{
  assert_true(each_part(path, text, c) > 0);
}

static void the_program_knows_no_part_by_name(void **state)
{
  (void)state;
  struct complaints c;
  complaints_open(&c);
  assert_true(sources_visit("sim", names_no_part, &c) > 0);
  assert_true(complaints_end(&c));
}

/* --- the top of the tree ------------------------------------------------- */

static const char *const top[] = {
    "CMakeLists.txt", "DEVELOPERS.md", "LICENSE", "README.md", "images",
    "models",         "sim",           "tests",   "traces"};

static void the_top_of_the_tree_holds_nothing_else(void **state)
{
  (void)state;
  struct complaints c;
  char **names;
  complaints_open(&c);
  size_t next = 0, count = sources_names("", &names);
  for (size_t i = 0; i < count; i++) {
    for (; next < ROWS_COUNT(top) && strcmp(top[next], names[i]) < 0; next++) {
      complain(&c, top[next], 0, "is missing at the top of the tree");
    }
    if (next < ROWS_COUNT(top) && strcmp(top[next], names[i]) == 0) {
      next++;
    } else if (strncmp(names[i], "build", strlen("build")) != 0) {
      complain(&c, names[i], 0, "does not belong at the top of the tree");
    }
    free(names[i]);
  }
  free(names);
  for (; next < ROWS_COUNT(top); next++) {
    complain(&c, top[next], 0, "is missing at the top of the tree");
  }
  assert_true(complaints_end(&c));
}

int main(void)
{
  struct CMUnitTest tests[ROWS_COUNT(rule_rows) + 3] = {
      cmocka_unit_test(the_tree_keeps_the_rules),
      cmocka_unit_test(the_program_knows_no_part_by_name),
      cmocka_unit_test(the_top_of_the_tree_holds_nothing_else)};
  ROWS_ADD(tests + 3, rule_row, rule_rows);
  return cmocka_run_group_tests(tests, NULL, NULL);
}

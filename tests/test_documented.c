/* Every word that a table of the program defines is told in DEVELOPERS.md:
 * the first word of each row of each .def file, and the words of statuses.
 *
 * A section is what follows a heading up to the next one. The table whose
 * words it tells is named in it as `sim/describe/verbs.def`, say, and each
 * word stands in it between backticks. Several sections may share a table,
 * and several tables a section. */
#include <stdlib.h>
#include <string.h>

#include "rows.h"
#include "source_text.h"

#define DOCUMENT "DEVELOPERS.md"

/* A file, and the words that are to be told of it. */
struct vocabulary {
  const char *path;
  char *words[128];
  size_t count;
};

/* --- the document -------------------------------------------------------- */

/* The heading after `p`, or the end. */
static const char *section_end(const char *p)
{
  const char *heading = strstr(p, "\n#");
  return heading ? heading + 1 : p + strlen(p);
}

static bool says(const char *from, const char *to, const char *word)
{
  char quoted[128];
  int length = snprintf(quoted, sizeof quoted, "`%s`", word);
  assert_true(length > 0 && (size_t)length < sizeof quoted);
  const char *at = strstr(from, quoted);
  return at && at < to;
}

/* Is `word` told in a section that names `path`? */
static bool tells(const char *document, const char *path, const char *word)
{
  for (const char *p = document; *p; p = section_end(p)) {
    const char *end = section_end(p);
    if (says(p, end, path) && says(p, end, word)) return true;
  }
  return false;
}

static void judge(const char *document, const struct vocabulary *v,
                  struct complaints *c)
{
  if (!says(document, document + strlen(document), v->path)) {
    complain(c, DOCUMENT, 0, "no section names `%s`", v->path);
  }
  for (size_t i = 0; i < v->count; i++) {
    if (tells(document, v->path, v->words[i])) continue;
    complain(c, DOCUMENT, 0, "no section on %s tells `%s`", v->path,
             v->words[i]);
  }
}

/* --- the tables ---------------------------------------------------------- */

static void add_word(struct vocabulary *v, const char *word, size_t length)
{
  assert_true(v->count < ROWS_COUNT(v->words));
  v->words[v->count++] = strndup(word, length);
}

static void forget_words(struct vocabulary *v)
{
  while (v->count > 0) {
    free(v->words[--v->count]);
  }
}

/* The first text of each row, "X(NAME, "word", ...". */
static void read_rows(struct vocabulary *v, const char *text)
{
  char *code = source_code(text, SOURCE_KEEP_TEXTS);
  const char *row = source_find_word(code, "X");
  for (; row; row = source_find_word(row + 1, "X")) {
    if (row[1] != '(') continue;
    const char *word = strchr(row, '"');
    assert_non_null(word);
    add_word(v, word + 1, strcspn(word + 1, "\""));
  }
  free(code);
}

static void add_statuses(struct vocabulary *v)
{
#define X(name, word) add_word(v, word, strlen(word));
  SIM_STATUS_MAP(X)
#undef X
}

/* --- tests --------------------------------------------------------------- */

#define ROWS_AB                                                               \
  "/* a table: X(NAME, \"word\") */\nX(A, \"a-word\", \"A.\")\n"              \
  "X(B,\n  \"b\", \"B.\")\n"

static const struct document_row {
  const char *name;
  const char *document;
  const char *complaint; /* "" for none */
} document_rows[] = {
    {"every word of a row is told where the table is named",
     "# Words\n`x.def`: `b`, `a-word`\n", ""},
    {"sections may share the words of a table",
     "# A\n`x.def`: `b`\n# B\n`x.def`: `a-word`\n", ""},
    {"a word that is not told is missed", "# Words\n`x.def`: `a-word`\n",
     "DEVELOPERS.md: no section on x.def tells `b`\n"},
    {"a word without backticks is only a word", "`x.def`: `a-word` and b\n",
     "DEVELOPERS.md: no section on x.def tells `b`\n"},
    {"a word told elsewhere is another word",
     "# Words\n`x.def`: `a-word`\n\n## Others\n`b`\n",
     "DEVELOPERS.md: no section on x.def tells `b`\n"},
    {"a table that is not named is missed", "`a-word` `b`\n",
     "DEVELOPERS.md: no section names `x.def`\n"
     "DEVELOPERS.md: no section on x.def tells `a-word`\n"
     "DEVELOPERS.md: no section on x.def tells `b`\n"},
};

static void document_row(void **state)
{
  const struct document_row *row = *state;
  struct vocabulary v = {.path = "x.def"};
  struct complaints c;
  complaints_open(&c);
  read_rows(&v, ROWS_AB);
  judge(row->document, &v, &c);
  assert_string_equal(complaints_text(&c), row->complaint);
  forget_words(&v);
  complaints_close(&c);
}

/* As long as there is none, it tells nothing. */
static char *developers(void)
{
  char *document = source_read(DOCUMENT);
  return document ? document : strdup("");
}

static void visit_table(const char *path, const char *text,
                        struct complaints *c)
{
  if (!source_ends(path, ".def")) return;
  struct vocabulary v = {.path = path};
  char *document = developers();
  read_rows(&v, text);
  assert_true(v.count > 0);
  judge(document, &v, c);
  forget_words(&v);
  free(document);
}

static void developers_tells_every_word_of_the_tables(void **state)
{
  (void)state;
  struct complaints c;
  complaints_open(&c);
  sources_visit("sim", visit_table, &c);
  assert_true(complaints_end(&c));
}

static void developers_tells_every_status(void **state)
{
  (void)state;
  struct vocabulary v = {.path = "sim/base/status.h"};
  struct complaints c;
  complaints_open(&c);
  char *document = developers();
  add_statuses(&v);
  judge(document, &v, &c);
  forget_words(&v);
  free(document);
  assert_true(complaints_end(&c));
}

int main(void)
{
  struct CMUnitTest tests[ROWS_COUNT(document_rows) + 2] = {
      cmocka_unit_test(developers_tells_every_word_of_the_tables),
      cmocka_unit_test(developers_tells_every_status)};
  ROWS_ADD(tests + 2, document_row, document_rows);
  return cmocka_run_group_tests(tests, NULL, NULL);
}

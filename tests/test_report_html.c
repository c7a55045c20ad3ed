/* The page of a run, from outside: what it says, and that nothing in a file
 * becomes part of it.
 *
 * What is markup: HTML Living Standard, 13.1.2; that a policy of
 * "default-src 'none'" forbids requests: Content Security Policy Level 3. */
#include "program.h"
#include "report/escape.h"
#include "result_fixture.h"

/* --- texts --------------------------------------------------------------- */

static const struct escape_row {
  const char *name, *text, *markup;
} escape_rows[] = {
    {"plain text stays", "a b", "a b"},
    {"no text becomes a tag", "<script>", "&lt;script&gt;"},
    {"no text becomes a reference", "&amp;", "&amp;amp;"},
    {"no text ends an attribute", "\"x'", "&quot;x&#39;"},
    {"control characters are shown", "a\x1b[2J\x07", "a?[2J?"},
    {"bytes that are no UTF-8 are shown", "\xff<", "?&lt;"},
    {"other letters stay", "caf\xc3\xa9", "caf\xc3\xa9"},
};

static void write_escaped(FILE *to, const void *text)
{
  escape_text(to, text);
}

static void a_text_is_no_markup(void **state)
{
  const struct escape_row *row = *state;
  char *seen = fixture_capture(write_escaped, row->text);
  assert_string_equal(seen, row->markup);
  free(seen);
}

/* --- a page -------------------------------------------------------------- */

#define DEMO "traces/still-boots-rom.jsonc"

static const struct said_row {
  const char *name, *text;
} said_rows[] = {
    {"the verdict", "<strong>held: all 5 expectations.</strong> 4 starts"},
    {"which reset kept the latch",
     "the reset of this start, pin, keeps it</dd>"},
    {"since when it is stale", "</span>, in step 4 (write, programmed), and "
                               "until <span class=\"nb\">"},
    {"which rule decided",
     "<dt>because</dt><dd>rule 3, latch-blank, is the first that holds: "},
    {"what mends it", "<li>an option reload, even one that changes nothing"},
    {"what drove a net",
     "the boot ROM, in rom</td><td>tx_led, tied to ground, through 1 kohm"},
    {"that nothing fought", "No contention: no two drivers disagreed"},
    {"what would come of each reset", "<tr><th scope=\"row\">power cycle</th>"
                                      "<td>application</td>"},
    {"what is assumed", "assumed numbers stand behind this run"},
    {"the cautions", "A simulation is not the board."},
    {"that it may not ask for anything", "content=\"default-src 'none'; "},
};

/* The page of the demonstration, written once. */
static const char *demonstration(void)
{
  static struct program p;
  if (p.out[0] != '\0') return p.out;
  strcpy(p.folder, "/tmp/firstfetch-html-XXXXXX");
  assert_non_null(mkdtemp(p.folder));
  program_run(&p, "run " DEMO " --html -");
  assert_string_equal(p.err, "");
  assert_int_equal(p.exit_code, 0);
  char command[100];
  snprintf(command, sizeof command, "rm -r '%s'", p.folder);
  assert_int_equal(system(command), 0);
  return p.out;
}

static void the_page_says(void **state)
{
  const struct said_row *row = *state;
  if (!strstr(demonstration(), row->text))
    fail_msg("not in it: %s", row->text);
}

static void the_same_run_is_the_same_page(void **state)
{
  struct program *p = *state;
  program_shell(p, "\"$F\" run " DEMO " --html $D/a.html >$D/a.txt;"
                   "cd /; \"$F\" run $OLDPWD/" DEMO
                   " --models $OLDPWD/models --html - | cmp - $D/a.html");
  assert_string_equal(p->err, "");
  assert_string_equal(p->out, "");
  assert_int_equal(p->exit_code, 0);
}

static void several_cases_are_one_page(void **state)
{
  struct program *p = *state;
  program_run(p, "run " DEMO " traces/mended-by-reload.jsonc --html -");
  assert_int_equal(p->exit_code, 0);
  assert_contains(p->out, "<h1>2 cases</h1>");
  assert_contains(p->out, "<section id=\"c1-case\"");
  assert_contains(p->out, "<section id=\"c2-case\"");
}

static void several_parts_are_side_by_side(void **state)
{
  struct program *p = *state;
  program_run(p, "run " DEMO " --part latched,checked --compare --html -");
  assert_int_equal(p->exit_code, 0);
  assert_contains(p->out, "They differ from step 5 on.");
  assert_contains(p->out, "pin: options keep, latch keep, straps sample, "
                          "alias select");
  assert_contains(p->out, "<td>afresh</td>");
}

/* The boot ROM shorts P7 in start 1; nothing drives it afterwards. */
static void a_fight_is_told_where_it_was(void **state)
{
  struct program *p = *state;
  program_run(p, "run traces/rom-shorts-a-pin.jsonc --html -");
  assert_int_equal(p->exit_code, 0);
  assert_contains(p->out, "Two drivers disagreed on a net.</p>");
  assert_contains(p->out, "<td>stitch, tied to ground</td><td><strong>yes");
  assert_contains(p->out, "pulled up through 10 kohm, driven by sensor, "
                          "behind 40 ohm</td><td>no</td>");
  assert_contains(p->out, "In this run two drivers disagreed on a net.");
}

/* A case and a part whose every free text is an attack; names are letters and
 * digits only. */
static const char hostile_case[] =
    "{ \"case\": \"</title><script>alert(1)</script>\",\n"
    "  \"part\": \"hostile-part.json\",\n"
    "  \"steps\": [ { \"power\": \"on\", \"label\": \"\\\"><svg onload=x>\" "
    "},\n"
    "    { \"expect\": { \"region\": \"flash\", \"within\": \"1ms\" }, "
    "\"label\": \"<img src=x onerror=alert(2)>\" } ] }\n";
static const char hostile_part[] =
    "{ \"part\": \"some\", \"about\": \"<b>&lt;</p></main>\",\n"
    "  \"core\": { \"kind\": \"cortex-m0\" },\n"
    "  \"memory\": [\n"
    "    { \"name\": \"flash\", \"kind\": \"flash\", \"at\": \"0x10000000\", "
    "\"size\": \"8KiB\" },\n"
    "    { \"name\": \"ram\", \"kind\": \"ram\", \"at\": \"0x20000000\", "
    "\"size\": \"4KiB\" } ] }\n";

static void a_hostile_case_stays_text(void **state)
{
  struct program *p = *state;
  static const char *const attacks[] = {"<script>alert", "<img src",
                                        "<svg on",       "<b>",
                                        "onload=x>\"",   "</p></main>"};
  program_write(p, "hostile.json", hostile_case);
  program_write(p, "hostile-part.json", hostile_part);
  program_shell(p, "\"$F\" run $D/hostile.json --html -;"
                   "\"$F\" run $D/hostile.json --svg -");
  assert_string_equal(p->err, "");
  assert_int_equal(p->exit_code, 0);
  assert_contains(p->out, "&lt;script&gt;alert(1)&lt;/script&gt;");
  assert_contains(p->out, "&lt;img src=x onerror=alert(2)&gt;");
  assert_contains(p->out, "&lt;b&gt;&amp;lt;&lt;/p&gt;");
  for (size_t i = 0; i < ROWS_COUNT(attacks); i++) {
    if (strstr(p->out, attacks[i])) fail_msg("%s is in it", attacks[i]);
  }
}

static void a_picture_is_of_one_run(void **state)
{
  struct program *p = *state;
  program_run(p, "run " DEMO " --part latched,checked --svg $D/a.svg");
  assert_int_equal(p->exit_code, 2);
  assert_contains(p->err, "--svg: is for one run; expected one case and one "
                          "part");
}

int main(void)
{
  static const struct CMUnitTest programs[] = {
      IN_FOLDER(the_same_run_is_the_same_page),
      IN_FOLDER(several_cases_are_one_page),
      IN_FOLDER(several_parts_are_side_by_side),
      IN_FOLDER(a_fight_is_told_where_it_was),
      IN_FOLDER(a_hostile_case_stays_text),
      IN_FOLDER(a_picture_is_of_one_run),
  };
  struct CMUnitTest tests[ROWS_COUNT(programs) + ROWS_COUNT(escape_rows) +
                          ROWS_COUNT(said_rows)];
  memcpy(tests, programs, sizeof programs);
  size_t count = ROWS_COUNT(programs);
  count += ROWS_ADD(tests + count, a_text_is_no_markup, escape_rows);
  count += ROWS_ADD(tests + count, the_page_says, said_rows);
  return _cmocka_run_group_tests("html", tests, count, NULL, NULL);
}

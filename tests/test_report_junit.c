/* JUnit-style XML: what readers of it agree on. There is no standard; the
 * elements are those of common practice. tests/junit_readers.sh has a parser
 * read it. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "report/junit.h"
#include "report/xml.h"
#include "result_fixture.h"

static void write_both(FILE *to, const void *context)
{
  (void)context;
  struct junit document;
  junit_begin(&document);
  junit_add(&document, &fixture_latched);
  junit_add(&document, &fixture_checked);
  assert_true(junit_write(&document, to));
  junit_free(&document);
}

static void write_stopped(FILE *to, const void *context)
{
  (void)context;
  struct result stopped = fixture_checked;
  stopped.stopped = "time-limit";
  struct junit document;
  junit_begin(&document);
  junit_add(&document, &stopped);
  assert_true(junit_write(&document, to));
  junit_free(&document);
}

static void test_suites(void **state)
{
  (void)state;
  char *xml = fixture_capture(write_both, NULL);
  assert_contains(xml, "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n"
                       "<testsuites name=\"firstfetch\" tests=\"3\" "
                       "failures=\"1\" errors=\"0\">\n");
  assert_contains(xml, " on latched\" tests=\"3\" failures=\"1\" "
                       "errors=\"0\" skipped=\"0\" "
                       "time=\"0.066026250000\">\n");
  assert_contains(xml, " on checked\" tests=\"0\" failures=\"0\" ");
  free(xml);
}

static void test_facts(void **state)
{
  (void)state;
  char *xml = fixture_capture(write_both, NULL);
  assert_contains(xml, "<property name=\"part\" value=\"latched\"/>");
  assert_contains(xml, "<property name=\"assumed\" value=\"12\"/>");
  assert_contains(xml, "<property name=\"start 3\" value=\"at_ps 60020500000; "
                       "cause pin; latch blank; stale yes; rule latch-blank; "
                       "region rom; pc 0x06000140; outcome reset; "
                       "rom_instructions 5000\"/>");
  assert_contains(xml, "<property name=\"finding 2\" value=\"rom-ran: ");
  free(xml);
}

static void test_tests(void **state)
{
  (void)state;
  char *xml = fixture_capture(write_both, NULL);
  assert_contains(xml, "<testcase classname=\"still-boots-rom.latched\" "
                       "name=\"steps[1] region rom, rule latch-blank, "
                       "outcome waiting within 3 ms\"/>");
  assert_contains(xml, "name=\"steps[6] after the pin reset: region flash");
  assert_contains(xml, "<failure type=\"expectation\" "
                       "message=\"region rom, latch blank, stale yes\">"
                       "line 18: asked ");
  assert_contains(xml, "name=\"never: contention\"/>");
  assert_null(strstr(xml, "/somewhere/else"));
  free(xml);
}

/* Nothing failed, and still it is no success. */
static void test_stopped(void **state)
{
  (void)state;
  char *xml = fixture_capture(write_stopped, NULL);
  assert_contains(xml, "tests=\"1\" failures=\"0\" errors=\"1\"");
  assert_contains(xml, "<error type=\"stopped\" message=\"time-limit\"/>");
  free(xml);
}

static const struct {
  const char *name, *text, *xml;
} escaped[] = {
    {"what is no markup stays", "a b", "a b"},
    {"markup does not", "<a b=\"c\" d='e'>&",
     "&lt;a b=&quot;c&quot; d=&#39;e"
     "&#39;&gt;&amp;"},
    {"an attribute keeps the end of a line", "a\nb", "a&#10;b"},
    /* Extensible Markup Language (XML) 1.0, production 2: Char (from memory)
     */
    {"no character that XML 1.0 lacks", "\x01\xEF\xBF\xBE\xEF\xBF\xBF", "???"},
    {"UTF-8 stays", "\xC3\xA4\xE2\x82\xAC", "\xC3\xA4\xE2\x82\xAC"},
    {"what is none does not", "\xC3(\xFF", "?(?"},
};

static void write_escaped(FILE *to, const void *context)
{
  xml_text(to, context);
}

static void test_escaped(void **state)
{
  (void)state;
  for (size_t i = 0; i < sizeof escaped / sizeof escaped[0]; i++) {
    char *xml = fixture_capture(write_escaped, escaped[i].text);
    if (strcmp(xml, escaped[i].xml) != 0)
      fail_msg("%s: %s", escaped[i].name, xml);
    free(xml);
  }
}

int main(void)
{
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(test_suites),  cmocka_unit_test(test_facts),
      cmocka_unit_test(test_tests),   cmocka_unit_test(test_stopped),
      cmocka_unit_test(test_escaped),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}

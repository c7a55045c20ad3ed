/* A region is asked for by its name; on a part that calls no region so, by its
 * kind. */
#include "played.h"

static const struct row {
  const char *name, *part, *asked, *region;
  bool is, there;
} rows[] = {
    {"a region is what it is called", "latched", "flash", "flash", true, true},
    {"it is not another one", "latched", "rom", "flash", false, true},
    {"a bank is a flash", "latched-banked", "flash", "bank_a", true, true},
    {"so is the other", "latched-banked", "flash", "bank_b", true, true},
    {"a bank is itself", "latched-banked", "bank_a", "bank_a", true, true},
    {"it is not the other bank", "latched-banked", "bank_a", "bank_b", false,
     true},
    {"a bank is no ROM", "latched-banked", "rom", "bank_a", false, true},
    {"a name that nobody knows", "latched", "bank_a", "flash", false, false},
    {"nothing is no region", "latched", "flash", "none", false, true},
};

static void region_row(void **state)
{
  struct played_bench *b = *state;
  const struct row *r = b->row;
  const struct part *part = played_part(
      b, played_format(b, FIRSTFETCH_ROOT "/models/%s.json", r->part));
  assert_int_equal(part_region_is(part, r->asked, r->region), r->is);
  assert_int_equal(part_has_region(part, r->asked), r->there);
}

static const char banked_case[] =
    "{ \"case\": \"Any bank\", \"part\": \"latched-banked\",\n"
    "  \"images\": { \"app\": \"" FIRSTFETCH_ROOT
    "/images/logger/logger.elf\" },\n"
    "  \"never\": [ { \"never\": \"start in\", \"region\": \"flash\" } ],\n"
    "  \"steps\": [ { \"write\": \"app\", \"by\": \"preset\" },\n"
    "    { \"power\": \"on\", \"for\": \"2ms\" },\n"
    "    { \"expect\": { \"region\": \"flash\" } } ] }\n";

/* The same word in an expectation, which holds, and in a never, which is
 * broken. */
static void expectations_and_nevers_go_by_it(void **state)
{
  struct played_bench *b = *state;
  const char *file = played_text_file(b, "case.json", banked_case);
  struct play *play = played_prepare(
      played_case(b, file),
      played_part(b, FIRSTFETCH_ROOT "/models/latched-banked.json"));
  const struct result *r = play_run(play);
  assert_int_equal(r->held, 1);
  assert_int_equal(r->failed, 1);
  play_free(play);
}

int main(void)
{
  struct CMUnitTest tests[1 + ROWS_COUNT(rows)] = {
      PLAYED_TEST(expectations_and_nevers_go_by_it)};
  PLAYED_ADD(tests + 1, region_row, rows);
  return cmocka_run_group_tests(tests, NULL, NULL);
}

#include "report/text_glance.h"

#include <inttypes.h>
#include <stdio.h>
#include <string.h>

#include "describe/names.h"
#include "report/rows.h"
#include "report/text_parts.h"

enum { COLUMNS = 5, COLUMN_BYTES = 72, LEAD_BYTES = 256, WIDEST_LEAD = 66 };

/* So many starts in a row that are alike are told once. */
enum { WORTH_COUNTING = 3 };

static const char *const heads[COLUMNS] = {"start", "at", "cause", "latch",
                                           "region"};

/* --- the table ----------------------------------------------------------- */

static const char *latch_text(const struct start *s, char *text)
{
  if (!s->has_latch) return "-";
  snprintf(text, COLUMN_BYTES, "%s%s", latch_word(s->latch_programmed),
           s->stale ? ", stale" : "");
  return text;
}

static const char *cell(const struct start *s, unsigned column, char *text)
{
  switch (column) {
  case 0: snprintf(text, COLUMN_BYTES, "%5" PRIu32, s->number); return text;
  case 1: return units_text(text, COLUMN_BYTES, UNIT_TIME, s->at);
  case 2: return rows_why(s);
  case 3: return latch_text(s, text);
  default: return s->region;
  }
}

static size_t width(const struct result *r, unsigned column)
{
  size_t most = strlen(heads[column]);
  for (uint32_t i = 0; i < r->start_count; i++) {
    char text[COLUMN_BYTES];
    size_t length = strlen(cell(&r->starts[i], column, text));
    if (length > most) most = length;
  }
  return most < COLUMN_BYTES ? most : COLUMN_BYTES - 1;
}

/* The columns but the last, padded, as the lead of an item. `s` NULL: the
 * heads. */
static void put_lead(const struct start *s, const size_t widths[COLUMNS],
                     char lead[LEAD_BYTES])
{
  size_t used = 0;
  for (unsigned i = 0; i < COLUMNS; i++) {
    char text[COLUMN_BYTES];
    const char *shown = s ? cell(s, i, text) : heads[i];
    int length = snprintf(lead + used, LEAD_BYTES - used, "%-*.*s  ",
                          (int)widths[i], COLUMN_BYTES - 1, shown);
    used += (size_t)length < LEAD_BYTES - used ? (size_t)length
                                               : LEAD_BYTES - used - 1;
  }
}

static void put_row(struct page *page, const struct start *s,
                    const size_t widths[COLUMNS])
{
  char lead[LEAD_BYTES];
  put_lead(s, widths, lead);
  unsigned columns = (unsigned)strlen(lead);
  lead[columns - 1] = '\0'; /* the page puts one space itself */
  page_item(page, 0, columns < WIDEST_LEAD ? columns : 7, lead);
  page_say(page, s ? s->rule ? s->rule : "-" : "rule");
  page_end(page);
}

/* --- what it did --------------------------------------------------------- */

static void put_waiting(struct page *page, const struct start *s)
{
  if (s->waits_for_host) {
    page_say(page, "waiting for the host");
    return;
  }
  page_say(page, "waiting for something outside: polls ");
  if (s->waits_name) {
    page_say(page, s->waits_name);
  } else {
    page_address(page, s->waits_on);
  }
}

static void put_doing(struct page *page, const struct start *s)
{
  switch (start_doing(s)) {
  case OUTCOME_WAITING: put_waiting(page, s); break;
  case OUTCOME_SLEEPING: page_say(page, "sleeping"); break;
  case OUTCOME_HALTED:
    page_say(page, "halted by the probe");
    if (s->instructions == 0) page_say(page, " before the first instruction");
    break;
  case OUTCOME_LOCKUP: page_say(page, "lockup"); break;
  default: page_say(page, "running"); break;
  }
}

static void put_ended(struct page *page, const struct start *s)
{
  if (!start_was_ended(s)) return;
  page_say(page, s->outcome == OUTCOME_OFF        ? "; then power was lost"
                 : s->outcome == OUTCOME_HANDOVER ? "; then into the boot ROM"
                                                  : "; then reset");
}

static void put_pins(struct page *page, const struct start *s)
{
  const uint32_t room = sizeof s->pins / sizeof s->pins[0];
  for (uint32_t i = 0; i < s->pin_count && i < room; i++) {
    page_say(page, i == 0 ? "; drove " : ", ");
    page_say(page, s->pins[i].pin);
  }
  if (s->pin_count > room) {
    page_format(page, " and %" PRIu32 " more", s->pin_count - room);
  }
}

void text_doings(struct page *page, const struct start *s)
{
  if (s->landing.landed) {
    page_say(page, "landed in ");
    page_say(page, s->landing.region);
    page_say(page, "; ");
  }
  for (uint32_t i = 0; i < s->reached_count; i++) {
    page_say(page, i == 0 ? "reached " : ", ");
    page_say(page, s->reached[i]);
  }
  if (s->reached_count > 0) page_say(page, "; ");
  if (s->fault.exception) {
    page_say(page, s->fault.exception);
    page_say(page, "; ");
  }
  put_doing(page, s);
  put_ended(page, s);
  if (s->rom_instructions > 0) {
    page_format(page, "; %" PRIu64 " ROM instruction%s", s->rom_instructions,
                s->rom_instructions == 1 ? "" : "s");
  }
  put_pins(page, s);
}

/* --- the rules ----------------------------------------------------------- */

static bool was_told(const struct result *r, uint32_t start)
{
  for (uint32_t i = 0; i < start; i++) {
    if (r->starts[i].rule &&
        strcmp(r->starts[i].rule, r->starts[start].rule) == 0)
      return true;
  }
  return false;
}

static unsigned widest_rule(const struct result *r)
{
  size_t most = 0;
  for (uint32_t i = 0; i < r->start_count; i++) {
    if (!r->starts[i].rule) continue;
    size_t length = strlen(r->starts[i].rule);
    if (length > most) most = length;
  }
  return (unsigned)(most < 20 ? most : 20);
}

static void put_rules(struct page *page, const struct result *r,
                      enum text_words words)
{
  unsigned hang = widest_rule(r) + 4;
  for (uint32_t i = 0; i < r->start_count; i++) {
    const struct start *s = &r->starts[i];
    if (!s->rule || !s->rule_expert || was_told(r, i)) continue;
    page_item(page, 2, hang, s->rule);
    if (words != TEXT_NEWCOMER) page_say(page, s->rule_expert);
    if (words == TEXT_BOTH) page_say(page, ". ");
    if (words != TEXT_EXPERT) page_say(page, s->rule_newcomer);
    page_end(page);
  }
}

/* --- the same again ------------------------------------------------------ */

static bool same_text(const char *a, const char *b)
{
  return a == b || (a && b && strcmp(a, b) == 0);
}

static bool same_pins(const struct start *a, const struct start *b)
{
  const uint32_t room = sizeof a->pins / sizeof a->pins[0];
  if (a->pin_count != b->pin_count) return false;
  for (uint32_t i = 0; i < a->pin_count && i < room; i++) {
    if (strcmp(a->pins[i].pin, b->pins[i].pin) != 0) return false;
  }
  return true;
}

static bool same_course(const struct start *a, const struct start *b)
{
  if (a->reached_count != b->reached_count) return false;
  for (uint32_t i = 0; i < a->reached_count; i++) {
    if (strcmp(a->reached[i], b->reached[i]) != 0) return false;
  }
  return a->landing.landed == b->landing.landed &&
         same_text(a->landing.region, b->landing.region) &&
         same_text(a->fault.exception, b->fault.exception) &&
         a->outcome == b->outcome && start_doing(a) == start_doing(b) &&
         a->waits_on == b->waits_on &&
         (a->instructions == 0) == (b->instructions == 0) &&
         a->rom_instructions == b->rom_instructions;
}

/* True if two starts differ in number and time only, as told here. */
static bool alike(const struct start *a, const struct start *b)
{
  return strcmp(rows_why(a), rows_why(b)) == 0 &&
         a->has_latch == b->has_latch &&
         a->latch_programmed == b->latch_programmed && a->stale == b->stale &&
         same_text(a->rule, b->rule) && strcmp(a->region, b->region) == 0 &&
         same_course(a, b) && same_pins(a, b);
}

/* How many from `first` on are alike. */
static uint32_t alike_from(const struct result *r, uint32_t first)
{
  uint32_t count = 1;
  while (first + count < r->start_count &&
         alike(&r->starts[first], &r->starts[first + count])) {
    count++;
  }
  return count;
}

static void put_again(struct page *page, const struct start *last,
                      uint32_t times)
{
  page_item(page, 7, 7, "");
  page_format(page,
              "and the same %" PRIu32 " more times, to start %" PRIu32 " at ",
              times, last->number);
  text_time(page, last->at);
  page_end(page);
}

/* Returns how many starts it told. */
static uint32_t put_start(struct page *page, const struct result *r,
                          uint32_t i, const size_t widths[COLUMNS])
{
  uint32_t count = alike_from(r, i);
  put_row(page, &r->starts[i], widths);
  page_item(page, 7, 7, "");
  text_doings(page, &r->starts[i]);
  page_end(page);
  if (count < WORTH_COUNTING) return 1;
  put_again(page, &r->starts[i + count - 1], count - 1);
  return count;
}

void text_glance(struct page *page, const struct result *r,
                 enum text_words words)
{
  size_t widths[COLUMNS];
  for (unsigned i = 0; i < COLUMNS; i++) {
    widths[i] = width(r, i);
  }
  put_row(page, NULL, widths);
  for (uint32_t i = 0; i < r->start_count;) {
    i += put_start(page, r, i, widths);
  }
  page_gap(page);
  page_line(page, 0, "the rules that decided:");
  put_rules(page, r, words);
}

#include "report/text_start.h"

#include <inttypes.h>

#include "describe/names.h"
#include "describe/newcomer.h"
#include "report/answers.h"
#include "report/text_code.h"
#include "report/text_parts.h"

/* Where the left words begin, and the right ones. */
enum { INDENT = 2, HANG = 15 };

static void item(struct page *page, const char *lead)
{
  page_item(page, INDENT, HANG, lead);
}

static void put_head(struct page *page, const struct start *s)
{
  page_item(page, 0, 0, "");
  page_format(page, "start %" PRIu32 " in ", s->number);
  page_say(page, s->region);
  page_say(page, ", at ");
  text_time(page, s->at);
  page_say(page, ", ");
  text_step(page, s->step);
  page_end(page);
}

static void put_cause(struct page *page, const struct start *s,
                      enum text_words words)
{
  item(page, "cause");
  if (s->how == START_HANDOVER) {
    page_say(page, s->launched
                       ? "no reset: the boot ROM launched it for the host"
                       : "no reset: the program before it went there by "
                         "itself");
  } else if (s->how == START_PROBE) {
    page_say(page,
             "no reset: the probe set stack pointer, program counter and "
             "vector base, and let the core go");
  } else {
    page_say(page, cause_word(s->cause));
    page_say(page, ": ");
    page_say(page, cause_sentence(s->cause));
    if (words != TEXT_EXPERT) page_say(page, ". ");
    if (words != TEXT_EXPERT) page_say(page, cause_newcomer(s->cause));
  }
  page_end(page);
}

static void put_rule(struct page *page, const struct start *s,
                     enum text_words words)
{
  if (!s->rule) return;
  item(page, "rule");
  page_say(page, s->rule);
  if (s->rule_expert && words != TEXT_NEWCOMER) {
    page_say(page, ": ");
    page_say(page, s->rule_expert);
    if (words == TEXT_BOTH) page_say(page, ".");
  }
  if (s->rule_newcomer && words != TEXT_EXPERT) {
    page_say(page, words == TEXT_BOTH ? " " : ": ");
    page_say(page, s->rule_newcomer);
  }
  page_end(page);
}

static void put_latch(struct page *page, const struct start *s)
{
  item(page, "latch");
  if (!s->has_latch) {
    page_say(page, "none: this part makes no blank check");
  } else {
    page_say(page, latch_word(s->latch_programmed));
    page_say(page, s->stale ? " and stale: a fresh check would now say "
                            : ", and a fresh check would say the same");
    if (s->stale) page_say(page, latch_word(!s->latch_programmed));
  }
  page_end(page);
}

static void put_region(struct page *page, const struct start *s)
{
  item(page, "region");
  page_say(page, s->region);
  page_say(page, "; address 0 reads ");
  page_address(page, s->alias_word);
  page_end(page);
}

/* An address, and what is known of it. */
static void put_place(struct page *page, addr_t at, const char *symbol,
                      const char *source)
{
  page_address(page, at);
  if (symbol) {
    page_say(page, " ");
    page_say(page, symbol);
  }
  if (source) {
    page_say(page, " (");
    page_say(page, source);
    page_say(page, ")");
  }
}

static void put_first_fetch(struct page *page, const struct start *s)
{
  item(page, "first fetch");
  put_place(page, s->pc, s->symbol, s->source);
  if (s->how != START_HANDOVER) {
    page_say(page, "; stack pointer ");
    page_address(page, s->sp);
  }
  page_end(page);
}

static void put_reached(struct page *page, const struct start *s)
{
  if (s->reached_count == 0) return;
  item(page, "reached");
  for (uint32_t i = 0; i < s->reached_count; i++) {
    if (i > 0) page_say(page, ", ");
    page_say(page, s->reached[i]);
    page_say(page, " at ");
    text_time(page, s->reached_at[i]);
  }
  page_end(page);
}

/* What the trials have shown of a register that nothing describes. */
static void put_wanted(struct page *page, const struct start *s)
{
  unsigned bit = report_single_bit(s->waits_mask);
  if (!s->waits_tried) return;
  if (s->waits_mask == 0) {
    page_say(page, "; no bit that was tried lets it go");
  } else if (bit < 32) {
    page_format(page, "; bit %u as %u would let it go", bit,
                (unsigned)(s->waits_value >> bit) & 1);
  } else {
    page_say(page, "; bits ");
    page_address(page, s->waits_mask);
    page_say(page, " as ");
    page_address(page, s->waits_value);
    page_say(page, " would let it go");
  }
}

static void put_waiting(struct page *page, const struct start *s)
{
  page_say(page, s->waits_for_host ? "waiting for the host: polls "
                                   : "waiting for something outside: polls ");
  if (s->waits_name) {
    page_say(page, s->waits_name);
    page_say(page, " at ");
  }
  page_address(page, s->waits_on);
  page_say(page, " from ");
  put_place(page, s->waits_pc, NULL, s->waits_source);
  put_wanted(page, s);
}

static void put_halted(struct page *page, const struct start *s)
{
  page_say(page, "halted by the probe at ");
  put_place(page, s->stop_pc, NULL, s->stop_source);
  if (s->instructions == 0) page_say(page, ", before the first instruction");
}

static void put_exited(struct page *page, const struct start *s)
{
  page_format(page, "exited, status %" PRIu32 ", at ", s->exit_status);
  put_place(page, s->stop_pc, NULL, s->stop_source);
}

static void put_lockup(struct page *page, const struct start *s)
{
  page_say(page, "lockup at ");
  put_place(page, s->stop_pc, NULL, s->stop_source);
  page_say(page, ": a fault that nothing could handle; the core stands still "
                 "until a reset or the probe ends it");
}

static void put_fault(struct page *page, const struct start_fault *f)
{
  if (!f->exception) return;
  item(page, "fault");
  page_say(page, f->exception);
  page_say(page, " at ");
  put_place(page, f->pc, f->symbol, f->source);
  page_say(page, ", at ");
  text_time(page, f->at);
  page_end(page);
}

static void put_outcome(struct page *page, const struct start *s)
{
  item(page, "outcome");
  switch (start_doing(s)) {
  case OUTCOME_WAITING: put_waiting(page, s); break;
  case OUTCOME_SLEEPING:
    page_say(page, "sleeping until something wakes it");
    if (s->stop_source) {
      page_say(page, " at ");
      put_place(page, s->stop_pc, NULL, s->stop_source);
    }
    break;
  case OUTCOME_HALTED: put_halted(page, s); break;
  case OUTCOME_LOCKUP: put_lockup(page, s); break;
  case OUTCOME_EXITED: put_exited(page, s); break;
  default: page_say(page, "running to the last"); break;
  }
  page_end(page);
}

static void put_ended(struct page *page, const struct start *s)
{
  if (!start_was_ended(s)) return;
  item(page, "ended by");
  page_say(page, outcome_word(s->outcome));
  page_say(page, " at ");
  text_time(page, s->ended);
  if (s->outcome == OUTCOME_OFF) page_say(page, ": power was lost");
  if (s->outcome == OUTCOME_HANDOVER) {
    page_say(page, s->landing.landed
                       ? ": for the host, it launched what follows"
                       : ": execution went on elsewhere, without a reset");
  }
  page_end(page);
}

static void put_rom_ran(struct page *page, const struct start *s)
{
  item(page, "ROM ran");
  if (s->instructions == 0) {
    page_say(page, "no; nothing ran at all");
  } else {
    page_format(page, "%s; %" PRIu64 " of %" PRIu64 " instructions",
                s->rom_instructions > 0 ? "yes" : "no", s->rom_instructions,
                s->instructions);
  }
  page_end(page);
}

static void put_landing(struct page *page, const struct start *s)
{
  const struct landing *l = &s->landing;
  if (!l->landed) return;
  item(page, "landing");
  page_say(page, "left the boot ROM for ");
  page_say(page, l->region);
  page_say(page, ", ");
  put_place(page, l->pc, l->symbol, s->landing_source);
  page_say(page, ", at ");
  text_time(page, l->at);
  page_end(page);
}

static void put_pins(struct page *page, const struct start *s)
{
  const uint32_t room = sizeof s->pins / sizeof s->pins[0];
  item(page, "pins driven");
  if (s->pin_count == 0) page_say(page, "none");
  for (uint32_t i = 0; i < s->pin_count && i < room; i++) {
    if (i > 0) page_say(page, ", ");
    page_say(page, s->pins[i].pin);
    page_say(page, s->pins[i].high ? " high at " : " low at ");
    text_time(page, s->pins[i].at);
  }
  if (s->pin_count > room) {
    page_format(page, ", and %" PRIu32 " more", s->pin_count - room);
  }
  page_end(page);
}

void text_start_why(struct page *page, const struct start *start,
                    enum text_words words)
{
  put_cause(page, start, words);
  put_latch(page, start);
  put_rule(page, start, words);
  put_region(page, start);
}

void text_start_course(struct page *page, const struct start *start)
{
  put_first_fetch(page, start);
  put_landing(page, start);
  put_reached(page, start);
  put_fault(page, &start->fault);
  put_outcome(page, start);
  put_ended(page, start);
  put_rom_ran(page, start);
  put_pins(page, start);
}

void text_start(struct page *page, const struct start *start,
                enum text_words words)
{
  put_head(page, start);
  text_start_why(page, start, words);
  text_start_course(page, start);
  text_code(page, start);
}

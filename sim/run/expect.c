#include "run/expect.h"

#include <assert.h>
#include <inttypes.h>
#include <stdio.h>
#include <string.h>

#include "describe/names.h"
#include "describe/trace_kinds.h"
#include "run/engine.h"

/* --- pausing --- */

static void pause_run(void *context, const struct trace_record *r)
{
  struct machine *m = context;
  (void)r;
  if (m->expecting) m->trace.stop = true;
}

void expect_listen(struct machine *m)
{
  trace_listen(&m->trace,
               TRACE_BIT(TRACE_START) | TRACE_BIT(TRACE_MARK) |
                   TRACE_BIT(TRACE_WAITING) | TRACE_BIT(TRACE_MODE) |
                   TRACE_BIT(TRACE_ENTER) | TRACE_BIT(TRACE_PIN) |
                   TRACE_BIT(TRACE_LOCKUP),
               pause_run, m);
}

/* --- one key at a time --- */

enum answer { NOT_ASKED, HOLDS, DIFFERS };

/* What is asked, what is seen, and the words for both. */
struct compare {
  const struct acting *a;
  const struct expectation *asked;
  const struct start *seen;
  char wanted[96], found[96];
};

static enum answer text_key(struct compare *c, const char *key,
                            const char *asked, const char *seen)
{
  if (asked == NULL) return NOT_ASKED;
  if (seen == NULL) seen = "none";
  snprintf(c->wanted, sizeof(c->wanted), "%s %s", key, asked);
  snprintf(c->found, sizeof(c->found), "%s %s", key, seen);
  return strcmp(asked, seen) == 0 ? HOLDS : DIFFERS;
}

static enum answer place_key(struct compare *c, const char *key,
                             const char *asked, const char *seen)
{
  bool there = asked != NULL && seen != NULL &&
               part_region_is(c->a->machine->part, asked, seen);
  return text_key(c, key, asked, there ? asked : seen);
}

/* `seen`: NULL, there is none. */
static enum answer address_key(struct compare *c, const char *key,
                               bool is_asked, addr_t asked, const addr_t *seen)
{
  char a[16], s[16];
  snprintf(a, sizeof(a), "0x%08" PRIx32, asked);
  if (seen != NULL) snprintf(s, sizeof(s), "0x%08" PRIx32, *seen);
  return text_key(c, key, is_asked ? a : NULL, seen != NULL ? s : NULL);
}

static enum answer count_key(struct compare *c, const char *key, bool is_asked,
                             int64_t asked, int64_t seen)
{
  char a[24], s[24];
  snprintf(a, sizeof(a), "%" PRId64, asked);
  snprintf(s, sizeof(s), "%" PRId64, seen);
  return text_key(c, key, is_asked ? a : NULL, s);
}

static enum answer cause_key(struct compare *c)
{
  bool reset = c->seen->how == START_RESET;
  return text_key(c, "cause",
                  c->asked->has_cause ? cause_word(c->asked->cause) : NULL,
                  reset ? cause_word(c->seen->cause) : "hand-over");
}

static enum answer region_key(struct compare *c)
{
  return place_key(c, "region", c->asked->region, c->seen->region);
}

static enum answer rule_key(struct compare *c)
{
  return text_key(c, "rule", c->asked->rule, c->seen->rule);
}

static enum answer latch_key(struct compare *c)
{
  return text_key(
      c, "latch",
      c->asked->has_latch ? latch_word(c->asked->latch_programmed) : NULL,
      c->seen->has_latch ? latch_word(c->seen->latch_programmed) : NULL);
}

static const char *yes_no(bool yes)
{
  return yes ? "yes" : "no";
}

static enum answer stale_key(struct compare *c)
{
  return text_key(c, "stale",
                  c->asked->has_stale ? yes_no(c->asked->stale) : NULL,
                  yes_no(c->seen->stale));
}

static enum answer sp_key(struct compare *c)
{
  return address_key(c, "sp", c->asked->has_sp, c->asked->sp, &c->seen->sp);
}

static enum answer pc_key(struct compare *c)
{
  return address_key(c, "pc", c->asked->has_pc, c->asked->pc, &c->seen->pc);
}

static enum answer symbol_key(struct compare *c)
{
  return text_key(c, "symbol", c->asked->symbol, c->seen->symbol);
}

static enum answer outcome_key(struct compare *c)
{
  return text_key(c, "outcome",
                  c->asked->has_outcome ? outcome_word(c->asked->outcome)
                                        : NULL,
                  outcome_word(c->seen->outcome));
}

static enum answer reaches_key(struct compare *c)
{
  const char *asked = c->asked->reaches;
  if (asked == NULL) return NOT_ASKED;
  bool reached =
      c->a->machine->chip.marks_told & (1u << c->a->resolved->reaches);
  return text_key(c, "reaches", asked, reached ? asked : "not there");
}

static enum answer landing_key(struct compare *c)
{
  const struct landing *l = &c->seen->landing;
  return place_key(c, "landing", c->asked->landing,
                   l->landed ? l->region : NULL);
}

static enum answer rom_instructions_key(struct compare *c)
{
  return count_key(c, "rom_instructions", c->asked->has_rom_instructions,
                   c->asked->rom_instructions,
                   (int64_t)c->seen->rom_instructions);
}

static enum answer pins_driven_key(struct compare *c)
{
  return count_key(c, "pins_driven", c->asked->has_pins_driven,
                   c->asked->pins_driven, c->seen->pin_count);
}

static enum answer read_key(struct compare *c)
{
  const struct starts *s = c->a->starts;
  return address_key(c, "read", c->asked->has_read, c->asked->read,
                     s->has_read ? &s->read : NULL);
}

static enum answer host_key(struct compare *c)
{
  const struct starts *s = c->a->starts;
  return text_key(c, "host",
                  c->asked->has_host ? reply_word(c->asked->host) : NULL,
                  s->has_host ? reply_word(s->host) : NULL);
}

static enum answer exit_status_key(struct compare *c)
{
  char a[24], s[24];
  bool exited = start_doing(c->seen) == OUTCOME_EXITED;
  snprintf(a, sizeof(a), "%" PRId64, c->asked->exit_status);
  snprintf(s, sizeof(s), "%" PRIu32, c->seen->exit_status);
  return text_key(c, "exit_status", c->asked->has_exit_status ? a : NULL,
                  exited ? s : NULL);
}

/* In the order of the reports. */
static enum answer (*const keys[])(struct compare *) = {
    cause_key,       region_key,  rule_key,    latch_key,
    stale_key,       sp_key,      pc_key,      symbol_key,
    outcome_key,     reaches_key, landing_key, rom_instructions_key,
    pins_driven_key, read_key,    host_key,    exit_status_key,
};
#define KEY_COUNT (sizeof(keys) / sizeof(keys[0]))

/* --- all of them --- */

static struct compare compare_now(const struct acting *a)
{
  struct machine *m = a->machine;
  core_count(&m->chip.core, &m->chip.bus);
  return (struct compare){
      .a = a, .asked = &a->resolved->expect, .seen = starts_last(a->starts)};
}

/* True if a start is there to be judged: none is about to come. */
static bool start_stands(const struct acting *a)
{
  const struct chip *chip = &a->machine->chip;
  bool off = chip->boot.phase == BOOT_OFF;
  return starts_last(a->starts) != NULL && (off || !boot_busy(&chip->boot)) &&
         chip->reset.pending == 0;
}

static bool holds_now(void *context)
{
  const struct acting *a = context;
  if (!start_stands(a)) return false;
  struct compare c = compare_now(a);
  for (size_t i = 0; i < KEY_COUNT; i++)
    if (keys[i](&c) == DIFFERS) return false;
  return true;
}

static void append(char *text, size_t size, const char *word)
{
  size_t used = strlen(text);
  snprintf(text + used, size - used, "%s%s", used > 0 ? ", " : "", word);
}

/* The whole question, and of the answer what differs. */
static void put_texts(struct compare *c, char *asked, char *seen, size_t size)
{
  asked[0] = seen[0] = '\0';
  for (size_t i = 0; i < KEY_COUNT; i++) {
    enum answer answer = keys[i](c);
    if (answer != NOT_ASKED) append(asked, size, c->wanted);
    if (answer == DIFFERS) append(seen, size, c->found);
  }
}

static void put_within(char *text, size_t size, ps_t within)
{
  char time[32];
  size_t used = strlen(text);
  units_text(time, sizeof(time), UNIT_TIME, within);
  snprintf(text + used, size - used, " within %s", time);
}

static const struct start no_start = {.region = "none", .rule = "none"};

void expect_text(const struct acting *a, char *text, size_t size)
{
  char seen[512];
  struct compare c = compare_now(a);
  assert(size <= sizeof(seen));
  c.seen = &no_start;
  put_texts(&c, text, seen, size);
  put_within(text, size, a->step->within);
}

static void put_judgement(const struct acting *a, struct judge *judge,
                          bool held)
{
  char asked[512], seen[512];
  struct compare c = compare_now(a);
  if (c.seen != NULL) {
    put_texts(&c, asked, seen, sizeof(asked));
  } else {
    c.seen = &no_start;
    put_texts(&c, asked, seen, sizeof(asked));
    snprintf(seen, sizeof(seen), "no start at all");
  }
  if (!held && c.seen->number != 0 && !start_stands(a))
    snprintf(seen, sizeof(seen), "the next start had not come");
  put_within(asked, sizeof(asked), a->step->within);
  judge_add(judge, &(struct judgement){
                       .step = a->step->number,
                       .line = a->step->line,
                       .label = a->step->label,
                       .held = held,
                       .asked = arena_text(judge->arena, asked),
                       .seen = held ? NULL : arena_text(judge->arena, seen)});
}

bool expect_wait(const struct acting *a, struct judge *judge, bool judges)
{
  struct acting copy = *a;
  struct machine *m = a->machine;
  m->expecting = true;
  engine_pass(m, engine_later(m, a->step->within), holds_now, &copy);
  m->expecting = false;
  bool holds = holds_now(&copy);
  if (judges) put_judgement(a, judge, holds);
  return holds;
}

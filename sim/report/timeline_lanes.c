/* The table of lanes: which record says what about which lane, and the words
 * and looks of its values. */
#include <assert.h>
#include <inttypes.h>
#include <stdio.h>
#include <string.h>

#include "chip/boot.h"
#include "core/core.h"
#include "describe/trace_kinds.h"
#include "report/timeline.h"

/* --- what a record says -------------------------------------------------- */

static uint32_t take_a(const struct timeline *t, uint32_t before,
                       const struct trace_record *r)
{
  (void)t;
  (void)before;
  return r->a;
}

static uint32_t take_b(const struct timeline *t, uint32_t before,
                       const struct trace_record *r)
{
  (void)t;
  (void)before;
  return r->b;
}

/* 0 is none. */
static uint32_t take_some(const struct timeline *t, uint32_t before,
                          const struct trace_record *r)
{
  (void)t;
  (void)before;
  return r->a == 0 ? LANE_EMPTY : r->a;
}

/* Whatever it is woken by. */
static uint32_t take_sleep(const struct timeline *t, uint32_t before,
                           const struct trace_record *r)
{
  (void)t;
  (void)before;
  return r->a == SLEEP_ENTERED ? r->a : LANE_EMPTY;
}

static uint32_t take_end(const struct timeline *t, uint32_t before,
                         const struct trace_record *r)
{
  (void)t;
  (void)before;
  (void)r;
  return LANE_EMPTY;
}

/* The blank check is a fresh one when it is made. */
static uint32_t take_check(const struct timeline *t, uint32_t before,
                           const struct trace_record *r)
{
  (void)t;
  return r->b == SAMPLER_CHECK ? r->a : before;
}

static uint32_t take_stale(const struct timeline *t, uint32_t before,
                           const struct trace_record *r)
{
  (void)before;
  (void)r;
  const struct lane *held = timeline_lane(t, LANE_HELD, 0);
  const struct lane *fresh = timeline_lane(t, LANE_FRESH, 0);
  if (!held || !fresh || !held->open || !fresh->open) return LANE_EMPTY;
  bool differ = held->now != fresh->now;
  return differ ? 1 : LANE_EMPTY;
}

/* Mode of the core in the low byte; above it the region of execution + 1. */
#define MODE_BITS 8u

static uint32_t take_mode(const struct timeline *t, uint32_t before,
                          const struct trace_record *r)
{
  (void)t;
  uint32_t region = before == LANE_EMPTY ? 0 : before >> MODE_BITS;
  if (r->a == CORE_HELD || r->a == CORE_OFF) region = 0;
  return r->a | region << MODE_BITS;
}

/* The boot sequence says when there is no supply; the core is held then. */
static uint32_t take_phase(const struct timeline *t, uint32_t before,
                           const struct trace_record *r)
{
  (void)t;
  if (r->a == BOOT_OFF) return CORE_OFF;
  return r->b == BOOT_OFF ? (uint32_t)CORE_HELD : before;
}

static uint32_t take_region(const struct timeline *t, uint32_t before,
                            const struct trace_record *r)
{
  (void)t;
  uint32_t mode = before == LANE_EMPTY ? (uint32_t)CORE_RUNNING
                                       : before & ((1u << MODE_BITS) - 1);
  return mode | (r->a + 1) << MODE_BITS;
}

/* --- the watchdog --- */

static bool has_bitten(uint32_t what)
{
  return what == WATCHDOG_EXPIRED || what == WATCHDOG_TOO_EARLY;
}

/* Fed too early it expires at once, which is no news. */
static uint32_t take_watchdog(const struct timeline *t, uint32_t before,
                              const struct trace_record *r)
{
  (void)t;
  return before == WATCHDOG_TOO_EARLY && r->a == WATCHDOG_EXPIRED ? before
                                                                  : r->a;
}

/* What it has brought about is told up to the start that follows. */
static uint32_t take_reset(const struct timeline *t, uint32_t before,
                           const struct trace_record *r)
{
  if (before == LANE_EMPTY || has_bitten(before)) return before;
  return t->part->resets[r->a].does[RESET_WATCHDOG] ? LANE_EMPTY : before;
}

static uint32_t take_start(const struct timeline *t, uint32_t before,
                           const struct trace_record *r)
{
  (void)t;
  (void)r;
  return has_bitten(before) ? LANE_EMPTY : before;
}

static uint32_t take_off(const struct timeline *t, uint32_t before,
                         const struct trace_record *r)
{
  (void)t;
  return r->a == BOOT_OFF ? LANE_EMPTY : before;
}

/* Records that feed two lanes have two rows; the rows of LANE_STALE come
 * behind those that it is computed from. */
const struct lane_feed lane_feeds[] = {
    {TRACE_FED, LANE_FED, false, take_some},
    {TRACE_RESET_LINE, LANE_LINE, false, take_a},
    {TRACE_OPTION, LANE_OPTION, true, take_b},
    {TRACE_LATCH, LANE_HELD, false, take_a},
    {TRACE_LATCH, LANE_FRESH, false, take_check},
    {TRACE_FRESH, LANE_FRESH, false, take_a},
    {TRACE_LATCH, LANE_STALE, false, take_stale},
    {TRACE_FRESH, LANE_STALE, false, take_stale},
    {TRACE_STRAP, LANE_STRAP, true, take_b},
    {TRACE_MODE, LANE_EXECUTION, false, take_mode},
    {TRACE_PHASE, LANE_EXECUTION, false, take_phase},
    {TRACE_ENTER, LANE_EXECUTION, false, take_region},
    {TRACE_DEEP_SLEEP, LANE_DEEP_SLEEP, false, take_sleep},
    {TRACE_RESET, LANE_DEEP_SLEEP, false, take_end},
    {TRACE_WATCHDOG, LANE_WATCHDOG, false, take_watchdog},
    {TRACE_RESET, LANE_WATCHDOG, false, take_reset},
    {TRACE_START, LANE_WATCHDOG, false, take_start},
    {TRACE_PHASE, LANE_WATCHDOG, false, take_off},
    {TRACE_CLOCK, LANE_CLOCK, false, take_a},
    {TRACE_FLASH_BEGIN, LANE_FLASH, false, take_a},
    {TRACE_FLASH_END, LANE_FLASH, false, take_end},
    {TRACE_FLASH_TORN, LANE_FLASH, false, take_end},
    {TRACE_PIN, LANE_PIN, true, take_b},
    {TRACE_NET, LANE_OUTSIDE, true, take_b},
    {TRACE_NET_RELEASED, LANE_OUTSIDE, true, take_end},
    {TRACE_CONTENTION, LANE_CONTENTION, true, take_b},
    {TRACE_CONTENTION_END, LANE_CONTENTION, true, take_end},
};
const size_t lane_feed_count = sizeof lane_feeds / sizeof lane_feeds[0];

/* --- words --------------------------------------------------------------- */

/* `format` is that of the values in trace_kinds.def; NULL: said below. */
static const struct {
  const char *id, *title, *format;
  enum lane_look look;
  int counted; /* kind of the records that are counted, or -1 */
} rows[LANE_KIND_COUNT_] = {
    [LANE_FED] = {"fed", "rail fed through pins", NULL, LOOK_BOX, -1},
    [LANE_LINE] = {"line", "reset line", "level", LOOK_LEVEL, -1},
    [LANE_OPTION] = {"option", "option word ", NULL, LOOK_BOX, -1},
    [LANE_HELD] = {"latch-held", "what the latch holds", "latch", LOOK_BOX,
                   -1},
    [LANE_FRESH] = {"latch-fresh", "what a fresh check says", "latch",
                    LOOK_BOX, -1},
    [LANE_STALE] = {"latch-stale", "so the latch is", NULL, LOOK_BOX, -1},
    [LANE_STRAP] = {"strap", "sampled strap ", "level", LOOK_LEVEL, -1},
    [LANE_EXECUTION] = {"execution", "execution", NULL, LOOK_BOX, -1},
    [LANE_DEEP_SLEEP] = {"deep-sleep", "deep sleep", NULL, LOOK_BOX, -1},
    [LANE_WATCHDOG] = {"watchdog", "watchdog", NULL, LOOK_BOX, TRACE_WATCHDOG},
    [LANE_CLOCK] = {"clock", "core clock", NULL, LOOK_BOX, -1},
    [LANE_FLASH] = {"flash", "flash orders", "op", LOOK_BOX,
                    TRACE_FLASH_BEGIN},
    [LANE_PIN] = {"pin", "driven: ", "drive", LOOK_LEVEL, -1},
    [LANE_OUTSIDE] = {"outside", "from outside: ", "level", LOOK_LEVEL, -1},
    [LANE_CONTENTION] = {"contention", "contention: ", NULL, LOOK_BOX, -1},
};

const char *lane_id(enum lane_kind kind)
{
  return rows[kind].id;
}

enum lane_look lane_look(enum lane_kind kind)
{
  return rows[kind].look;
}

bool lane_counts(enum lane_kind kind, uint32_t record)
{
  return rows[kind].counted == (int)record;
}

/* Pin and, if the board has one there, net. */
static void say_pin(const struct timeline *t, uint32_t pin, char *buf,
                    size_t size)
{
  if (pin >= t->part->pins.count) return;
  const char *name = t->part->pins.names[pin];
  int length = snprintf(buf, size, "%s", name);
  if (length < 0 || (size_t)length >= size) return;
  for (uint32_t i = 0; i < t->script->net_count; i++) {
    const struct case_net *net = &t->script->nets[i];
    for (uint32_t k = 0; k < net->pin_count; k++) {
      if (strcmp(net->pins[k], name) != 0) continue;
      snprintf(buf + length, size - (size_t)length, ", net %s", net->name);
      return;
    }
  }
}

const char *lane_title(const struct timeline *t, const struct lane *lane,
                       char buf[LANE_TEXT])
{
  int length = snprintf(buf, LANE_TEXT, "%s", rows[lane->kind].title);
  assert(length > 0 && length < LANE_TEXT);
  char *rest = buf + length;
  size_t room = LANE_TEXT - (size_t)length;
  switch (lane->kind) {
  case LANE_OPTION:
    if (lane->index < t->part->options.word_count)
      snprintf(rest, room, "%s", t->part->options.words[lane->index].name);
    break;
  case LANE_STRAP:
    if (lane->index < t->part->strap_count)
      snprintf(rest, room, "%s", t->part->straps[lane->index].name);
    break;
  case LANE_PIN:
  case LANE_OUTSIDE:
  case LANE_CONTENTION: say_pin(t, lane->index, rest, room); break;
  default: break;
  }
  return buf;
}

static const char *option_value_name(const struct part_option_field *f,
                                     uint32_t value)
{
  for (uint32_t i = 0; i < f->value_count; i++) {
    if (f->values[i].value == value) return f->values[i].name;
  }
  return NULL;
}

/* "source=check, lock=2" */
static void say_option(const struct timeline *t, uint32_t word, uint32_t value,
                       char *buf, size_t size)
{
  size_t length = 0;
  buf[0] = '\0';
  if (word >= t->part->options.word_count) return;
  const struct part_option_word *w = &t->part->options.words[word];
  for (uint32_t i = 0; i < w->field_count; i++) {
    const struct part_option_field *f = &w->fields[i];
    uint32_t mask = f->width >= 32 ? UINT32_MAX : (1u << f->width) - 1;
    uint32_t bits = (value >> f->lsb) & mask;
    const char *name = option_value_name(f, bits);
    char number[16];
    snprintf(number, sizeof number, "%" PRIu32, bits);
    int more = snprintf(buf + length, size - length, "%s%s=%s",
                        i > 0 ? ", " : "", f->name, name ? name : number);
    if (more < 0 || (size_t)more >= size - length) return;
    length += (size_t)more;
  }
}

uint32_t execution_region(const struct span *span)
{
  uint32_t mode = span->value & ((1u << MODE_BITS) - 1);
  uint32_t region = span->value >> MODE_BITS;
  return mode == CORE_RUNNING && region > 0 ? region - 1 : PART_NONE;
}

static void say_execution(const struct timeline *t, uint32_t value, char *buf,
                          size_t size)
{
  uint32_t mode = value & ((1u << MODE_BITS) - 1);
  uint32_t region = value >> MODE_BITS;
  bool known = region > 0 && region <= t->part->memory_count;
  const char *name = known ? t->part->memory[region - 1].name : "nowhere";
  const char *word = trace_word("mode", mode);
  if (mode == CORE_RUNNING)
    snprintf(buf, size, "%s", name);
  else if (mode == CORE_HELD)
    snprintf(buf, size, "held in reset");
  else if (known)
    snprintf(buf, size, "%s in %s", word ? word : "?", name);
  else
    snprintf(buf, size, "%s", word ? word : "?");
}

static void say_watchdog(uint32_t what, char *buf, size_t size)
{
  static const char *const words[] = {[WATCHDOG_STARTED] = "counting",
                                      [WATCHDOG_FED] = "fed",
                                      [WATCHDOG_EXPIRED] = "expired",
                                      [WATCHDOG_TOO_EARLY] = "fed too early"};
  snprintf(buf, size, "%s", words[what]);
}

static void say_value(const struct timeline *t, const struct lane *lane,
                      const struct span *s, char *buf, size_t size)
{
  switch (lane->kind) {
  case LANE_OPTION: say_option(t, lane->index, s->value, buf, size); break;
  case LANE_EXECUTION: say_execution(t, s->value, buf, size); break;
  case LANE_STALE: snprintf(buf, size, "stale"); break;
  case LANE_DEEP_SLEEP: snprintf(buf, size, "asleep"); break;
  case LANE_WATCHDOG: say_watchdog(s->value, buf, size); break;
  case LANE_FED:
    snprintf(buf, size, "%" PRIu32 " pin%s", s->value,
             s->value == 1 ? "" : "s");
    break;
  case LANE_CLOCK:
    if (s->value < t->part->clock.source_count)
      snprintf(buf, size, "%s", t->part->clock.sources[s->value].name);
    break;
  case LANE_CONTENTION: snprintf(buf, size, "%" PRIu32 " mA", s->value); break;
  default: {
    const char *format = rows[lane->kind].format;
    const char *word = format ? trace_word(format, s->value) : NULL;
    snprintf(buf, size, "%s", word ? word : "?");
    break;
  }
  }
}

const char *lane_value(const struct timeline *t, const struct lane *lane,
                       const struct span *span, char buf[LANE_TEXT])
{
  buf[0] = '\0';
  say_value(t, lane, span, buf, LANE_TEXT);
  size_t length = strlen(buf);
  if (span->count > 1)
    snprintf(buf + length, LANE_TEXT - length, ", %" PRIu32 " times",
             span->count);
  else if (span->more > 0)
    snprintf(buf + length, LANE_TEXT - length, ", then %" PRIu32 " changes",
             span->more);
  return buf;
}

/* --- looks --------------------------------------------------------------- */

static enum lane_shade execution_shade(const struct timeline *t,
                                       uint32_t value)
{
  uint32_t mode = value & ((1u << MODE_BITS) - 1);
  uint32_t region = value >> MODE_BITS;
  if (mode == CORE_LOCKUP) return SHADE_CROSS;
  if (mode != CORE_RUNNING || region == 0) return SHADE_PLAIN;
  if (region > t->part->memory_count) return SHADE_CROSS;
  switch (t->part->memory[region - 1].kind) {
  case MEMORY_ROM: return SHADE_HATCH;
  case MEMORY_FLASH: return SHADE_SOLID;
  default: return SHADE_DOTS;
  }
}

enum lane_shade lane_shade(const struct timeline *t, const struct lane *lane,
                           const struct span *span)
{
  switch (lane->kind) {
  case LANE_EXECUTION: return execution_shade(t, span->value);
  case LANE_HELD:
  case LANE_FRESH: return span->value ? SHADE_SOLID : SHADE_DOTS;
  case LANE_STALE:
  case LANE_CONTENTION: return SHADE_CROSS;
  case LANE_FLASH: return SHADE_SOLID;
  case LANE_WATCHDOG:
    return has_bitten(span->value)           ? SHADE_CROSS
           : span->value == WATCHDOG_STARTED ? SHADE_DOTS
                                             : SHADE_SOLID;
  case LANE_FED: return SHADE_HATCH;
  default: return SHADE_PLAIN;
  }
}

#include "run/starts.h"

#include <string.h>

#include "core/core.h"
#include "describe/newcomer.h"
#include "describe/trace_kinds.h"

struct start *starts_last(const struct starts *s)
{
  return s->count == 0 ? NULL : &s->list[s->count - 1];
}

static struct start *open_start(const struct starts *s)
{
  return s->open ? starts_last(s) : NULL;
}

static struct start *add(struct starts *s)
{
  if (s->count == s->room) {
    uint32_t room = s->room == 0 ? 16 : s->room * 2;
    struct start *list = arena_array(s->arena, room, sizeof(*list));
    if (s->count > 0) memcpy(list, s->list, s->count * sizeof(*list));
    s->list = list;
    s->room = room;
  }
  s->open = true;
  s->pins_driven = 0;
  return &s->list[s->count++];
}

static const char *region_name(const struct starts *s, uint32_t region)
{
  const struct part *part = s->plan->part;
  return region < part->memory_count ? part->memory[region].name : "nowhere";
}

static bool is_rom(const struct starts *s, uint32_t region)
{
  const struct part *part = s->plan->part;
  return region < part->memory_count &&
         part->memory[region].kind == MEMORY_ROM;
}

/* In two wordings. */
static void put_reason(struct starts *s, struct start *start)
{
  const struct part *part = s->plan->part;
  if (start->how != START_RESET) return;
  if (s->rule == PART_NONE) {
    start->rule_expert = "this reset keeps what the last start had chosen";
    start->rule_newcomer =
        "This kind of reset chooses nothing: the part starts where it did the "
        "last time.";
    return;
  }
  start->rule_expert = rule_expert(s->arena, part, s->rule);
  start->rule_newcomer = rule_newcomer(s->arena, part, s->rule);
}

static const char *rule_name(const struct starts *s)
{
  return s->rule == PART_NONE ? "alias kept"
                              : s->plan->part->rules[s->rule].name;
}

static void close_start(struct starts *s, enum outcome outcome,
                        const struct trace_record *r)
{
  struct start *start = open_start(s);
  if (start == NULL) return;
  start->doing = start->outcome;
  start->outcome = outcome;
  start->ended = r->at;
  start->cycles = r->cycle - start->cycle;
  s->open = false;
}

static struct start *begin(struct starts *s, const struct trace_record *r,
                           enum start_how how, addr_t alias_word)
{
  struct start *start = add(s);
  *start = (struct start){
      .number = s->count,
      .at = r->at,
      .cycle = r->cycle,
      .how = how,
      .cause = how == START_RESET ? (enum cause)r->a : CAUSE_SOFTWARE,
      .step = s->step,
      .has_latch = s->plan->part->blank_check.held != BLANK_NONE,
      .latch_programmed = s->latch_programmed,
      .stale = part_has_latch(s->plan->part) &&
               s->latch_programmed != s->fresh_programmed,
      .rule = how == START_RESET ? rule_name(s) : NULL,
      .region = region_name(s, s->region),
      .alias_word = alias_word,
      .outcome = OUTCOME_RUNNING,
  };
  put_reason(s, start);
  return start;
}

static void begin_handover(struct starts *s, const struct trace_record *r,
                           addr_t alias_word)
{
  struct start *start = begin(s, r, START_HANDOVER, alias_word);
  start->pc = r->b;
  start->symbol = plan_symbol(s->plan, s->arena, s->region, start->pc);
}

/* The vectors follow the start that they belong to. */
static void take_vectors(struct starts *s, const struct trace_record *r)
{
  struct start *start = open_start(s);
  if (start == NULL) return;
  start->sp = r->a & ~3u;
  start->pc = r->b & ~1u;
  start->symbol = plan_symbol(s->plan, s->arena, s->region, start->pc);
}

/* The boot ROM left for what the host had it launch. */
static void launched(struct starts *s, const struct trace_record *r,
                     addr_t alias_word)
{
  close_start(s, OUTCOME_HANDOVER, r);
  s->launching = false;
  s->region = r->a;
  begin_handover(s, r, alias_word);
  starts_last(s)->launched = true;
}

/* Execution crossed into another region. */
static void enter(struct starts *s, const struct trace_record *r)
{
  uint32_t from = s->last_region;
  s->last_region = r->a;
  struct start *start = open_start(s);
  if (start == NULL || from == PART_NONE) return;
  if (is_rom(s, from) && !is_rom(s, r->a) && !start->landing.landed) {
    start->landing =
        (struct landing){true, r->at, region_name(s, r->a), r->b,
                         plan_symbol(s->plan, s->arena, s->region, r->b)};
    if (s->launching) launched(s, r, start->alias_word);
  } else if (is_rom(s, r->a) && !is_rom(s, from) && !s->handed_over) {
    close_start(s, OUTCOME_HANDOVER, r);
    s->handed_over = true;
    s->region = r->a;
    begin_handover(s, r, start->alias_word);
  }
}

static void set_mode(struct starts *s, const struct trace_record *r)
{
  struct start *start = open_start(s);
  if (start == NULL) return;
  start->stop_pc = r->b;
  switch ((enum core_mode)r->a) {
  case CORE_RUNNING: start->outcome = OUTCOME_RUNNING; break;
  case CORE_SLEEPING: start->outcome = OUTCOME_SLEEPING; break;
  case CORE_HALTED:
    if (!s->exits) start->outcome = OUTCOME_HALTED;
    s->exits = false;
    break;
  case CORE_LOCKUP: start->outcome = OUTCOME_LOCKUP; break;
  case CORE_OFF:
  case CORE_HELD: break;
  }
}

/* The core halts next, and not by the probe. */
static void exit_start(struct starts *s, const struct trace_record *r)
{
  struct start *start = open_start(s);
  if (start == NULL) return;
  start->outcome = OUTCOME_EXITED;
  start->exit_status = r->a;
  s->exits = true;
}

static const struct part_register *register_at(const struct starts *s,
                                               addr_t at)
{
  const struct part *part = s->plan->part;
  for (uint32_t i = 0; i < part->register_count; i++)
    if (part->registers[i].at == (at & ~3u)) return &part->registers[i];
  return NULL;
}

static bool tells_of_host(const struct part_register *reg)
{
  for (uint32_t i = 0; i < reg->field_count; i++)
    if (reg->fields[i].role == ROLE_SERIAL_RECEIVED) return true;
  return false;
}

static void wait_begins(struct starts *s, const struct trace_record *r)
{
  struct start *start = open_start(s);
  if (start == NULL) return;
  start->outcome = OUTCOME_WAITING;
  start->waits_on = r->a;
  start->waits_pc = r->b;
  start->waits_tried = false;
  start->waits_mask = start->waits_value = 0;
  const struct part_register *reg = register_at(s, r->a);
  start->waits_name = plan_register(s->plan, s->arena, r->a);
  start->waits_for_host = reg != NULL && tells_of_host(reg);
}

/* Answers were tried: it is known what would let it go, or that nothing did.
 */
static void wait_is_known(struct starts *s, const struct trace_record *r)
{
  struct start *start = open_start(s);
  if (start == NULL) return;
  start->waits_tried = true;
  start->waits_mask = r->a;
  start->waits_value = r->b;
}

static void wait_ends(struct starts *s)
{
  struct start *start = open_start(s);
  if (start != NULL && start->outcome == OUTCOME_WAITING)
    start->outcome = OUTCOME_RUNNING;
}

static void drive_pin(struct starts *s, const struct trace_record *r)
{
  struct start *start = open_start(s);
  uint64_t bit = UINT64_C(1) << r->a;
  if (start == NULL || r->b == PIN_RELEASED || (s->pins_driven & bit)) return;
  s->pins_driven |= bit;
  if (start->pin_count < sizeof(start->pins) / sizeof(start->pins[0]))
    start->pins[start->pin_count] = (struct start_pin){
        s->plan->part->pins.names[r->a], r->at, r->b == PIN_DRIVEN_HIGH};
  start->pin_count++;
}

static void count(struct starts *s, const struct trace_record *r)
{
  struct start *start = open_start(s);
  if (start == NULL) return;
  start->instructions += r->b;
  if (is_rom(s, r->a)) start->rom_instructions += r->b;
}

static void reach(struct starts *s, const struct trace_record *r)
{
  struct start *start = open_start(s);
  const uint32_t most = sizeof(start->reached) / sizeof(start->reached[0]);
  if (start == NULL || start->reached_count == most) return;
  start->reached[start->reached_count] = s->plan->watches[r->a].name;
  start->reached_at[start->reached_count++] = r->at;
}

/* A start belongs to the last step that did something: time passes, and starts
 * happen, in `expect` and `run`, but they cause none. */
static void take_step(struct starts *s, const struct trace_record *r)
{
  if (r->b != VERB_EXPECT && r->b != VERB_RUN) s->step = r->a;
}

static void host_ended(struct starts *s, const struct trace_record *r)
{
  s->has_host = true;
  s->host = (enum trace_reply)r->b;
  if (r->a == REQUEST_LAUNCH) s->launching = r->b == REPLY_DONE;
}

/* A reset begins: what the next start will begin with is open again. */
static void reset_begins(struct starts *s, const struct trace_record *r)
{
  struct start *start = open_start(s);
  if (start != NULL) start->stop_pc = r->b;
  close_start(s, OUTCOME_RESET, r);
  s->rule = PART_NONE;
  s->last_region = PART_NONE;
  s->handed_over = s->launching = false;
  s->loader = false;
}

/* The memory region that an address lies in, or PART_NONE. */
static uint32_t region_at(const struct starts *s, addr_t at)
{
  const struct part *part = s->plan->part;
  for (uint32_t i = 0; i < part->memory_count; i++)
    if (at - part->memory[i].at < part->memory[i].size) return i;
  return PART_NONE;
}

/* Load and go is a start; what a loader does is none of the program's. */
static void use_probe(struct starts *s, const struct trace_record *r)
{
  if (r->a == ACTION_LOADER) s->loader = r->b != 0;
  if (r->a != ACTION_START) return;
  struct start *before = open_start(s);
  addr_t alias_word = before != NULL ? before->alias_word : 0;
  close_start(s, OUTCOME_HANDOVER, r);
  struct start *start = begin(s, r, START_PROBE, alias_word);
  s->last_region = region_at(s, r->b);
  start->region = region_name(s, s->last_region);
}

static bool loaders_own(const struct starts *s, uint32_t kind)
{
  return s->loader &&
         (kind == TRACE_ENTER || kind == TRACE_RAN || kind == TRACE_MODE ||
          kind == TRACE_WAITING || kind == TRACE_REGISTER);
}

static void fold(void *context, const struct trace_record *r)
{
  struct starts *s = context;
  if (loaders_own(s, r->kind)) return;
  switch (r->kind) {
  case TRACE_STEP: take_step(s, r); break;
  case TRACE_PROBE: use_probe(s, r); break;
  case TRACE_RESET: reset_begins(s, r); break;
  case TRACE_RAIL_FALL:
    if (threshold_resets(r->a)) close_start(s, OUTCOME_OFF, r);
    break;
  case TRACE_LATCH: s->latch_programmed = r->a; break;
  case TRACE_FRESH: s->fresh_programmed = r->a; break;
  case TRACE_RULE: s->rule = r->a; break;
  case TRACE_MAP: s->region = r->a; break;
  case TRACE_VECTORS: take_vectors(s, r); break;
  case TRACE_START: begin(s, r, START_RESET, r->b); break;
  case TRACE_ENTER: enter(s, r); break;
  case TRACE_RAN: count(s, r); break;
  case TRACE_MARK: reach(s, r); break;
  case TRACE_MODE: set_mode(s, r); break;
  case TRACE_EXITED: exit_start(s, r); break;
  case TRACE_WAITING: wait_begins(s, r); break;
  case TRACE_WAITING_FOR: wait_is_known(s, r); break;
  case TRACE_REGISTER:
  case TRACE_LEARNED: wait_ends(s); break;
  case TRACE_PIN: drive_pin(s, r); break;
  case TRACE_HOST_END: host_ended(s, r); break;
  case TRACE_READ:
  case TRACE_CORE_READ:
    s->has_read = true;
    s->read = r->b;
    break;
  default: break;
  }
}

static const enum trace_kind wanted[] = {
    TRACE_PROBE,     TRACE_CORE_READ, TRACE_STEP,   TRACE_RESET,
    TRACE_RAIL_FALL, TRACE_LATCH,     TRACE_FRESH,  TRACE_RULE,
    TRACE_MAP,       TRACE_VECTORS,   TRACE_START,  TRACE_ENTER,
    TRACE_RAN,       TRACE_MARK,      TRACE_MODE,   TRACE_WAITING,
    TRACE_REGISTER,  TRACE_PIN,       TRACE_READ,   TRACE_WAITING_FOR,
    TRACE_LEARNED,   TRACE_HOST_END,  TRACE_EXITED,
};

void starts_init(struct starts *s, const struct plan *plan,
                 struct arena *arena, struct trace *tr)
{
  *s = (struct starts){.plan = plan,
                       .arena = arena,
                       .rule = PART_NONE,
                       .region = PART_NONE,
                       .last_region = PART_NONE};
  trace_mask mask = 0;
  for (size_t i = 0; i < sizeof(wanted) / sizeof(wanted[0]); i++)
    mask |= TRACE_BIT(wanted[i]);
  trace_listen(tr, mask, fold, s);
}

void starts_keep(struct starts *to, struct start *last,
                 const struct starts *from)
{
  *to = *from;
  to->list = last;
  to->room = 1;
  to->count = from->count > 0;
  if (from->count > 0) *last = *starts_last(from);
}

void starts_resume(struct starts *s, const struct starts *kept,
                   struct start *list, uint32_t room)
{
  const struct plan *plan = s->plan;
  struct arena *arena = s->arena;
  *s = *kept;
  s->plan = plan;
  s->arena = arena;
  s->list = list;
  s->room = room;
  if (kept->count > 0) list[0] = kept->list[0];
}

void starts_end(struct starts *s, struct moment now)
{
  struct start *start = open_start(s);
  if (start == NULL) return;
  start->ended = now.at;
  start->cycles = now.cycle - start->cycle;
  s->open = false;
}

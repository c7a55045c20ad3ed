#include "core/pace.h"

#include <assert.h>
#include <string.h>

#include "core/access.h"
#include "core/breakpoint.h"
#include "core/fault.h"
#include "core/pace_parts.h"
#include "core/pace_v7m.h"
#include "describe/trace_kinds.h"

static cycle_t next_stop(const struct core *c)
{
  return c->alarm < c->deadline ? c->alarm : c->deadline;
}

/* The chip or the system control space may have asked for something. */
static void look_again(struct pace *p)
{
  const struct core *c = p->core;
  bool now = c->attention || c->boundary;
  p->stop_at = now ? INT64_MIN : next_stop(c);
}

static void show_state(struct pace *p, cycle_t cycle)
{
  p->core->cycle = cycle;
  p->core->instructions = p->instructions;
}

static bool is_list(enum decode_class class)
{
  return class == DECODE_LOAD_MANY || class == DECODE_STORE_MANY ||
         class == DECODE_PUSH || class == DECODE_POP || class == DECODE_POP_PC;
}

bool pace_breaks_off(const struct pace *p, unsigned cycles)
{
  const struct core *c = p->core;
  cycle_t at = c->break_at != 0 ? c->break_at : next_stop(c);
  return c->attention || c->boundary || p->cycle + cycles > at;
}

static void build_filter(struct pace *p)
{
  memset(p->filter, 0, sizeof(p->filter));
  for (unsigned i = 0; i < p->bus->watch_count; i++) {
    p->filter[(p->bus->watches[i] >> 1) % PACE_FILTER_SIZE] = 1;
  }
  for (unsigned i = 0; i < CORE_BREAKPOINTS; i++) {
    addr_t at;
    unsigned halves;
    if (!breakpoint_at(p->core, i, &at, &halves)) continue;
    p->filter[(at >> 1) % PACE_FILTER_SIZE] |= halves & 1u;
    p->filter[((at >> 1) + 1) % PACE_FILTER_SIZE] |= (halves >> 1) & 1u;
  }
}

void pace_begin(struct pace *p, struct core *core, const struct bus *bus)
{
  p->core = core;
  p->bus = bus;
  p->cycle = core->cycle;
  p->instructions = core->instructions;
  p->span = p->size = 0;
  p->next = core->r[15];
  p->cost = 0;
  p->access_of = UINT64_MAX;
  p->faulted = p->stopped = p->waits = p->restores = false;
  p->handed_over = false;
  p->wait.begun = false;
  p->data_waits = 0;
  p->resumed = core->progress.begun ? core->instructions : UINT64_MAX;
  core->progress.begun = false;
  for (unsigned i = 0; i < bus->region_count; i++)
    p->waits = p->waits || bus->regions[i].wait_states != 0;
  p->closer = p->waits || bus->guarded || core->part->io_port.size != 0 ||
              p->v7m != NULL;
  if (p->v7m != NULL) pace_v7m_begin(p);
  build_filter(p);
  look_again(p);
}

void pace_end(struct pace *p, addr_t pc)
{
  show_state(p, p->cycle);
  p->core->r[15] = pc;
}

bool pace_settle(struct pace *p, addr_t pc)
{
  if (p->v7m != NULL) return pace_v7m_settle(p, pc);
  if (pc != p->next) {
    p->cycle += cost_taken(p->cost);
    p->core->fetched = CORE_NOT_FETCHED;
  }
  p->cost = 0;
  p->next = pc;
  return p->cycle >= p->stop_at;
}

void pace_undo(struct pace *p)
{
  p->instructions--;
  if (p->handed_over) p->cycle -= cost_cycles(p->cost) + p->data_waits;
}

bool pace_transfers_list(const struct pace *p)
{
  return p->v7m != NULL ? pace_v7m_transfers_list(p)
                        : is_list(cost_class(p->cost));
}

void pace_interrupt(struct pace *p)
{
  p->core->boundary = true;
  look_again(p);
}

bool pace_stop(struct pace *p, enum cpu_exit exit)
{
  p->stopped = true;
  p->exit = exit;
  p->halt(p->engine);
  return false;
}

/* --- where execution is ------------------------------------------------- */

static void locate(struct pace *p, addr_t pc, unsigned *region)
{
  uint32_t offset;
  *region = bus_find(p->bus, pc, &offset);
  assert(*region != BUS_NO_REGION);
  const struct bus_region *r = &p->bus->regions[*region];
  p->from = pc - offset;
  p->bytes = r->bytes;
  p->size = r->size;
  p->span = p->closer ? 0 : r->size;
}

/* False if the stall of the new region leads to the deadline. */
static bool change_region(struct pace *p, unsigned region, addr_t pc)
{
  void *chip = p->bus->chip;
  p->reports++;
  show_state(p, p->cycle);
  p->core->r[13] = p->read_register(p->engine, 13); /* the chip looks at it */
  core_count(p->core, p->bus);
  p->core->region = region;
  p->cycle += p->bus->enter(chip, region, pc, p->cycle);
  show_state(p, p->cycle);
  p->bus->report(chip, p->cycle, TRACE_ENTER, region, pc);
  look_again(p);
  return p->cycle < p->stop_at;
}

static void report_watches(struct pace *p, addr_t pc)
{
  if (!pace_watched(p, pc)) return;
  for (unsigned i = 0; i < p->bus->watch_count; i++) {
    if (p->bus->watches[i] != pc) continue;
    p->reports++;
    show_state(p, p->cycle);
    p->bus->report(p->bus->chip, p->cycle, TRACE_MARK, i, pc);
    look_again(p);
  }
}

/* --- wait states -------------------------------------------------------- */

/* Cycles until the next word in sequence is in the prefetch buffer. The buffer
 * holds `prefetch_words`; as soon as one is read the next fetch begins. */
static cycle_t wait_for_prefetch(struct pace *p, cycle_t each)
{
  struct core *c = p->core;
  cycle_t room = (c->part->prefetch_words - 1) * (each + 1);
  cycle_t left = c->fetch_ready - p->cycle;
  if (left < 0) left = 0;
  if (c->fetch_ready < p->cycle - room) c->fetch_ready = p->cycle - room;
  c->fetch_ready += each + 1;
  return left;
}

void pace_fetch(struct pace *p, addr_t pc)
{
  struct core *c = p->core;
  addr_t word = pc & ~(addr_t)(c->part->fetch_bytes - 1);
  cycle_t each = p->bus->regions[c->region].wait_states;
  if (word == c->fetched) return;
  bool ahead = c->part->prefetch_words != 0 &&
               c->fetched != CORE_NOT_FETCHED &&
               word == c->fetched + c->part->fetch_bytes;
  c->fetched = word;
  if (ahead) {
    p->cycle += wait_for_prefetch(p, each);
    return;
  }
  p->cycle += each;
  c->fetch_ready = p->cycle + each + 1;
}

static uint32_t load_base(const struct pace *p, unsigned number, addr_t pc)
{
  if (number == DECODE_NO_REGISTER) return 0;
  if (number == 15) return (pc + 4) & ~(addr_t)3;
  return p->read_register(p->engine, number);
}

static bool loads(enum decode_class class)
{
  return class == DECODE_LITERAL || class == DECODE_LOAD ||
         class == DECODE_LOAD_MANY || class == DECODE_POP ||
         class == DECODE_POP_PC;
}

cycle_t pace_data_waits(const struct pace *p, addr_t at, unsigned words)
{
  cycle_t waits = 0;
  for (unsigned i = 0; i < words; i++, at += 4) {
    unsigned region = bus_find(p->bus, at, NULL);
    if (region != BUS_NO_REGION) waits += p->bus->regions[region].wait_states;
  }
  return waits;
}

static addr_t operand_address(const struct pace *p,
                              const struct decode_operand *o, addr_t pc)
{
  return load_base(p, o->base, pc) + load_base(p, o->index, pc) + o->offset;
}

bool pace_guard(struct pace *p, addr_t at, unsigned words)
{
  uint32_t offset;
  unsigned region = bus_find(p->bus, at, &offset);
  if (region == BUS_NO_REGION) return true;
  show_state(p, p->cycle);
  struct bus_answer answer =
      p->bus->guard(p->bus->chip, region, offset, words, p->cycle);
  p->cycle += answer.stall;
  if (answer.fault) p->core->fault_at = at;
  look_again(p);
  return !answer.fault;
}

static bool guard_data(struct pace *p, enum decode_class class,
                       uint16_t opcode, addr_t pc)
{
  struct decode_operand o = decode_load(class, opcode);
  return pace_guard(p, operand_address(p, &o, pc), o.words);
}

static cycle_t wait_for_data(const struct pace *p, enum decode_class class,
                             uint16_t opcode, addr_t pc)
{
  struct decode_operand o = decode_load(class, opcode);
  return pace_data_waits(p, operand_address(p, &o, pc), o.words);
}

/* A load or store on the I/O port takes one cycle and not two (ARM DDI 0484C
 * Table 3-1, note b). */
static void shorten_on_port(const struct pace *p, addr_t pc, uint16_t opcode,
                            cost_t *cost)
{
  enum decode_class class = cost_class(*cost);
  const struct part_io_port *port = &p->core->part->io_port;
  if (port->size == 0 || (class != DECODE_LOAD && class != DECODE_STORE))
    return;
  struct decode_operand o = decode_load(DECODE_LOAD, opcode);
  if (operand_address(p, &o, pc) - port->at < port->size) *cost -= 1;
}

/* A branch that leads to the next instruction can't be told by its address. */
static bool always_branches(enum decode_class class)
{
  return class == DECODE_BRANCH || class == DECODE_BL || class == DECODE_BX ||
         class == DECODE_BLX || class == DECODE_WRITE_PC ||
         class == DECODE_POP_PC;
}

/* --- the instruction ---------------------------------------------------- */

/* MOV or ADD to SP whose result is no multiple of four: the architecture
 * drops the low bits (ARM DDI 0419E B1.4.7), an engine may not. */
static bool sp_needs_care(const struct pace *p, uint16_t opcode)
{
  bool add;
  unsigned source = decode_sp_source(opcode, &add);
  return (p->read_register(p->engine, source) & 3u) != 0;
}

/* It may lie in the region behind this one. */
static void second_half(struct pace *p, addr_t pc, uint16_t first,
                        cost_t *cost)
{
  uint32_t second;
  bool ok = bus_peek(p->bus, pc + 2, 2, &second);
  assert(ok);
  enum decode_class class = decode_wide(first, (uint16_t)second);
  *cost = cycles_of(p->core->part, class, 0);
  if (p->waits) pace_fetch(p, pc + 2);
}

/* What `closer` marks. False if the engine must not execute it. */
static bool look_at(struct pace *p, addr_t pc, uint16_t opcode, cost_t *cost)
{
  if (cost_class(*cost) == DECODE_WIDE) second_half(p, pc, opcode, cost);
  enum decode_class class = cost_class(*cost);
  if (class == DECODE_UNDEFINED) return pace_stop(p, CPU_UNDEFINED);
  if (decode_is_system(class) ||
      (class == DECODE_WRITE_SP && sp_needs_care(p, opcode)))
    return pace_stop(p, CPU_SYSTEM);
  if (class == DECODE_BRANCH_IF && decode_branches_to_next(opcode) &&
      decode_condition((opcode >> 8) & 15u, p->read_register(p->engine, 16))) {
    *cost += cost_taken(*cost);
    p->core->fetched = CORE_NOT_FETCHED;
  }
  return true;
}

/* An interrupt does not wait for its end (ARM DDI 0484C 3.6.1). */
static bool may_break_off(enum decode_class class)
{
  return is_list(class) || class == DECODE_MULTIPLY;
}

static bool charge(struct pace *p, addr_t pc)
{
  uint16_t opcode = pace_halfword(p->bytes + (pc - p->from));
  cost_t cost = p->costs[opcode];
  bool wide = cost_class(cost) == DECODE_WIDE;
  if (p->waits && p->instructions != p->resumed) pace_fetch(p, pc);
  if ((cost & COST_CLOSER) && !look_at(p, pc, opcode, &cost)) return false;
  enum decode_class class = cost_class(cost);
  if (p->bus->guarded && loads(class) && !guard_data(p, class, opcode, pc))
    return pace_stop(p, CPU_DATA_FAULT);
  shorten_on_port(p, pc, opcode, &cost);
  if (may_break_off(class) && pace_breaks_off(p, cost_cycles(cost)))
    return pace_stop(p, CPU_SYSTEM);
  p->data_waits =
      p->waits && loads(class) ? wait_for_data(p, class, opcode, pc) : 0;
  p->cycle += p->data_waits;
  if (always_branches(class)) p->core->fetched = CORE_NOT_FETCHED;
  p->cycle += cost_cycles(cost);
  p->cost = cost;
  p->pc = pc;
  p->next = pc + (wide ? 4 : 2);
  p->instructions++;
  return true;
}

bool pace_arrive(struct pace *p, addr_t pc)
{
  unsigned region = p->core->region;
  if (pc - p->from >= p->size) locate(p, pc, &region);
  if (region != p->core->region && !change_region(p, region, pc))
    return pace_stop(p, CPU_BOUNDARY);
  if (p->instructions == p->resumed) return true;
  report_watches(p, pc);
  if (pace_watched(p, pc) && breakpoint_holds(p->core, pc))
    return pace_stop(p, CPU_BREAKPOINT);
  return true;
}

bool pace_closer(struct pace *p, addr_t pc)
{
  if (p->v7m != NULL) return pace_v7m_closer(p, pc);
  if (pace_settle(p, pc)) return pace_stop(p, CPU_BOUNDARY);
  return pace_arrive(p, pc) && charge(p, pc);
}

/* --- data accesses ------------------------------------------------------ */

static cycle_t access_stamp(struct pace *p)
{
  if (p->access_of != p->instructions) {
    p->access_of = p->instructions;
    p->ordinal = 0;
  }
  return p->cycle - cost_cycles(p->cost) + CYCLES_DATA_PHASE + p->ordinal++;
}

/* On v7-M a buffered store has been left behind when its bus error comes. */
static bool stays_a_fault(struct pace *p, const struct bus_access *a)
{
  if (p->v7m != NULL && !bus_private(a->at) && pace_v7m_buffers(p)) {
    fault_pend(p->core, FAULT_DATA_LATE);
    return false;
  }
  return !access_ignores_fault(p->core, a);
}

/* A list that reaches a device is executed by list.c. */
static bool hand_over(struct pace *p)
{
  p->handed_over = pace_transfers_list(p);
  return p->handed_over;
}

uint32_t pace_access(struct pace *p, addr_t at, unsigned size, bool write,
                     uint32_t value)
{
  if (p->faulted || p->handed_over || hand_over(p)) return 0;
  struct bus_access a = {.at = at,
                         .value = value,
                         .stamp = access_stamp(p),
                         .pc = p->pc,
                         .size = size,
                         .write = write};
  show_state(p, a.stamp);
  bool privileged = core_privileged(p->core) && !pace_v7m_as_user(p);
  struct bus_answer answer = access_device(p->core, p->bus, &a, privileged);
  p->cycle += answer.stall;
  p->faulted = answer.fault && stays_a_fault(p, &a);
  if (p->faulted) {
    p->access_of = UINT64_MAX;
    p->core->fault_at = at;
  }
  look_again(p);
  pace_wait(p, &a, &answer);
  return answer.value;
}

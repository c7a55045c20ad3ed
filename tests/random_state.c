#include "random_state.h"

#include "core/nvic.h"

/* --- chance ------------------------------------------------------------- */

/* xorshift64*: Vigna, "An experimental exploration of Marsaglia's xorshift
 * generators, scrambled" (2014). */
static uint32_t roll(struct dice *d)
{
  d->state ^= d->state >> 12;
  d->state ^= d->state << 25;
  d->state ^= d->state >> 27;
  return (uint32_t)((d->state * UINT64_C(0x2545f4914f6cdd1d)) >> 32);
}

static uint32_t below(struct dice *d, uint32_t limit)
{
  return roll(d) % limit;
}

static bool one_in(struct dice *d, uint32_t n)
{
  return below(d, n) == 0;
}

static uint32_t one_of(struct dice *d, const uint32_t *list, size_t count)
{
  return list[below(d, (uint32_t)count)];
}

#define ONE_OF(d, list) one_of(d, list, ROWS_COUNT(list))

static const uint32_t regions[][2] = {
    {FLASH, FLASH_SIZE}, {ROM, ROM_SIZE},   {RAM, RAM_SIZE}, {NEAR, NEAR_SIZE},
    {DEVICE, DEVICE_OK}, {NEXT, NEXT_SIZE}, {0, ROM_SIZE}};

/* Into a region, or about one of its ends. One roll a statement: the order of
 * several would be the compiler's. */
static uint32_t pointer(struct dice *d)
{
  static const uint32_t masks[] = {~0u, ~1u, ~3u, ~3u, ~3u};
  const uint32_t *r = regions[below(d, ROWS_COUNT(regions))];
  uint32_t at = r[0] + below(d, r[1]);
  if (one_in(d, 4)) {
    at = one_in(d, 2) ? r[0] : r[0] + r[1];
    at += below(d, 48) - 40;
  }
  return at & ONE_OF(d, masks);
}

static uint32_t number(struct dice *d)
{
  static const uint32_t special[] = {
      0,          1,          31,         32,         33,
      255,        256,        0x7fffffff, 0x80000000, 0xffffffff,
      0xfffffff1, 0xfffffff9, 0xfffffffd, 0xfffffff0, 0xf0000001,
      0xe000ed04, 0xe000ed08, 0xe000ed0c, 0xe000ed1c, 0xe000ed20,
      0xe000edf0, 0xe000e010, 0x05fa0004, 0x10000000, 0x04000000};
  switch (below(d, 9)) {
  case 0: return roll(d);
  case 1: return below(d, 64);
  case 2: return ONE_OF(d, special);
  case 3: return 4 * below(d, 32);
  case 4: return 0u - below(d, 64);
  default: return pointer(d);
  }
}

/* Uniform over the opcodes, and those that are rare among them. */
static uint16_t opcode(struct dice *d)
{
  static const uint32_t rare[] = {0xb662, 0xb672, 0xbf00, 0xbf10, 0xbf20,
                                  0xbf30, 0xbf40, 0xbf50, 0xbe00, 0xdf00,
                                  0xf3bf, 0xf3ef, 0xf380, 0xbd00, 0x4700,
                                  0x4770, 0x4687, 0x4685, 0x4495, 0xd0ff};
  uint32_t code = roll(d) >> 16;
  if (one_in(d, 6)) code = ONE_OF(d, rare);
  if (one_in(d, 12)) code = (ONE_OF(d, rare) & ~15u) | (code & 15u);
  if (one_in(d, 8)) code = 0x4000u | (code & 0x3ffu);
  if (one_in(d, 12)) code = 0xbd00u | (code & 0xffu);
  if (one_in(d, 12)) code = 0x4700u | (code & 0xf8u);
  return (uint16_t)code;
}

/* Arithmetic on r0 to r5; lists and single accesses about r6, r7 and SP;
 * branches forward; what masks, waits or calls. 16 bits each. */
static uint16_t tame_opcode(struct dice *d)
{
  static const struct {
    uint16_t fixed, free;
  } shapes[] = {
      {0x1800, 0x03fb}, {0x2000, 0x1bff}, {0x4000, 0x03fb}, {0x4340, 0x003b},
      {0xce00, 0x003f}, {0xc600, 0x003f}, {0xcf00, 0x003f}, {0xc700, 0x003f},
      {0xb400, 0x001f}, {0xbc00, 0x001f}, {0x6030, 0x07c3}, {0x6830, 0x07c3},
      {0x6838, 0x07c3}, {0x6038, 0x07c3}, {0x9000, 0x033f}, {0x9800, 0x033f},
      {0xd000, 0x0303}, {0xe000, 0x0007}, {0xb662, 0x0000}, {0xbf00, 0x0000}};
  static const uint32_t rare[] = {0xb672, 0xbf30, 0xbf20, 0xdf00, 0xbf10};
  if (one_in(d, 60)) return (uint16_t)ONE_OF(d, rare);
  uint32_t shape = below(d, ROWS_COUNT(shapes));
  uint32_t code = shapes[shape].fixed | (roll(d) & shapes[shape].free);
  bool list = (code & 0xf000u) == 0xc000u || (code & 0xf600u) == 0xb400u;
  return (uint16_t)(list ? code | 1u << below(d, 5) : code);
}

static uint16_t second_half(struct dice *d)
{
  static const uint32_t likely[] = {0x8f4f, 0x8f5f, 0x8f6f, 0x8000,
                                    0x8100, 0x8808, 0x8809, 0x8810,
                                    0x8814, 0xf800, 0xffff, 0xd000};
  return (uint16_t)(one_in(d, 3) ? roll(d) : ONE_OF(d, likely));
}

/* --- the world ---------------------------------------------------------- */

/* What the device does hangs on the address alone. */
static struct bus_answer answer(void *chip, const struct bus_access *a)
{
  struct bench *b = chip;
  uint32_t mixed = (a->at >> 2) * 0x9e3779b1u;
  if (b->access_count < BENCH_LOG) b->accesses[b->access_count] = *a;
  b->access_count++;
  switch (mixed >> 28) {
  case 0: core_attend(&b->core); break;
  case 1: b->core.deadline = a->stamp + 2; break;
  case 2: core_pend(&b->core, &b->bus, EXCEPTION_IRQ0 + 1); break;
  case 3: core_pend(&b->core, &b->bus, EXCEPTION_NMI); break;
  default: break;
  }
  return (struct bus_answer){.value = mixed,
                             .stall = (mixed >> 20) % 5 == 0 ? 3 : 0,
                             .fault = a->at - DEVICE >= DEVICE_OK};
}

/* A stretch ends where it gets to RAM: an engine may see a store to the next
 * few instructions late (core/cpu.h). */
static cycle_t enter(void *chip, unsigned region, addr_t pc, cycle_t cycle)
{
  struct bench *b = chip;
  (void)cycle;
  b->enters++;
  if (region == IN_RAM) core_attend(&b->core);
  return region == IN_ROM && (pc & 2u) ? 7 : 0;
}

static void fill_with_code(struct dice *d, uint8_t *bytes, size_t size)
{
  for (size_t i = 0; i < size; i += 2) {
    uint16_t code = d->tame ? tame_opcode(d) : opcode(d);
    memcpy(bytes + i, &code, sizeof(code));
  }
}

static void fill_with_numbers(struct dice *d, uint8_t *bytes, size_t size)
{
  for (size_t i = 0; i < size; i += 4) {
    uint32_t value = number(d);
    memcpy(bytes + i, &value, sizeof(value));
  }
}

/* A handler for each exception, one in eight of them nowhere. Tame ones soon
 * return. */
static void fill_vectors(struct dice *d, struct bench *b)
{
  static const uint16_t back = 0x4770; /* BX LR */
  for (unsigned n = 0; n < EXCEPTION_IRQ0 + 32; n++) {
    addr_t handler = HANDLERS + 0x40 * n;
    uint32_t vector = handler | 1u;
    if (!d->tame && one_in(d, 8)) vector = number(d);
    memcpy(b->flash + 4 * n, &vector, sizeof(vector));
    uint32_t length = 2 * below(d, 12);
    if (d->tame) memcpy(b->flash + (handler - FLASH) + length, &back, 2);
  }
}

struct bench *random_world(struct dice *d)
{
  static const uint32_t aliases[] = {IN_FLASH, IN_FLASH, IN_ROM, IN_RAM,
                                     BUS_NO_REGION};
  struct bench *b = bench_new((enum core_kind)below(d, 2), 1);
  d->tame = one_in(d, 2);
  if (one_in(d, 4))
    b->part.multiplier = (struct quantity){.min = 32, .typ = 32, .max = 32};
  b->part.vector_base = b->part.kind == CORE_KIND_M0PLUS;
  b->part.fetch_bytes = one_in(d, 2) ? 2 : 4;
  b->bus.access = answer;
  b->bus.enter = enter;
  b->bus.alias = ONE_OF(d, aliases);
  if (one_in(d, 3)) b->bus.regions[IN_FLASH].wait_states = 1 + below(d, 3);
  b->bus.regions[IN_NEAR] =
      (struct bus_region){"near", NEAR, NEAR_SIZE, NULL, true, false, 0};
  b->bus.regions[IN_NEXT] =
      (struct bus_region){"next", NEXT, NEXT_SIZE, NULL, false, false, 0};
  b->bus.region_count = RANDOM_REGIONS;
  b->bus.watches[0] = FLASH + 2 * below(d, FLASH_SIZE / 2);
  b->bus.watches[1] = HANDLERS + 0x40 * EXCEPTION_HARDFAULT;
  b->bus.watch_count = 2;
  fill_with_code(d, b->flash, FLASH_SIZE);
  fill_with_code(d, b->rom, ROM_SIZE);
  fill_with_numbers(d, b->ram, RAM_SIZE);
  fill_vectors(d, b);
  return b;
}

/* --- a state ------------------------------------------------------------ */

static void choose_exceptions(struct dice *d, struct core *c)
{
  static const uint32_t numbers[] = {EXCEPTION_NMI,     EXCEPTION_HARDFAULT,
                                     EXCEPTION_SVCALL,  EXCEPTION_PENDSV,
                                     EXCEPTION_SYSTICK, EXCEPTION_IRQ0 + 1};
  for (unsigned n = EXCEPTION_SVCALL; n < EXCEPTION_IRQ0 + 32; n++)
    c->priority[n] = (uint8_t)(below(d, 4) << 6);
  if (one_in(d, 2)) {
    uint32_t current = ONE_OF(d, numbers);
    c->xpsr |= current;
    nvic_add(&c->active, current);
    if (one_in(d, 2)) nvic_add(&c->active, ONE_OF(d, numbers));
  }
  for (unsigned n = EXCEPTION_IRQ0; n < EXCEPTION_IRQ0 + 32; n++)
    if (one_in(d, 2)) nvic_add(&c->enabled, n);
  unsigned waits = 2 + below(d, 46);
  if (one_in(d, 3) && (waits == EXCEPTION_NMI || nvic_can_pend(c, waits)))
    nvic_add(&c->pending, waits);
}

static void choose_registers(struct dice *d, struct core *c)
{
  for (unsigned i = 0; i < 15; i++)
    c->r[i] = number(d);
  c->r[13] &= ~3u;
  c->msp = pointer(d) & ~3u;
  c->psp = pointer(d) & ~3u;
  if (!one_in(d, 4)) c->r[13] = RAM + 4 * below(d, RAM_SIZE / 4);
  c->primask = one_in(d, 3);
  c->event = one_in(d, 2);
  c->xpsr |= CORE_THUMB | (roll(d) & CORE_FLAGS);
  bool thread = (c->xpsr & CORE_EXCEPTION) == 0;
  if (thread && one_in(d, 2)) c->control |= CORE_PROCESS_STACK;
  if (c->part->kind == CORE_KIND_M0PLUS && one_in(d, 3))
    c->control |= CORE_UNPRIVILEGED;
}

/* For tame code: where its accesses go. */
static void choose_pointers(struct dice *d, struct core *c)
{
  c->r[6] = RAM + 0x400 + 4 * below(d, 64);
  c->r[7] = DEVICE + 4 * below(d, 128);
  c->r[13] = RAM + 0xa00 + 4 * below(d, 64);
  c->msp = RAM + 0xc00 + 4 * below(d, 64);
  c->psp = RAM + 0xe00 + 4 * below(d, 64);
  c->primask = 0;
}

static void choose_debug(struct dice *d, struct core *c)
{
  c->debug_enabled = one_in(d, 8);
  c->catch_hardfault = one_in(d, 8);
  c->debug_mask = c->debug_enabled && one_in(d, 8);
  c->debug_step = c->debug_enabled && one_in(d, 8);
  c->system_control = one_in(d, 8) ? 0x16 : 0;
}

/* Somewhere it can be fetched from, often at the very end of a region. */
static addr_t choose_pc(struct dice *d, const struct bus *bus, bool stretch)
{
  const struct bus_region *r =
      &bus->regions[stretch ? IN_FLASH : below(d, REGIONS)];
  uint32_t into = below(d, r->size / 2) * 2;
  if (one_in(d, 16)) into = r->size - 2 - 2 * below(d, 2);
  bool at_zero = one_in(d, 4) && bus->alias != BUS_NO_REGION &&
                 r == &bus->regions[bus->alias];
  return (at_zero ? 0 : r->at) + into;
}

/* In a stretch: interrupts while it runs. */
static void choose_requests(struct dice *d, struct random_state *s)
{
  cycle_t at = s->core.cycle;
  s->tick = one_in(d, 2) ? 8 + below(d, 60) : 0;
  unsigned count = below(d, RANDOM_REQUESTS + 1);
  while (s->request_count < count) {
    unsigned number = 2 + below(d, 46);
    if (one_in(d, 3)) number = EXCEPTION_IRQ0 + below(d, 8);
    if (number != EXCEPTION_NMI && !nvic_can_pend(&s->core, number)) continue;
    at += 1 + below(d, 40);
    s->requests[s->request_count].at = at;
    s->requests[s->request_count++].number = number;
  }
  s->until = at + 1 + below(d, 80);
}

struct random_state random_state(struct dice *d, const struct bench *world)
{
  struct random_state s = {.alone = one_in(d, 2)};
  struct core *c = &s.core;
  s.stretch = one_in(d, 4);
  core_init(c, &world->part);
  c->mode = CORE_RUNNING;
  c->cycle = 1000 + below(d, 1000);
  c->instructions = below(d, 1000);
  c->vector_base = world->bus.alias == IN_FLASH && one_in(d, 2) ? 0 : FLASH;
  choose_exceptions(d, c);
  choose_registers(d, c);
  choose_debug(d, c);
  c->r[15] = choose_pc(d, &world->bus, s.stretch);
  c->region = one_in(d, 8) ? IN_ROM : bus_find(&world->bus, c->r[15], NULL);
  c->fetched = one_in(d, 2) ? CORE_NOT_FETCHED : (c->r[15] & ~3u);
  if (s.alone && !one_in(d, 4)) c->break_at = CYCLE_NEVER;
  s.until = c->cycle + 1;
  if (s.stretch && d->tame) choose_pointers(d, c);
  if (s.stretch) choose_requests(d, &s);
  s.code[0] = opcode(d);
  s.code[1] = second_half(d);
  return s;
}

/* The breakpoint unit: comparators that stop the core in front of an
 * instruction.
 *
 * ARM DDI 0419E C1.8 (v6-M); v7-M from memory of ARM DDI 0403E C1.11. Not
 * modelled: remapping of code and literals (v7-M); the two literal
 * comparators of v7-M are there and never match.
 */
#include "core/breakpoint.h"

#include "core/core.h"

#define UNIT      0xe0002000u
#define UNIT_SIZE 0x1000u
#define COMPARE   0xe0002008u

#define CONTROL_ENABLE 0x1u
#define CONTROL_KEY    0x2u
#define CONTROL_V6M    0x00000040u /* four comparators */
#define CONTROL_V7M    0x00000260u /* six, and two for literals */
#define NUMBER_V6M     4u
#define NUMBER_V7M     6u

#define COMPARE_ENABLE 0x1u
#define COMPARE_BITS   0xdffffffdu
#define COMPARE_WORD   0x1ffffffcu
#define MATCH_LOWER    0x40000000u
#define MATCH_UPPER    0x80000000u

static unsigned comparators(const struct core *c)
{
  return core_is_v7m(c) ? NUMBER_V7M : NUMBER_V6M;
}

static bool shows(const struct core *c, addr_t at, bool debugger)
{
  return at - UNIT < UNIT_SIZE && (debugger || core_is_v7m(c));
}

bool core_breakpoint_read(const struct core *c, addr_t at, bool debugger,
                          uint32_t *value)
{
  unsigned index = (at - COMPARE) / 4;
  if (!shows(c, at, debugger)) return false;
  *value = 0;
  if (at == UNIT)
    *value = (core_is_v7m(c) ? CONTROL_V7M : CONTROL_V6M) |
             (c->breakpoints.enabled ? CONTROL_ENABLE : 0);
  else if (index < CORE_BREAKPOINTS)
    *value = c->breakpoints.compare[index];
  return true;
}

bool core_breakpoint_write(struct core *c, addr_t at, uint32_t value,
                           bool debugger)
{
  unsigned index = (at - COMPARE) / 4;
  unsigned there = comparators(c) + (core_is_v7m(c) ? 2 : 0);
  if (!shows(c, at, debugger)) return false;
  if (at == UNIT && (value & CONTROL_KEY))
    c->breakpoints.enabled = value & CONTROL_ENABLE;
  else if (at >= COMPARE && index < there)
    c->breakpoints.compare[index] = value & COMPARE_BITS;
  c->boundary = true;
  return true;
}

bool breakpoint_at(const struct core *c, unsigned index, addr_t *first,
                   unsigned *halves)
{
  uint32_t compare = c->breakpoints.compare[index];
  if (!c->breakpoints.enabled || index >= comparators(c) ||
      !(compare & COMPARE_ENABLE))
    return false;
  *first = compare & COMPARE_WORD;
  *halves =
      (compare & MATCH_LOWER ? 1u : 0) | (compare & MATCH_UPPER ? 2u : 0);
  return *halves != 0;
}

bool breakpoint_holds(const struct core *c, addr_t pc)
{
  for (unsigned i = 0; i < CORE_BREAKPOINTS; i++) {
    addr_t first;
    unsigned halves;
    if (breakpoint_at(c, i, &first, &halves) && pc - first < 4 &&
        (halves >> ((pc - first) / 2) & 1u))
      return true;
  }
  return false;
}

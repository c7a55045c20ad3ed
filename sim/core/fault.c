#include "core/fault.h"

#include <assert.h>

#include "core/exception.h"
#include "core/nvic.h"

/* Bits of HFSR. */
#define HFSR_VECTOR 0x00000002u
#define HFSR_FORCED 0x40000000u
#define HFSR_DEBUG  0x80000000u

/* "Address register valid" in CFSR, beside the fault it belongs to. */
#define BFSR_VALID 0x00008000u

/* Bits of the debug fault status, ARM DDI 0419E Table C1-12. */
#define DEBUG_FAULT_VCATCH 0x8u

/* VC_* of DEMCR. */
#define CATCH_MEMMANAGE   0x010u
#define CATCH_COPROCESSOR 0x020u
#define CATCH_CHECK       0x040u
#define CATCH_STATE       0x080u
#define CATCH_BUS         0x100u
#define CATCH_INTERRUPT   0x200u

/* v7-M: a fault's own exception, its bit in CFSR, or in HFSR where it is
 * HardFault at once, and the vector catch that it triggers. */
static const struct row {
  unsigned exception;
  uint32_t bits;
  uint32_t catch;
} rows[FAULT_COUNT_] = {
    [FAULT_UNDEFINED] = {EXCEPTION_USAGEFAULT, 0x00010000u, CATCH_STATE},
    [FAULT_NOT_THUMB] = {EXCEPTION_USAGEFAULT, 0x00020000u, CATCH_STATE},
    [FAULT_RETURN] = {EXCEPTION_USAGEFAULT, 0x00040000u, CATCH_STATE},
    [FAULT_NO_COPROCESSOR] = {EXCEPTION_USAGEFAULT, 0x00080000u,
                              CATCH_COPROCESSOR},
    [FAULT_UNALIGNED] = {EXCEPTION_USAGEFAULT, 0x01000000u, CATCH_CHECK},
    [FAULT_DIVIDE] = {EXCEPTION_USAGEFAULT, 0x02000000u, CATCH_CHECK},
    [FAULT_NEVER_EXECUTE] = {EXCEPTION_MEMMANAGE, 0x00000001u,
                             CATCH_MEMMANAGE},
    [FAULT_FETCH] = {EXCEPTION_BUSFAULT, 0x00000100u, CATCH_BUS},
    [FAULT_DATA] = {EXCEPTION_BUSFAULT, 0x00000200u | BFSR_VALID, CATCH_BUS},
    [FAULT_DATA_LATE] = {EXCEPTION_BUSFAULT, 0x00000400u, CATCH_BUS},
    [FAULT_UNSTACKING] = {EXCEPTION_BUSFAULT, 0x00000800u, CATCH_INTERRUPT},
    [FAULT_STACKING] = {EXCEPTION_BUSFAULT, 0x00001000u, CATCH_INTERRUPT},
    [FAULT_LAZY] = {EXCEPTION_BUSFAULT, 0x00002000u, CATCH_BUS},
    [FAULT_VECTOR] = {EXCEPTION_HARDFAULT, HFSR_VECTOR, CATCH_INTERRUPT},
    [FAULT_BREAKPOINT] = {EXCEPTION_HARDFAULT, HFSR_DEBUG, 0},
    [FAULT_ESCALATED] = {EXCEPTION_HARDFAULT, HFSR_FORCED, 0},
};

static bool can_be_taken(const struct core *c, unsigned number)
{
  return nvic_has(&c->enabled, number) &&
         nvic_priority_of(c, number) < nvic_priority(c);
}

unsigned fault_record(struct core *c, enum fault fault, addr_t at)
{
  const struct row *r = &rows[fault];
  c->debug_catch |= r->catch & c->catch_faults;
  if (r->exception == EXCEPTION_HARDFAULT) {
    c->fault_status.hard |= r->bits;
    return EXCEPTION_HARDFAULT;
  }
  c->fault_status.configurable |= r->bits;
  if (r->bits & BFSR_VALID) c->fault_status.bus = at;
  if (can_be_taken(c, r->exception)) return r->exception;
  c->fault_status.hard |= HFSR_FORCED;
  return EXCEPTION_HARDFAULT;
}

void fault_take(struct core *c, const struct bus *bus, enum fault fault,
                addr_t at)
{
  unsigned number = EXCEPTION_HARDFAULT;
  int priority = core_is_v7m(c) ? nvic_priority(c) : nvic_active_priority(c);
  if (core_is_v7m(c)) number = fault_record(c, fault, at);
  if (number == EXCEPTION_HARDFAULT && priority <= NVIC_PRIORITY_HARDFAULT)
    exception_lock(c, bus);
  else
    exception_take(c, bus, number, c->r[15]);
}

void fault_pend(struct core *c, enum fault fault)
{
  unsigned number = rows[fault].exception;
  c->fault_status.configurable |= rows[fault].bits;
  c->debug_catch |= rows[fault].catch & c->catch_faults;
  if (!nvic_has(&c->enabled, number)) {
    c->fault_status.hard |= HFSR_FORCED;
    number = EXCEPTION_HARDFAULT;
  }
  nvic_add(&c->pending, number);
  c->boundary = true;
}

enum fault fault_of_fetch(addr_t at)
{
  return bus_execute_never(at) ? FAULT_NEVER_EXECUTE : FAULT_FETCH;
}

void fault_catch(struct core *c, const struct bus *bus, unsigned number)
{
  bool wanted = c->debug_catch != 0 ||
                (number == EXCEPTION_HARDFAULT && c->catch_hardfault);
  c->debug_catch = 0;
  if (!c->debug_enabled || !wanted) return;
  c->debug_fault_status |= DEBUG_FAULT_VCATCH;
  core_enter_mode(c, bus, CORE_HALTED);
}

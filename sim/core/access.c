#include "core/access.h"

#include "core/bitband.h"
#include "core/fault.h"
#include "core/nvic.h"
#include "core/scs.h"

struct bus_answer access_device(struct core *c, const struct bus *bus,
                                const struct bus_access *a, bool privileged)
{
  struct bus_answer answer = {0};
  if (bitband_covers(c->part, a->at)) return bitband_access(c, bus, a);
  if (!bus_private(a->at)) return bus->access(bus->chip, a);
  answer.fault = !scs_access(c, bus, a, privileged, &answer.value);
  return answer;
}

bool access_ignores_fault(struct core *c, const struct bus_access *a)
{
  if (!core_is_v7m(c) || bus_private(a->at) ||
      !(c->configuration & FAULT_CCR_IGNORE) || nvic_priority(c) >= 0)
    return false;
  fault_record(c, FAULT_DATA, a->at);
  return true;
}

#include "board/probe.h"

#include <string.h>

#include "chip/roles.h"

/* ARM DDI 0419E B3.2.7 */
#define SCR_SLEEP_DEEP 0x4u

static bool sleeps_deeply(const struct chip *c)
{
  return c->core.mode == CORE_SLEEPING &&
         (c->core.system_control & SCR_SLEEP_DEEP);
}

/* Before the first instruction after a reset, and in the boot ROM. */
static bool is_shut(const struct chip *c)
{
  uint32_t offset;
  uint32_t region = memory_find(&c->memory, c->core.r[15], 1, &offset);
  bool rom = region != PART_NONE && c->part->memory[region].kind == MEMORY_ROM;
  return chip_line_low(c) || boot_busy(&c->boot) || rom;
}

static bool pins_taken(const struct chip *c)
{
  return (c->pins.output | c->pins.taken) & c->part->pins.debug;
}

bool probe_reaches_port(const struct chip *c, enum trace_obstacle *why)
{
  if (!c->rail.up) {
    *why = OBSTACLE_NO_POWER;
    return false;
  }
  if (chip_line_low(c) && !c->part->probe.port_in_reset) {
    *why = OBSTACLE_IN_RESET;
    return false;
  }
  if (c->part->probe.shut_in_rom && is_shut(c))
    *why = OBSTACLE_ROM;
  else if (sleeps_deeply(c) && !c->part->probe.port_in_deep_sleep)
    *why = OBSTACLE_ASLEEP;
  else if (pins_taken(c))
    *why = OBSTACLE_PINS_TAKEN;
  else
    return true;
  return false;
}

bool probe_reaches_memory(const struct probe *p, const struct chip *c,
                          enum trace_obstacle *why)
{
  if (!probe_reaches_port(c, why)) return false;
  if (boot_busy(&c->boot) && !c->part->probe.memory_in_reset) {
    *why = OBSTACLE_IN_RESET;
    return false;
  }
  if (!p->attached || !c->core.debug_enabled) {
    *why = OBSTACLE_NOT_ATTACHED;
    return false;
  }
  return true;
}

void probe_attach(struct probe *p, struct chip *c)
{
  p->attached = true;
  c->core.debug_enabled = true;
}

static void clean(struct core *c)
{
  c->debug_enabled = c->catch_hardfault = false;
  c->catch_faults = 0;
  c->breakpoints.enabled = false;
}

void probe_detach(struct probe *p, struct chip *c, bool cleans, ps_t now)
{
  if (c->core.mode == CORE_HALTED) chip_go(c, now);
  p->attached = false;
  if (cleans) clean(&c->core);
  c->core.catch_reset = false;
}

bool probe_read(struct chip *c, addr_t at, ps_t now, uint32_t *value)
{
  return chip_memory_read(c, at, now, value) ||
         core_scs_read(&c->core, at, true, value) ||
         core_breakpoint_read(&c->core, at, true, value) ||
         chip_register_read(c, at, now, value);
}

static bool write_ram(struct chip *c, addr_t at, uint32_t value)
{
  uint32_t offset;
  uint32_t region = memory_find(&c->memory, at, 4, &offset);
  if (region == PART_NONE || c->part->memory[region].kind != MEMORY_RAM)
    return false;
  memcpy(c->memory.bytes[region] + offset, &value, 4);
  cpu_invalidate(c->cpu, at, 4);
  return true;
}

bool probe_write(struct chip *c, addr_t at, uint32_t value, ps_t now)
{
  return write_ram(c, at, value) ||
         core_scs_write(&c->core, &c->bus, at, value, true) ||
         core_breakpoint_write(&c->core, at, value, true) ||
         chip_register_write(c, at, value, now);
}

static uint32_t with_keys(const struct part_register *reg,
                          const struct part_field *field, uint32_t value)
{
  uint32_t word = (value & roles_field_mask(field)) << field->lsb;
  for (uint32_t i = 0; i < reg->field_count; i++)
    if (&reg->fields[i] != field && reg->fields[i].key_count > 0)
      word |= reg->fields[i].keys[0] << reg->fields[i].lsb;
  return word;
}

bool probe_role_word(const struct part *part, enum role role, uint32_t index,
                     uint32_t value, addr_t *at, uint32_t *word)
{
  for (uint32_t i = 0; i < part->register_count; i++) {
    const struct part_register *reg = &part->registers[i];
    for (uint32_t k = 0; k < reg->field_count; k++) {
      const struct part_field *field = &reg->fields[k];
      if (field->role != role || field->index != index) continue;
      *at = reg->at;
      *word = with_keys(reg, field, value);
      return true;
    }
  }
  return false;
}

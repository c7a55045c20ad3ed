#include "core/semihost.h"

#include <stdbool.h>

#include "describe/trace_kinds.h"

enum {
  SYS_OPEN = 0x01,
  SYS_WRITEC = 0x03,
  SYS_WRITE0 = 0x04,
  SYS_WRITE = 0x05,
  SYS_EXIT = 0x18,
  SYS_EXIT_EXTENDED = 0x20
};

enum { HANDLE_OUTPUT = 1, HANDLE_ERROR = 2 };
enum { MODE_WRITE = 4, MODE_APPEND = 8, MODE_END = 12 }; /* of SYS_OPEN */

#define REASON_EXIT  0x20026u /* ADP_Stopped_ApplicationExit */
#define MOST_WRITTEN 0x10000u /* bytes of one call */
#define REFUSED      UINT32_MAX

static bool word_at(const struct bus *bus, addr_t at, uint32_t *value)
{
  return bus_peek(bus, at, 4, value);
}

static void say(struct core *c, const struct bus *bus, uint32_t byte,
                uint32_t handle)
{
  bus->report(bus->chip, c->cycle, TRACE_SAID, byte, handle);
}

static void write_string(struct core *c, const struct bus *bus, addr_t at)
{
  uint32_t byte;
  for (uint32_t i = 0; i < MOST_WRITTEN; i++) {
    if (!bus_peek(bus, at + i, 1, &byte) || byte == 0) return;
    say(c, bus, byte, HANDLE_OUTPUT);
  }
}

/* Bytes that were not written. */
static uint32_t write_block(struct core *c, const struct bus *bus, addr_t at)
{
  uint32_t handle, from, length, byte, i = 0;
  if (!word_at(bus, at, &handle) || !word_at(bus, at + 4, &from) ||
      !word_at(bus, at + 8, &length))
    return REFUSED;
  if (handle != HANDLE_OUTPUT && handle != HANDLE_ERROR) return length;
  for (; i < length && i < MOST_WRITTEN; i++) {
    if (!bus_peek(bus, from + i, 1, &byte)) break;
    say(c, bus, byte, handle);
  }
  return length - i;
}

static uint32_t open_console(const struct bus *bus, addr_t at)
{
  static const char name[] = ":tt";
  uint32_t from, mode, byte;
  if (!word_at(bus, at, &from) || !word_at(bus, at + 4, &mode)) return REFUSED;
  for (uint32_t i = 0; i < sizeof(name); i++) {
    if (!bus_peek(bus, from + i, 1, &byte) || byte != (uint8_t)name[i])
      return REFUSED;
  }
  if (mode < MODE_WRITE || mode >= MODE_END) return REFUSED;
  return mode < MODE_APPEND ? HANDLE_OUTPUT : HANDLE_ERROR;
}

static void end(struct core *c, const struct bus *bus, uint32_t reason,
                uint32_t status)
{
  if (reason != REASON_EXIT) status = 1;
  bus->report(bus->chip, c->cycle, TRACE_EXITED, status, reason);
  core_enter_mode(c, bus, CORE_HALTED);
}

static uint32_t perform(struct core *c, const struct bus *bus)
{
  addr_t at = c->r[1];
  uint32_t byte, reason, status;
  switch (c->r[0]) {
  case SYS_OPEN: return open_console(bus, at);
  case SYS_WRITE: return write_block(c, bus, at);
  case SYS_WRITE0: write_string(c, bus, at); break;
  case SYS_WRITEC:
    if (bus_peek(bus, at, 1, &byte)) say(c, bus, byte, HANDLE_OUTPUT);
    break;
  case SYS_EXIT: end(c, bus, at, 0); break;
  case SYS_EXIT_EXTENDED:
    if (!word_at(bus, at, &reason) || !word_at(bus, at + 4, &status))
      return REFUSED;
    end(c, bus, reason, status);
    break;
  default: return REFUSED;
  }
  return c->r[0];
}

void semihost_call(struct core *c, const struct bus *bus)
{
  c->instructions++;
  c->r[15] += 2;
  c->r[0] = perform(c, bus);
}

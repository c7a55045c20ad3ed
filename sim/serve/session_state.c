/* Registers, memory and flash, read and written. */
#include <inttypes.h>

#include "serve/gdb_registers.h"
#include "serve/session_parts.h"
#include "serve/space.h"

/* --- registers ----------------------------------------------------------- */

void session_put_register(struct session *s, uint32_t number)
{
  const struct core *core = &s->target->machine->chip.core;
  uint8_t bytes[GDB_WIDEST_REGISTER];
  gdb_registers_read(core, number, bytes);
  packet_hex(&s->writer, bytes, gdb_registers_size(core, number));
}

static void read_all(struct session *s, struct scan *rest)
{
  const struct core *core = &s->target->machine->chip.core;
  if (scan_left(rest) > 0) {
    session_say(s, SESSION_MALFORMED);
    return;
  }
  session_begin(s);
  for (uint32_t i = 0; gdb_registers_size(core, i) > 0; i++)
    session_put_register(s, i);
  session_end(s);
}

bool session_may_write_registers(struct session *s)
{
  if (target_halted(s->target)) return true;
  target_tell(s->target, "registers can be written only while the core is "
                         "halted by the probe");
  session_say(s, SESSION_IMPOSSIBLE);
  return false;
}

/* From `bytes`, those from register `number` on, `count` of them. */
static void store_registers(struct session *s, uint32_t number, uint32_t count,
                            const uint8_t *bytes)
{
  struct core *core = &s->target->machine->chip.core;
  uint32_t pc = core->r[GDB_PC_NUMBER];
  for (; count > 0; count--, number++) {
    gdb_registers_write(core, number, bytes);
    bytes += gdb_registers_size(core, number);
  }
  if (core->r[GDB_PC_NUMBER] != pc) target_tell_pc(s->target);
  session_say(s, "OK");
}

static void write_all(struct session *s, struct scan *rest)
{
  const struct core *core = &s->target->machine->chip.core;
  uint8_t bytes[GDB_REGISTERS_BYTES];
  uint32_t size = 0, count = 0;
  for (; gdb_registers_size(core, count) > 0; count++)
    size += gdb_registers_size(core, count);
  if (!scan_hex(rest, bytes, size) || scan_left(rest) > 0)
    session_say(s, SESSION_MALFORMED);
  else if (session_may_write_registers(s))
    store_registers(s, 0, count, bytes);
}

static bool scan_register(struct session *s, struct scan *rest,
                          uint32_t *number, uint32_t *size)
{
  if (!scan_number(rest, number)) {
    session_say(s, SESSION_MALFORMED);
    return false;
  }
  *size = gdb_registers_size(&s->target->machine->chip.core, *number);
  if (*size > 0) return true;
  session_say(s, SESSION_NOTHING);
  return false;
}

static void read_one(struct session *s, struct scan *rest)
{
  uint32_t number, size;
  if (!scan_register(s, rest, &number, &size)) return;
  session_begin(s);
  session_put_register(s, number);
  session_end(s);
}

static void write_one(struct session *s, struct scan *rest)
{
  uint32_t number, size;
  uint8_t bytes[GDB_WIDEST_REGISTER];
  if (!scan_register(s, rest, &number, &size)) return;
  if (!scan_text(rest, "=") || !scan_hex(rest, bytes, size) ||
      scan_left(rest) > 0)
    session_say(s, SESSION_MALFORMED);
  else if (session_may_write_registers(s))
    store_registers(s, number, 1, bytes);
}

/* --- memory -------------------------------------------------------------- */

/* "ADDRESS,LENGTH" */
static bool scan_range(struct session *s, struct scan *rest, uint32_t *at,
                       uint32_t *size)
{
  if (scan_number(rest, at) && scan_text(rest, ",") && scan_number(rest, size))
    return true;
  session_say(s, SESSION_MALFORMED);
  return false;
}

static void read_memory(struct session *s, struct scan *rest)
{
  uint8_t bytes[PACKET_BYTES / 2];
  uint32_t at, size;
  if (!scan_range(s, rest, &at, &size)) return;
  if (size > sizeof bytes) size = sizeof bytes;
  uint32_t count = space_read(s->target, at, bytes, size);
  if (count == 0 && size > 0) {
    session_say(s, SESSION_NOTHING);
    return;
  }
  session_begin(s);
  packet_hex(&s->writer, bytes, count);
  session_end(s);
}

static void store(struct session *s, uint32_t at, const uint8_t *bytes,
                  uint32_t size)
{
  bool done = space_write(s->target, at, bytes, size);
  session_say(s, done ? "OK" : SESSION_NOTHING);
}

static void write_hex(struct session *s, struct scan *rest)
{
  uint8_t bytes[PACKET_BYTES / 2];
  uint32_t at, size;
  if (!scan_range(s, rest, &at, &size)) return;
  if (size > sizeof bytes || !scan_text(rest, ":") ||
      !scan_hex(rest, bytes, size) || scan_left(rest) > 0)
    session_say(s, SESSION_MALFORMED);
  else
    store(s, at, bytes, size);
}

static void write_binary(struct session *s, struct scan *rest)
{
  uint32_t at, size;
  if (!scan_range(s, rest, &at, &size)) return;
  if (!scan_text(rest, ":") || scan_left(rest) != size)
    session_say(s, SESSION_MALFORMED);
  else
    store(s, at, rest->at, size);
}

/* --- flash --------------------------------------------------------------- */

static void erase_flash(struct session *s, struct scan *rest)
{
  uint32_t at, size;
  if (!scan_range(s, rest, &at, &size)) return;
  session_say(s, loading_erase(s->target, at, size) ? "OK" : SESSION_REFUSED);
}

static void stage_flash(struct session *s, struct scan *rest)
{
  uint32_t at;
  if (!scan_number(rest, &at) || !scan_text(rest, ":"))
    session_say(s, SESSION_MALFORMED);
  else if (loading_stage(&s->loading, s->target, at, rest->at,
                         (uint32_t)scan_left(rest)))
    session_say(s, "OK");
  else
    session_say(s, "E.memtype");
}

static void program_flash(struct session *s, struct scan *rest)
{
  (void)rest;
  session_say(s,
              loading_done(&s->loading, s->target) ? "OK" : SESSION_REFUSED);
}

/* --- the table ----------------------------------------------------------- */

const struct session_row session_state_rows[] = {
    {"g", read_all},
    {"G", write_all},
    {"p", read_one},
    {"P", write_one},
    {"m", read_memory},
    {"M", write_hex},
    {"X", write_binary},
    {"vFlashErase:", erase_flash},
    {"vFlashWrite:", stage_flash},
    {"vFlashDone", program_flash},
    {NULL, NULL},
};

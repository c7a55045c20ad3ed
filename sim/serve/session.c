#include "serve/session.h"

#include <inttypes.h>
#include <string.h>

#include "serve/gdb_registers.h"
#include "serve/space.h"

/* Signals as gdb numbers them: GDB manual, include/gdb/signals.def. */
enum { SIGNAL_NONE = 0, SIGNAL_INT = 2, SIGNAL_TRAP = 5, SIGNAL_SEGV = 11 };

/* --- answers ------------------------------------------------------------- */

void session_begin(struct session *s)
{
  packet_begin(&s->writer);
}

static void send_last(struct session *s)
{
  s->send(s->context, s->writer.bytes, s->writer.size);
}

void session_end(struct session *s)
{
  packet_end(&s->writer);
  send_last(s);
}

void session_say(struct session *s, const char *text)
{
  session_begin(s);
  packet_text(&s->writer, text);
  session_end(s);
}

void session_print(struct session *s, const char *text, size_t size)
{
  const size_t most = PACKET_BYTES / 2 - 1;
  while (size > 0) {
    size_t some = size < most ? size : most;
    session_begin(s);
    packet_text(&s->writer, "O");
    packet_hex(&s->writer, (const uint8_t *)text, some);
    session_end(s);
    text += some;
    size -= some;
  }
}

static void put_register(struct session *s, uint32_t number)
{
  const struct core *core = &s->target->machine->chip.core;
  uint8_t bytes[GDB_WIDEST_REGISTER];
  gdb_registers_read(core, number, bytes);
  packet_hex(&s->writer, bytes, gdb_registers_size(core, number));
}

/* With the two registers that gdb wants first. */
static void tell_stop(struct session *s)
{
  static const uint8_t signals[] = {
      [TARGET_GOES] = SIGNAL_NONE, [TARGET_TRAP] = SIGNAL_TRAP,
      [TARGET_ASKED] = SIGNAL_INT, [TARGET_LOCKUP] = SIGNAL_SEGV,
      [TARGET_IDLE] = SIGNAL_NONE, [TARGET_LIMIT] = SIGNAL_NONE,
  };
  session_begin(s);
  packet_text(&s->writer, "T");
  packet_hex(&s->writer, &signals[s->target->stop], 1);
  packet_text(&s->writer, "0d:");
  put_register(s, GDB_SP_NUMBER);
  packet_text(&s->writer, ";0f:");
  put_register(s, GDB_PC_NUMBER);
  packet_text(&s->writer, ";");
  session_end(s);
}

/* --- registers ----------------------------------------------------------- */

static void read_all(struct session *s, struct scan *rest)
{
  const struct core *core = &s->target->machine->chip.core;
  if (scan_left(rest) > 0) {
    session_say(s, SESSION_MALFORMED);
    return;
  }
  session_begin(s);
  for (uint32_t i = 0; gdb_registers_size(core, i) > 0; i++)
    put_register(s, i);
  session_end(s);
}

static bool may_write_registers(struct session *s)
{
  if (target_halted(s->target)) return true;
  target_tell(s->target, "registers can be written only while the core is "
                         "halted by the probe");
  session_say(s, SESSION_IMPOSSIBLE);
  return false;
}

static void write_all(struct session *s, struct scan *rest)
{
  struct core *core = &s->target->machine->chip.core;
  uint8_t bytes[GDB_REGISTERS_BYTES];
  uint32_t size = 0;
  for (uint32_t i = 0; gdb_registers_size(core, i) > 0; i++)
    size += gdb_registers_size(core, i);
  if (!scan_hex(rest, bytes, size) || scan_left(rest) > 0) {
    session_say(s, SESSION_MALFORMED);
    return;
  }
  if (!may_write_registers(s)) return;
  size = 0;
  for (uint32_t i = 0; gdb_registers_size(core, i) > 0; i++) {
    gdb_registers_write(core, i, bytes + size);
    size += gdb_registers_size(core, i);
  }
  session_say(s, "OK");
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
  put_register(s, number);
  session_end(s);
}

static void write_one(struct session *s, struct scan *rest)
{
  uint32_t number, size;
  uint8_t bytes[GDB_WIDEST_REGISTER];
  if (!scan_register(s, rest, &number, &size)) return;
  if (!scan_text(rest, "=") || !scan_hex(rest, bytes, size) ||
      scan_left(rest) > 0) {
    session_say(s, SESSION_MALFORMED);
    return;
  }
  if (!may_write_registers(s)) return;
  gdb_registers_write(&s->target->machine->chip.core, number, bytes);
  session_say(s, "OK");
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

/* --- breakpoints --------------------------------------------------------- */

/* "TYPE,ADDRESS,KIND"; conditions and commands are gdb's business. */
static bool scan_break(struct session *s, struct scan *rest, uint32_t *type,
                       uint32_t *at)
{
  uint32_t kind;
  if (scan_number(rest, type) && scan_text(rest, ",") &&
      scan_number(rest, at) && scan_text(rest, ",") &&
      scan_number(rest, &kind)) {
    if (*type <= 1) return true;
    session_say(s, ""); /* watchpoints are not known here */
    return false;
  }
  session_say(s, SESSION_MALFORMED);
  return false;
}

static void set_break(struct session *s, struct scan *rest)
{
  uint32_t type, at;
  if (!scan_break(s, rest, &type, &at)) return;
  if (!target_reaches(s->target, "set a breakpoint")) {
    session_say(s, SESSION_IMPOSSIBLE);
    return;
  }
  switch (breaks_set(&s->target->breaks, at, type == 0)) {
  case BREAKS_DONE: session_say(s, "OK"); return;
  case BREAKS_NONE_LEFT:
    target_tell(s->target,
                "no breakpoint is left: the part's unit has %" PRIu32
                " comparators",
                breaks_comparators(&s->target->breaks));
    break;
  case BREAKS_OUT_OF_REACH:
    target_tell(s->target,
                "0x%08" PRIx32 " is out of reach of the breakpoint unit", at);
    break;
  }
  session_say(s, SESSION_IMPOSSIBLE);
}

static void clear_break(struct session *s, struct scan *rest)
{
  uint32_t type, at;
  if (!scan_break(s, rest, &type, &at)) return;
  session_say(s,
              breaks_clear(&s->target->breaks, at) ? "OK" : SESSION_NOTHING);
}

/* --- going --------------------------------------------------------------- */

/* The answer comes when it stops. */
static void go(struct session *s, bool steps)
{
  target_go(s->target, steps);
}

/* "[ADDRESS]": from there on. */
static void go_from(struct session *s, struct scan *rest, bool steps)
{
  uint32_t at;
  if (scan_left(rest) > 0) {
    if (!scan_number(rest, &at) || scan_left(rest) > 0) {
      session_say(s, SESSION_MALFORMED);
      return;
    }
    if (!may_write_registers(s)) return;
    core_set_register(&s->target->machine->chip.core, 15, at);
  }
  go(s, steps);
}

static void resume(struct session *s, struct scan *rest)
{
  go_from(s, rest, false);
}

static void step(struct session *s, struct scan *rest)
{
  go_from(s, rest, true);
}

/* "SIGNAL[;ADDRESS]": there are no signals to be delivered. */
static void go_with_signal(struct session *s, struct scan *rest, bool steps)
{
  uint32_t number;
  if (!scan_number(rest, &number) ||
      (scan_left(rest) > 0 && !scan_text(rest, ";")))
    session_say(s, SESSION_MALFORMED);
  else
    go_from(s, rest, steps);
}

static void resume_with_signal(struct session *s, struct scan *rest)
{
  go_with_signal(s, rest, false);
}

static void step_with_signal(struct session *s, struct scan *rest)
{
  go_with_signal(s, rest, true);
}

static void tell_actions(struct session *s, struct scan *rest)
{
  (void)rest;
  session_say(s, "vCont;c;C;s;S");
}

/* The first action counts: it is that of the only thread. */
static void act(struct session *s, struct scan *rest)
{
  uint8_t action = scan_left(rest) > 0 ? *rest->at : 0;
  if (action == 'c' || action == 'C')
    go(s, false);
  else if (action == 's' || action == 'S')
    go(s, true);
  else
    session_say(s, SESSION_MALFORMED);
}

static void why_stopped(struct session *s, struct scan *rest)
{
  (void)rest;
  tell_stop(s);
}

/* --- the rest ------------------------------------------------------------ */

static void say_done(struct session *s, struct scan *rest)
{
  (void)rest;
  session_say(s, "OK");
}

static void detach(struct session *s, struct scan *rest)
{
  say_done(s, rest);
  s->over = true;
}

static void end_all(struct session *s, struct scan *rest)
{
  (void)rest;
  s->over = s->killed = true;
}

/* The first row that fits. */
static const struct row {
  const char *begins;
  void (*answer)(struct session *s, struct scan *rest);
} rows[] = {
    {"?", why_stopped},
    {"g", read_all},
    {"G", write_all},
    {"p", read_one},
    {"P", write_one},
    {"m", read_memory},
    {"M", write_hex},
    {"X", write_binary},
    {"Z", set_break},
    {"z", clear_break},
    {"c", resume},
    {"C", resume_with_signal},
    {"s", step},
    {"S", step_with_signal},
    {"vCont?", tell_actions},
    {"vCont;", act},
    {"vFlashErase:", erase_flash},
    {"vFlashWrite:", stage_flash},
    {"vFlashDone", program_flash},
    {"H", say_done},
    {"T", say_done},
    {"D", detach},
    {"k", end_all},
};

static void answer(struct session *s)
{
  struct scan rest = {s->reader.data, s->reader.data + s->reader.size};
  for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
    if (!scan_text(&rest, rows[i].begins)) continue;
    rows[i].answer(s, &rest);
    return;
  }
  if (!session_query(s, &rest)) session_say(s, "");
}

/* gdb sends none but 'k' while the target goes; any stops it first. */
static void take_packet(struct session *s)
{
  if (s->acks) s->send(s->context, (const uint8_t *)"+", 1);
  if (session_runs(s)) {
    target_interrupt(s->target);
    tell_stop(s);
  }
  answer(s);
}

static void take_bad(struct session *s, const char *why)
{
  target_tell(s->target, "a packet of gdb's %s", why);
  if (s->acks)
    s->send(s->context, (const uint8_t *)"-", 1);
  else
    session_say(s, SESSION_MALFORMED);
}

/* A packet that has no room would have none the next time either. */
static void take_long(struct session *s)
{
  target_tell(s->target, "a packet of gdb's is longer than %u bytes",
              PACKET_BYTES);
  if (s->acks) s->send(s->context, (const uint8_t *)"+", 1);
  session_say(s, SESSION_MALFORMED);
}

static void interrupt(struct session *s)
{
  if (!session_runs(s)) return;
  target_interrupt(s->target);
  tell_stop(s);
}

static void take_byte(struct session *s, uint8_t byte)
{
  switch (packet_take(&s->reader, byte)) {
  case PACKET_NOTHING:
  case PACKET_NOISE:
  case PACKET_ACK: break;
  case PACKET_COMPLETE: take_packet(s); break;
  case PACKET_BAD_SUM: take_bad(s, "has another checksum than it says"); break;
  case PACKET_TOO_LONG: take_long(s); break;
  case PACKET_AGAIN:
    if (s->acks && s->writer.size > 0) send_last(s);
    break;
  case PACKET_INTERRUPT: interrupt(s); break;
  }
}

/* --- the connection ------------------------------------------------------ */

void session_open(struct session *s, struct target *t, session_send send,
                  void *context)
{
  s->target = t;
  s->send = send;
  s->context = context;
  s->acks = true;
  s->over = s->killed = false;
  s->writer.size = 0;
  packet_reader_init(&s->reader);
  loading_init(&s->loading);
}

void session_close(struct session *s)
{
  if (session_runs(s)) target_interrupt(s->target);
  breaks_clear_all(&s->target->breaks);
  loading_free(&s->loading);
}

void session_take(struct session *s, const uint8_t *bytes, size_t size)
{
  for (size_t i = 0; i < size && !s->over; i++)
    take_byte(s, bytes[i]);
}

bool session_runs(const struct session *s)
{
  return s->target->stop == TARGET_GOES;
}

/* What the program said, and why time stands still where no signal says it. */
static void tell_user(struct session *s)
{
  static const char *const why[] = {
      [TARGET_LOCKUP] = "The core has locked up, and no reset follows.\n",
      [TARGET_IDLE] = "Nothing will happen by itself any more.\n",
      [TARGET_LIMIT] = "A limit was reached, of records or of time.\n",
  };
  struct target *t = s->target;
  session_print(s, t->said, t->said_count);
  t->said_count = 0;
  if (t->stop != TARGET_GOES && t->stop >= TARGET_LOCKUP)
    session_print(s, why[t->stop], strlen(why[t->stop]));
}

void session_pass(struct session *s)
{
  if (!session_runs(s)) return;
  target_pass(s->target);
  tell_user(s);
  if (!session_runs(s)) tell_stop(s);
}

/* Breakpoints, going, and why it stopped. */
#include <inttypes.h>

#include "serve/gdb_registers.h"
#include "serve/session_parts.h"

/* Signals as gdb numbers them: GDB manual, include/gdb/signals.def. */
enum { SIGNAL_NONE = 0, SIGNAL_INT = 2, SIGNAL_TRAP = 5, SIGNAL_SEGV = 11 };

/* With the two registers that gdb wants first. */
void session_tell_stop(struct session *s)
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
  session_put_register(s, GDB_SP_NUMBER);
  packet_text(&s->writer, ";0f:");
  session_put_register(s, GDB_PC_NUMBER);
  packet_text(&s->writer, ";");
  session_end(s);
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
  bool reaches = target_reaches(s->target, "set a breakpoint now");
  switch (breaks_set(&s->target->breaks, at, type == 0, reaches)) {
  case BREAKS_DONE: session_say(s, "OK"); return;
  case BREAKS_NONE_LEFT:
    target_tell(s->target,
                "no breakpoint is left: the part's unit has %" PRIu32
                " comparators",
                breaks_comparators(&s->target->breaks));
    break;
  case BREAKS_OUT_OF_REACH:
    target_tell(s->target,
                "0x%08" PRIx32 " is out of the breakpoint unit's reach", at);
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
  uint32_t at = 0;
  if (scan_left(rest) > 0) {
    if (!scan_number(rest, &at) || scan_left(rest) > 0) {
      session_say(s, SESSION_MALFORMED);
      return;
    }
    if (!session_may_write_registers(s)) return;
    core_set_register(&s->target->machine->chip.core, GDB_PC_NUMBER, at);
    target_tell_pc(s->target);
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
  session_tell_stop(s);
}

/* --- the table ----------------------------------------------------------- */

const struct session_row session_go_rows[] = {
    {"?", why_stopped},        {"Z", set_break},
    {"z", clear_break},        {"c", resume},
    {"C", resume_with_signal}, {"s", step},
    {"S", step_with_signal},   {"vCont?", tell_actions},
    {"vCont;", act},           {NULL, NULL},
};

#include "serve/session.h"

#include <string.h>

#include "serve/session_parts.h"

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

static const struct session_row other_rows[] = {
    {"H", say_done}, {"T", say_done}, {"D", detach},
    {"k", end_all},  {NULL, NULL},
};

static const struct session_row *const tables[] = {
    session_state_rows, session_go_rows, session_query_rows, other_rows};

/* Behind what a row begins with, or NULL. */
static const struct session_row *row_of(struct scan *rest)
{
  for (size_t i = 0; i < sizeof tables / sizeof tables[0]; i++)
    for (const struct session_row *row = tables[i]; row->begins; row++)
      if (scan_text(rest, row->begins)) return row;
  return NULL;
}

static void answer(struct session *s)
{
  struct scan rest = {s->reader.data, s->reader.data + s->reader.size};
  const struct session_row *row = row_of(&rest);
  if (row != NULL)
    row->answer(s, &rest);
  else
    session_say(s, "");
}

/* gdb sends none but 'k' while the target goes; any stops it first. */
static void take_packet(struct session *s)
{
  if (s->acks) s->send(s->context, (const uint8_t *)"+", 1);
  if (session_runs(s)) {
    target_interrupt(s->target);
    session_tell_stop(s);
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
  session_tell_stop(s);
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

void session_print_said(struct session *s)
{
  session_print(s, s->target->said, s->target->said_size);
  s->target->said_size = 0;
}

/* What the program said, and why time stands still where no signal says it. */
static void tell_user(struct session *s)
{
  static const char *const why[] = {
      [TARGET_LOCKUP] = "The core has locked up, and no reset follows.\n",
      [TARGET_IDLE] = "Nothing will happen by itself any more.\n",
      [TARGET_LIMIT] = "A limit was reached, of records or of time.\n",
  };
  const struct target *t = s->target;
  session_print_said(s);
  if (t->stop != TARGET_GOES && t->stop >= TARGET_LOCKUP)
    session_print(s, why[t->stop], strlen(why[t->stop]));
}

void session_pass(struct session *s)
{
  if (!session_runs(s)) return;
  target_pass(s->target);
  tell_user(s);
  if (!session_runs(s)) session_tell_stop(s);
}

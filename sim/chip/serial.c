#include "chip/serial.h"

#include <string.h>

#include "base/fold.h"

#include "describe/trace_kinds.h"

void serial_init(struct serial *s, uint32_t port)
{
  *s = (struct serial){.port = port};
  character_out_init(&s->out);
  character_in_init(&s->in);
}

void serial_drop(struct serial *s)
{
  s->holds = false;
  character_out_init(&s->out);
  character_in_init(&s->in);
}

void serial_switch(struct serial *s, bool on)
{
  if (s->on == on) return;
  s->on = on;
  serial_drop(s);
}

void serial_put(struct serial *s, uint8_t byte, struct moment now,
                struct trace *tr)
{
  if (!s->on) return;
  s->holds = true;
  s->held = byte;
  s->held_at = now.at;
  trace_add(tr, now, TRACE_SENT, byte, s->port);
}

uint8_t serial_take(struct serial *s)
{
  uint8_t byte = s->received ? s->byte : 0;
  s->received = false;
  return byte;
}

bool serial_drained(const struct serial *s)
{
  return !s->holds && !s->out.busy;
}

static bool can_begin(const struct serial *s)
{
  return s->holds && !s->out.busy;
}

ps_t serial_next(const struct serial *s)
{
  if (!s->on) return PS_NEVER;
  if (can_begin(s)) return s->held_at;
  return s->out.next < s->in.next ? s->out.next : s->in.next;
}

static bool advance_out(struct serial *s, ps_t bit, ps_t now)
{
  bool changed = character_out_advance(&s->out, now);
  if (!can_begin(s)) return changed;
  s->holds = false;
  if (bit > 0) character_send(&s->out, s->held, bit, now);
  return true;
}

static void lose(struct serial *s, bool *flag, enum trace_loss why,
                 struct moment now, struct trace *tr)
{
  *flag = true;
  trace_add(tr, now, TRACE_SERIAL_LOST, why, s->port);
}

static void receive(struct serial *s, struct moment now, struct trace *tr)
{
  if (s->received) {
    lose(s, &s->overrun, LOSS_OVERRUN, now, tr);
    return;
  }
  s->received = true;
  s->byte = character_byte(&s->in);
  trace_add(tr, now, TRACE_RECEIVED, s->byte, s->port);
}

static bool advance_in(struct serial *s, bool high, ps_t bit,
                       struct moment now, struct trace *tr)
{
  ps_t before = s->in.next;
  switch (character_hear(&s->in, high, bit, now.at)) {
  case CHARACTER_NONE: break;
  case CHARACTER_BYTE: receive(s, now, tr); break;
  case CHARACTER_BROKEN: lose(s, &s->broken, LOSS_BROKEN, now, tr); break;
  }
  return s->in.next != before;
}

bool serial_advance(struct serial *s, bool high, ps_t bit, struct moment now,
                    struct trace *tr)
{
  if (!s->on) return false;
  bool sent = advance_out(s, bit, now.at);
  return advance_in(s, high, bit, now, tr) || sent;
}

void serial_fold(const struct serial *s, ps_t now, struct fold *f)
{
  struct serial seen;
  memcpy(&seen, s, sizeof(seen));
  character_out_fold(&s->out, now, f);
  character_in_fold(&s->in, now, f);
  memset(&seen.out, 0, sizeof(seen.out));
  memset(&seen.in, 0, sizeof(seen.in));
  seen.held_at = s->holds ? s->held_at - now : 0;
  fold_add(f, &seen, sizeof(seen));
}

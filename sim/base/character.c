#include "base/character.h"

#include "base/fold.h"

#include <string.h>

#include "base/fold.h"

#include <assert.h>

#define CELLS     10u
#define DATA_BITS 0xffu

void character_out_init(struct character_out *c)
{
  *c = (struct character_out){.next = PS_NEVER};
}

/* Cells at the front that are alike need no event between them. */
static void find_next(struct character_out *c)
{
  uint32_t alike = 1;
  while (alike < c->cells_left &&
         ((c->cells >> alike) & 1u) == (c->cells & 1u))
    alike++;
  uint32_t gone = CELLS - c->cells_left;
  c->next = c->begun + (ps_t)(gone + alike) * c->bit;
}

void character_send(struct character_out *c, uint8_t byte, ps_t bit, ps_t now)
{
  assert(!c->busy && bit > 0);
  *c = (struct character_out){.busy = true,
                              .cells = 1u << (CELLS - 1) | (uint32_t)byte << 1,
                              .cells_left = CELLS,
                              .begun = now,
                              .bit = bit};
  find_next(c);
}

bool character_level(const struct character_out *c)
{
  return !c->busy || (c->cells & 1u);
}

bool character_out_advance(struct character_out *c, ps_t now)
{
  if (!c->busy || c->next > now) return false;
  uint32_t gone = (uint32_t)((c->next - c->begun) / c->bit);
  uint32_t passed = gone - (CELLS - c->cells_left);
  if (gone == CELLS) {
    character_out_init(c);
    return true;
  }
  c->cells >>= passed;
  c->cells_left -= passed;
  find_next(c);
  return true;
}

void character_in_init(struct character_in *c)
{
  *c = (struct character_in){.next = PS_NEVER};
}

static void end(struct character_in *c, bool listening)
{
  c->busy = false;
  c->listening = listening;
  c->next = PS_NEVER;
}

static ps_t sample_at(const struct character_in *c)
{
  return c->begun + c->bit / 2 + (ps_t)c->taken * c->bit;
}

static void begin(struct character_in *c, ps_t bit, ps_t now)
{
  *c = (struct character_in){.busy = true, .begun = now, .bit = bit};
  c->next = sample_at(c);
}

/* A start bit that is high at its middle was none. */
static enum character_news sample(struct character_in *c, bool high)
{
  c->cells |= (uint32_t)high << c->taken++;
  if (c->taken == 1 && high) {
    end(c, true);
  } else if (c->taken == CELLS) {
    end(c, high);
    return high ? CHARACTER_BYTE : CHARACTER_BROKEN;
  } else {
    c->next = sample_at(c);
  }
  return CHARACTER_NONE;
}

enum character_news character_hear(struct character_in *c, bool high, ps_t bit,
                                   ps_t now)
{
  if (c->busy) return c->next <= now ? sample(c, high) : CHARACTER_NONE;
  if (high)
    c->listening = true;
  else if (c->listening && bit > 0)
    begin(c, bit, now);
  return CHARACTER_NONE;
}

uint8_t character_byte(const struct character_in *c)
{
  return (uint8_t)((c->cells >> 1) & DATA_BITS);
}

void character_out_fold(const struct character_out *c, ps_t now,
                        struct fold *f)
{
  struct character_out seen;
  memcpy(&seen, c, sizeof(seen));
  seen.begun = c->busy ? c->begun - now : 0;
  seen.next = c->busy ? fold_from_now(c->next, now) : 0;
  fold_add(f, &seen, sizeof(seen));
}

void character_in_fold(const struct character_in *c, ps_t now, struct fold *f)
{
  struct character_in seen;
  memcpy(&seen, c, sizeof(seen));
  seen.begun = c->busy ? c->begun - now : 0;
  seen.next = c->busy ? fold_from_now(c->next, now) : 0;
  fold_add(f, &seen, sizeof(seen));
}

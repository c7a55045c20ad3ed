#include "board/supply.h"

/* pF * uV / nA = ns */
#define PS_PER_PF_UV_PER_NA 1000
/* nA * milliohm = 10^-12 V */
#define NA_MOHM_PER_UV 1000000

void supply_init(struct supply *s, const struct case_supply *board)
{
  *s = (struct supply){.board = board};
}

void supply_switch(struct supply *s, bool on)
{
  s->on = on;
}

static uv_t loaded_level(const struct supply *s)
{
  wide_t drop =
      (wide_t)s->load_na * s->board->resistance_mohm / NA_MOHM_PER_UV;
  return drop >= s->board->source_uv ? 0 : s->board->source_uv - (uv_t)drop;
}

static ps_t ramp_time(const struct supply *s, uv_t from, uv_t to)
{
  wide_t way = to > from ? to - from : from - to;
  return (ps_t)(way * s->board->ramp_ps / s->board->source_uv);
}

/* How far the capacitor gets: all the way, or until time ends. */
static struct rail_segment discharge(const struct supply *s, uv_t level,
                                     ps_t now)
{
  struct rail_segment down = {now, now, level, level};
  if (s->load_na == 0 || level == 0) return down;
  wide_t lasts =
      (wide_t)s->board->bulk_pf * level * PS_PER_PF_UV_PER_NA / s->load_na;
  ps_t left = PS_NEVER - 1 - now;
  if (lasts <= left) {
    down.to = 0;
    down.until = now + (ps_t)lasts;
  } else {
    down.to = level - (uv_t)((wide_t)level * left / lasts);
    down.until = now + left;
  }
  return down;
}

struct rail_segment supply_segment(struct supply *s, uv_t level,
                                   int64_t part_load_na, ps_t now)
{
  s->load_na = part_load_na + s->board->load_na;
  if (!s->on) return discharge(s, level, now);
  uv_t to = loaded_level(s);
  return (struct rail_segment){now, now + ramp_time(s, level, to), level, to};
}

bool supply_load_changed(const struct supply *s, int64_t part_load_na)
{
  return s->load_na != part_load_na + s->board->load_na;
}

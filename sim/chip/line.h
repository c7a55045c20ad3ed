/* line.h -- the reset line: a two-way wire with a capacitor, as the part reads
 * it.
 *
 *        pull of part and board        push-pull host, while it does not pull
 *   rail --[====]--+--[====]-- rail
 *                  |
 *   line ----------+--||-- ground     capacitor
 *                  |
 *                  +--[==]-- ground   part, probe or host, while they pull
 *
 * The level is a part of the rail, in millionths, and moves with the time
 * constant of all resistances in parallel and the capacitor (base/decay.h). It
 * reads as low below 30 %, and as high from 70 % on (common practice, no
 * source). A low that lasts less than the shortest pulse of the part is not
 * seen: it is lost, and told. What the part sees high again has no filter.
 *
 *   pulled --(30 %)--> low --(pulse)--> seen --(let go, 70 %)--> high
 *                       \__(70 %)__> lost
 *
 * A line without a capacitor, a shortest pulse and a push-pull host is plain:
 * whoever pulls it has it low at once.
 *
 * The rule a reader would get wrong: with a push-pull host that holds it high,
 * a part that pulls gets it no lower than the two drivers divide the rail. It
 * may not see its own reset, and nobody else does.
 *
 * Not modelled: a line that follows a falling rail; what the fight does to the
 * rail.
 *
 * Owns: its fields. Borrows: the part.
 */
#ifndef CHIP_LINE_H
#define CHIP_LINE_H

#include <stdbool.h>
#include <stdint.h>

#include "base/decay.h"
#include "base/units.h"
#include "describe/part.h"
#include "describe/trace_kinds.h"

struct fold;

/* What the board has on it. */
struct line_wiring {
  int64_t pull_mohm;    /* to the rail; 0: none */
  int64_t capacitor_pf; /* 0: none */
  bool push_pull;       /* the host drives high while it does not pull */
  int64_t host_mohm;    /* of the drivers outside, > 0 */
};

enum line_event {
  LINE_NOTHING,
  LINE_LOST, /* a pulse from outside, too short; `lasted` is how long it was */
  LINE_SEEN, /* low, for long enough */
  LINE_HIGH, /* again, after it was seen or the part's own pull */
  LINE_LET_GO /* the part has pulled for as long as it must */
};

struct line {
  const struct part_reset_line *part;
  struct line_wiring wiring;
  uint32_t pulled;  /* bit per enum trace_driver */
  bool outside;     /* somebody outside has pulled since it was high last */
  ps_t outside_at;  /* since when */
  ps_t at;          /* of the piece in force */
  int64_t from, to; /* millionths */
  struct decay decay;
  bool low, seen;
  ps_t low_at, lasted;
  ps_t crosses_at; /* the next change of `low` */
  ps_t seen_at;    /* PS_NEVER unless it is low and not seen */
  ps_t lost_at;    /* it was let go before it was low; PS_NEVER */
  ps_t let_go_at;  /* PS_NEVER unless the part pulls until then */
};

void line_init(struct line *l, const struct part_reset_line *part);
void line_wire(struct line *l, const struct line_wiring *wiring);

bool line_is_plain(const struct line *l);

/* Who pulls it from now on. */
void line_pull(struct line *l, uint32_t pulled, ps_t now);

/* The part lets go at `until`, which is not before line_next. */
void line_hold(struct line *l, ps_t until);

ps_t line_next(const struct line *l);

/* The earliest change that is due; call until LINE_NOTHING. */
enum line_event line_advance(struct line *l, ps_t now);

/* Level in millionths of the rail. */
int64_t line_level(const struct line *l, ps_t now);

/* Current of a push-pull host against those who pull, at this rail, in nA; 0:
 * nobody fights. */
int64_t line_fight(const struct line *l, uv_t rail);

/* As it is seen from now (base/fold.h). How long a pulse has lasted is for
 * reports: whether it is seen is in `seen_at`. */
void line_fold(const struct line *l, ps_t now, struct fold *f);

#endif

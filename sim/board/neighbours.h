/* neighbours.h -- other chips on the board that talk on a serial line of
 * their own, whether or not anybody listens.
 *
 * A neighbour has the part's supply. While it is on, the neighbour drives its
 * pin's net high, and every so often sends its octets, back to back; the
 * first time one period after it was switched on. When the supply is switched
 * off it lets the line go.
 *
 * Not modelled: that it starts later than its supply, listens, or stops when
 * it is talked to.
 *
 * Owns: its fields. Borrows: the script.
 */
#ifndef BOARD_NEIGHBOURS_H
#define BOARD_NEIGHBOURS_H

#include <stdbool.h>
#include <stdint.h>

#include "base/character.h"
#include "base/status.h"
#include "board/nets.h"
#include "describe/case.h"
#include "describe/part.h"

struct fold;

struct neighbour {
  uint32_t pin;
  ps_t begins; /* the next round */
  uint32_t next_octet;
  struct character_out out;
};

struct neighbours {
  const struct case_script *script;
  bool on;
  struct neighbour each[CASE_MAX_NEIGHBOURS];
};

/* Resolve the script's neighbours against the part: errors for a pin that is
 * not there. */
enum sim_status neighbours_init(struct neighbours *b,
                                const struct case_script *script,
                                const struct part *part,
                                struct sim_error *err);

ps_t neighbours_next(const struct neighbours *b);

/* Bring them up to `now`; `on`: their supply is switched on. True if a line
 * changed. */
bool neighbours_advance(struct neighbours *b, struct nets *n, bool on,
                        struct moment now);

/* As they are seen from now (base/fold.h). */
void neighbours_fold(const struct neighbours *n, ps_t now, struct fold *f);

#endif

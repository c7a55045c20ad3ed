/* fold.h -- bytes that tell one state of a machine from another.
 *
 * Each block folds its own state: BLOCK_fold adds the block as it is seen from
 * now, so that two folds are equal where the blocks behave alike from then on,
 * whatever the time is.
 *
 * The rule a reader would get wrong: a block is copied whole, then changed,
 * then added. A field that its function does not name counts as it stands: two
 * states are at worst told apart without need, never taken for one another.
 * What only reports look back at is left out.
 *
 * Owns: its bytes; fold_free lets them go.
 */
#ifndef BASE_FOLD_H
#define BASE_FOLD_H

#include <stddef.h>
#include <stdint.h>

#include "base/units.h"

struct fold {
  uint8_t *bytes;
  size_t count, room;
};

void fold_init(struct fold *f);
void fold_free(struct fold *f);

void fold_add(struct fold *f, const void *bytes, size_t count);

/* An instant as seen from now, before or behind it. PS_NEVER stays. */
static inline ps_t fold_from_now(ps_t at, ps_t now)
{
  return at == PS_NEVER ? PS_NEVER : at - now;
}

/* The same where of an instant that lies behind only that counts. */
static inline ps_t fold_to_come(ps_t at, ps_t now)
{
  return at == PS_NEVER ? PS_NEVER : at > now ? at - now : 0;
}

/* The same where an instant further back than `room` counts as lying there. */
static inline ps_t fold_within(ps_t at, ps_t now, ps_t room)
{
  return at == PS_NEVER ? PS_NEVER : at < now - room ? -room : at - now;
}

#endif

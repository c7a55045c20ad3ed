/* roles.h -- what the fields of a part's registers do.
 *
 * One row a role in describe/roles.def: the phase of a write in which it
 * acts, what it shows when read, what a write sets in motion. The functions
 * are small: they turn a field's value into a call of the block it belongs
 * to.
 *
 * Owns: nothing.
 */
#ifndef CHIP_ROLES_H
#define CHIP_ROLES_H

#include <stdint.h>

#include "base/units.h"
#include "describe/part.h"

struct chip;

/* One field in one access. */
struct touch {
  struct chip *chip;
  const struct part_field *field;
  struct moment now;
};

typedef uint32_t (*role_reading)(const struct touch *t);
typedef void (*role_writing)(const struct touch *t, uint32_t value);

/* A write runs the phases in this order. */
enum role_phase { ROLE_PHASE_UNLOCK, ROLE_PHASE_SETTINGS, ROLE_PHASE_START };
#define ROLE_PHASES 3

struct role_functions {
  enum role_phase phase;
  role_reading read;  /* right-aligned; NULL: the stored bits are shown */
  role_writing write; /* right-aligned value; NULL: only stored */
};

/* By enum role. */
extern const struct role_functions roles[ROLE_COUNT_];

/* Right-aligned mask of a field. */
static inline uint32_t roles_field_mask(const struct part_field *f)
{
  return f->width >= 32 ? UINT32_MAX : (1u << f->width) - 1;
}

#endif

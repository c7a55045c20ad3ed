/* fights.h -- the fold that gathers contention: one entry a pin.
 *
 * Owns: nothing; memory is in the arena. Borrows: plan, starts.
 */
#ifndef RUN_FIGHTS_H
#define RUN_FIGHTS_H

#include "base/arena.h"
#include "base/trace.h"
#include "describe/result.h"
#include "run/plan.h"
#include "run/starts.h"

struct fights {
  const struct plan *plan;
  const struct starts *starts;
  struct arena *arena;
  struct fight *list; /* room for one a pin */
  uint32_t count;
  uint32_t step;                  /* of the script, that goes on */
  uint32_t of_pin[PART_MAX_PINS]; /* its entry, or PART_NONE */
  ps_t since[PART_MAX_PINS];
};

void fights_init(struct fights *f, const struct plan *plan,
                 const struct starts *starts, struct arena *arena,
                 struct trace *tr);

/* The run is over: those that go on have lasted up to now. */
void fights_end(struct fights *f, struct moment now);

/* What an entry says, in whole sentences. */
void fights_text(const struct fight *fight, char *text, size_t size);

/* Resistance in series, in whole ohm, rounded up, that would have kept the
 * highest current within the limit of a pin. */
int64_t fights_series_ohm(const struct fight *fight, int64_t supply_uv);

#endif

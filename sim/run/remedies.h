/* remedies.h -- what refreshes the blank latch on this part and this board.
 *
 * Read from the reset table (which causes sample) and from the registers (is
 * there one that writes the latch). Nothing is known about a part by name.
 */
#ifndef RUN_REMEDIES_H
#define RUN_REMEDIES_H

#include "base/arena.h"
#include "describe/result.h"
#include "run/plan.h"

void remedies_for_latch(const struct plan *plan, struct arena *arena,
                        struct finding *finding);

#endif

/* review.h -- board review: the part's boot ROM is run on the board, from a
 * blank part's power-on, and what its pins meet is computed at the worst of
 * the part's tolerances.
 *
 * The script's board counts, not its steps. Where a blank part does not start
 * its ROM, straps and option words are set as the first rule that leads there
 * asks; a rule that asks for a programmed flash is not tried.
 *
 * Other pins of the part count as the ROM leaves them; outputs of other chips
 * that the script lets go count as driving against the pin.
 *
 * Not modelled: what the ROM would drive once a host talks to it.
 *
 * Owns: nothing; memory is in the arena.
 */
#ifndef RUN_REVIEW_H
#define RUN_REVIEW_H

#include "base/arena.h"
#include "base/status.h"
#include "describe/case.h"
#include "describe/part.h"
#include "describe/review.h"

/* How long the ROM is watched. It drives what it drives in its first
 * millisecond; the rest is margin. Assumed. */
#define REVIEW_WATCHED (50 * PS_PER_MS)

/* Errors: those of play_prepare. *review is set only if it returns SIM_OK. */
enum sim_status review_make(struct arena *arena,
                            const struct case_script *script,
                            const struct part *part, struct review *review,
                            struct sim_error *err);

#endif

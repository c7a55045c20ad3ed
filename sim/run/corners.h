/* corners.h -- what the part's tolerances do to a procedure.
 *
 * The case is played with everything typical, then once for each end of each
 * number of the part that has a tolerance, the others typical. Reported is,
 * for each expectation, the time it had left: typical, least, and with which
 * number that was. A number matters if any expectation, its margin or the
 * number of starts is another with it.
 *
 * Not modelled: several numbers at their ends at once. Tolerances of one sign
 * add up; where margins are small compared with their sum, vary more.
 *
 * Owns: nothing; lists are in the arena.
 */
#ifndef RUN_CORNERS_H
#define RUN_CORNERS_H

#include "base/arena.h"
#include "base/status.h"
#include "describe/case.h"
#include "describe/part_numbers.h"

struct corner {
  const struct part_number *number;
  int64_t value;
  const char *which; /* "min", "max" */
  bool held;         /* all expectations */
  bool matters;
  bool judged; /* anything was asked */
};

/* Of one `expect` step. PS_NEVER: it did not hold. */
struct corner_margin {
  uint32_t step;
  ps_t typical, least;
  uint32_t corner; /* that gives the least; PART_NONE: typical */
};

struct corners {
  struct corner *corners;
  uint32_t corner_count;
  struct corner_margin *margins; /* one an `expect` step */
  uint32_t margin_count;
  bool typical_held, typical_judged;
};

enum sim_status corners_play(const struct case_script *script,
                             const struct part *part, struct arena *arena,
                             struct corners *corners, struct sim_error *err);

#endif

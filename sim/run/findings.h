/* findings.h -- what the user must know that follows from a run.
 *
 * A fold collects what only the trace knows (a write without effect, a dip
 * that was no power-on); when the run is over, the starts are looked at too.
 * Remedies are read from the part: its reset table and its registers.
 *
 * Owns: nothing; memory is in the arena.
 */
#ifndef RUN_FINDINGS_H
#define RUN_FINDINGS_H

#include "base/arena.h"
#include "base/trace.h"
#include "describe/result.h"
#include "run/findings_host.h"
#include "run/plan.h"
#include "run/fights.h"
#include "run/starts.h"

struct findings {
  const struct plan *plan;
  const struct starts *starts;
  struct arena *arena;
  struct finding *list;
  uint32_t count, room;
  uint64_t told;   /* bit per kind that is told once a run */
  bool base_blank; /* an image was written and left the first words erased */
  bool fresh_programmed;
  struct host_story host;
};

void findings_init(struct findings *f, const struct plan *plan,
                   const struct starts *starts, struct arena *arena,
                   struct trace *tr);

/* For the files that draw findings of one sort; a kind's order is that in
 * which they are added. */
struct finding *findings_add(struct findings *f, enum finding_kind kind,
                             uint32_t start, const char *text);
void findings_remedy(struct findings *f, struct finding *finding,
                     const char *text);

/* The run is over and the starts are complete. */
void findings_end(struct findings *f, const struct fights *fights);

#endif

/* findings_residue.h -- what an earlier life left to a start.
 *
 * A fold over TRACE_RESIDUE, the probe's coming and going, and resets. Each
 * item is told once a run, of the first start that began with it. What belongs
 * to a debugger counts only where none is there; one that pulls the reset line
 * is, though it attaches when the line is high again.
 *
 * Owns: nothing.
 */
#ifndef RUN_FINDINGS_RESIDUE_H
#define RUN_FINDINGS_RESIDUE_H

#include "describe/residue.h"
#include "run/findings.h"

struct residue_facts {
  struct findings *findings;
  bool debug;         /* debug enable is set, and no probe is attached */
  bool probe;         /* one is attached */
  bool on_line;       /* it has pulled the reset line and nothing ran since */
  uint32_t told;      /* bit per enum residue */
  uint32_t seen_at_0; /* region that the start rules chose, or PART_NONE */
};

void residue_facts_init(struct residue_facts *f, struct findings *findings,
                        struct trace *tr);

#endif

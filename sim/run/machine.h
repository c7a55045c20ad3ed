/* machine.h -- one bench: the part, what is soldered around it, what hangs on
 * it, and where the script stands. The state of record of a run.
 *
 * There is one "now", here; everything below receives it as an argument.
 *
 * Owns: the chip's memory, the trace's records, the instruction engine.
 * Borrows: script, part, images.
 */
#ifndef RUN_MACHINE_H
#define RUN_MACHINE_H

#include <stdbool.h>
#include <stdint.h>

#include "base/arena.h"
#include "base/status.h"
#include "base/trace.h"
#include "base/units.h"
#include "board/host.h"
#include "board/neighbours.h"
#include "board/nets.h"
#include "board/probe.h"
#include "board/supply.h"
#include "chip/chip.h"
#include "core/cpu.h"
#include "describe/case.h"
#include "describe/part.h"
#include "image/image.h"

struct fold;

struct visitor;

struct machine {
  const struct part *part;
  const struct case_script *script;
  ps_t now;
  struct trace trace;
  struct cpu *cpu; /* accelerator; no state of record */
  struct chip chip;
  struct supply supply;
  ps_t away_at; /* the source has been off or low since; PS_NEVER: it is on */
  struct nets nets;
  struct probe probe;
  struct host host;
  struct neighbours neighbours;
  bool expecting; /* a step waits for something: pause where it may come */
  uint64_t instruction_limit; /* of the core's; engine_stopped goes by it */
  struct visitor *visitor;    /* borrowed; NULL: nobody looks on (visitor.h) */
};

/* A bench before first power. Information words and the ROM images are
 * loaded; `rom` receives each
 * ROM region's image (or NULL) by region index. On error nothing is left
 * behind. */
enum sim_status machine_init(struct machine *m, struct arena *arena,
                             const struct case_script *script,
                             const struct part *part, enum cpu_engine engine,
                             const struct image *rom[PART_MAX_MEMORY],
                             struct sim_error *err);
void machine_free(struct machine *m);

/* A run that was stopped as a runaway may go on: as many records as a whole
 * run may add, and `instructions` more. */
void machine_renew_limits(struct machine *m, uint64_t instructions);

/* As it is seen from now (base/fold.h), but for the bytes of memory. Limits
 * and who listens are no part of it. */
void machine_fold(const struct machine *m, struct fold *f);

#endif

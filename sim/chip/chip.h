/* chip.h -- a microcontroller: the blocks, and the wiring between them.
 *
 *     rail ---> reset ---> boot ---> options, latch, pins (straps)
 *                            |             \    |    /
 *                            |              rules
 *                            v                |
 *                          core <--- alias ---+
 *                            | bus
 *              roles (registers) ---> flash, clock, pins, serial, reset
 *
 * No block knows another; what two must agree on is in chip.c. The order in
 * which blocks are brought up to an instant is fixed and stated there.
 *
 * Time: chip_next says when something will happen by itself; the engine
 * (run/engine.h) lets the core run no further than that and then calls
 * chip_advance. A bus access brings up what it can observe to its own stamp
 * first (the flash, which changes by itself); machine-wide events wait for
 * the instruction boundary.
 *
 * Owns: the memory's bytes. Borrows: the part, the trace, the instruction
 * engine, the register names.
 */
#ifndef CHIP_CHIP_H
#define CHIP_CHIP_H

#include <stdbool.h>
#include <stdint.h>

#include "base/trace.h"
#include "base/units.h"
#include "chip/boot.h"
#include "chip/chip_residue.h"
#include "chip/clock.h"
#include "chip/flash.h"
#include "chip/latch.h"
#include "chip/line.h"
#include "chip/learn.h"
#include "chip/memory.h"
#include "chip/options.h"
#include "chip/pins.h"
#include "chip/poll.h"
#include "chip/rail.h"
#include "chip/reset.h"
#include "chip/serial.h"
#include "chip/sleep.h"
#include "chip/watchdog.h"
#include "core/bus.h"
#include "core/core.h"
#include "core/cpu.h"
#include "describe/part.h"
#include "describe/svd.h"

struct fold;

struct chip {
  const struct part *part;
  struct trace *trace;
  struct cpu *cpu; /* an accelerator, no state of record */

  struct clock clock;
  struct rail rail;
  struct reset reset;
  struct line line;
  struct boot boot;
  struct options options;
  struct latch latch;
  struct flash flash;
  struct pins pins;
  struct serial serial[PART_MAX_PORTS];
  struct watchdog watchdog;
  struct sleep sleep;
  struct poll poll;
  struct chip_residue residue;
  struct learn learn; /* what nothing describes, if the part says so */
  struct memory memory;
  struct core core;
  struct bus bus;

  const struct svd *svd; /* borrowed; names and reset values of registers
                            that the part does not describe, or NULL */

  uint32_t straps;                    /* as last sampled: bit per strap */
  uint32_t stored[PART_MAX_REGISTER]; /* bits of the registers */
  bool selected;       /* the start rules have chosen at least once */
  addr_t vectors;      /* where a start takes them from */
  bool flash_hidden;   /* reads as zeros: a readout lock, and this start */
  bool by_debug;       /* the register write at hand is the debug port's */
  bool latch_open;     /* a latch key was given in this write */
  bool fresh;          /* what a blank check would say now: true: programmed */
  ps_t line_driven_at; /* the part pulled the reset line last */
  ps_t line_fight_at;  /* a push-pull host fights since; PS_NEVER */
  bool watchdog_owed;  /* it expired, and no reset has stopped it since */
  ps_t told_from;      /* what the core reports is no earlier: an instant that
                          lies between two edges of its clock */
  uint32_t marks_told; /* bit per watch, since the last start */
  addr_t unmodelled_at, unmodelled_pc; /* the last such access told */
  ps_t until;          /* the engine lets the core run no further */
  cycle_t pause_at;    /* nor beyond this cycle; CYCLE_NEVER: no such limit */
  enum core_stop stop; /* why the core came back last */
};

/* Before first power: flash erased, options at factory values. */
void chip_init(struct chip *c, const struct part *part, struct trace *tr,
               struct cpu *cpu);
void chip_free(struct chip *c);

/* The instant of the next change by itself, or PS_NEVER. */
ps_t chip_next(const struct chip *c);

/* Bring every block up to `now`: crossings of the rail, pending resets, the
 * boot sequence, the flash. */
void chip_advance(struct chip *c, ps_t now);

/* Bring up to `now` only what a bus access can observe. */
void chip_settle(struct chip *c, struct moment now);

/* Let the core run from `now` to `until` at most and return the instant at
 * which it stopped, which is `until` where nothing runs. */
ps_t chip_run(struct chip *c, ps_t now, ps_t until);

/* True if the core would fetch its next instruction from flash that is busy.
 */
bool chip_runs_from_busy_flash(const struct chip *c);

/* Debug requests; the core's own contract holds (core.h). */
void chip_halt(struct chip *c);
void chip_go(struct chip *c, ps_t now);

/* A cause happens. It is carried out by the next chip_advance. One that the
 * part's reset table lacks can't happen. */
void chip_request_reset(struct chip *c, enum cause cause);

/* Pull the reset line or let it go, from outside. */
void chip_pull_line(struct chip *c, enum trace_driver driver, bool low,
                    ps_t now);

/* What the board has on the line; before first power. */
void chip_wire_line(struct chip *c, const struct line_wiring *wiring);

/* The part reads the line as low. */
bool chip_line_low(const struct chip *c);

/* One word of a register, as the debug port reaches it. False: no register
 * is there. */
bool chip_register_read(struct chip *c, addr_t at, ps_t now, uint32_t *value);
bool chip_register_write(struct chip *c, addr_t at, uint32_t value, ps_t now);

/* One word of memory, as the debug port reaches it. False: none is there, a
 * readout lock denies it, or ECC can't correct it. */
bool chip_memory_read(struct chip *c, addr_t at, ps_t now, uint32_t *value);

/* Change memory without the controller, as it came from a programmer before
 * assembly. The range must lie in one region (memory_find). */
void chip_preset(struct chip *c, uint32_t region, uint32_t offset,
                 const uint8_t *bytes, uint32_t size, ps_t now);

/* Current the part draws in its present state, nA. */
int64_t chip_load(const struct chip *c);

/* The moment at which the blocks stand, for a trace record at `at`. */
struct moment chip_moment(const struct chip *c, ps_t at);

/* --- for roles.c: what a register write may set in motion --- */

void chip_order_flash(struct chip *c, enum flash_op op, struct moment now);
void chip_order_reload(struct chip *c, struct moment now);
void chip_write_latch(struct chip *c, bool programmed, struct moment now);
void chip_select_clock(struct chip *c, uint32_t source, struct moment now);

/* As it is seen from now (base/fold.h), but for the bytes of memory. */
void chip_fold(const struct chip *c, ps_t now, struct fold *f);

#endif

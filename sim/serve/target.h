/* target.h -- the part as gdb has it: stopped at an instant, or with time
 * passing until something stops it.
 *
 * The server is the case's debug probe. It attaches where the case has left
 * the part, and halts the core through the debug port as a probe does, so the
 * core is in Debug state, debug enable is set, and a BKPT instruction halts
 * instead of being a fault. Where the port is out of reach -- no power, in
 * reset, deep sleep, pins taken, shut in ROM -- nothing is halted, but time
 * stands still all the same and everything can be looked at.
 *
 * The rule a reader would get wrong: looking costs no time and changes
 * nothing, so simulated time passes only while the core goes, and while the
 * probe programs flash or resets the part, which take the time that they take
 * on a bench. Registers of peripherals are read as the debug port reads them,
 * with what a read sets in motion.
 *
 * What no probe on a bench can do: where a reset has cleared debug enable, it
 * attaches again at the first instant at which the port answers, and loads
 * gdb's breakpoints again, so that they hold through a power cycle.
 *
 * Not modelled: more than one core, watchpoints, running backwards.
 *
 * Owns: what a program said. Borrows: the play, the console.
 */
#ifndef SERVE_TARGET_H
#define SERVE_TARGET_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>

#include "base/status.h"
#include "run/machine.h"
#include "run/play.h"
#include "serve/breaks.h"

/* Why time stands still. */
enum target_stop {
  TARGET_GOES,   /* it does not */
  TARGET_TRAP,   /* Debug state: a breakpoint, a step, a vector */
  TARGET_ASKED,  /* somebody wanted it */
  TARGET_LOCKUP, /* and no reset follows */
  TARGET_IDLE,   /* nothing will happen by itself any more */
  TARGET_LIMIT   /* of records or of simulated time */
};

struct target {
  struct play *play;
  struct machine *machine;
  FILE *console; /* for what gdb has no words for */
  struct breaks breaks;
  enum target_stop stop;
  bool stepping;
  bool catching; /* the next start is to be halted at its vector */
  bool failed;   /* the probe could not do something, since this was cleared */
  char failure[160]; /* that, and why: "could not write: the part refused" */
  char *said; /* owned; by a program, by semihosting, until it is taken */
  size_t said_size, said_room;
  uint32_t pc_told; /* number of the start for which it was told that gdb has
                       set the program counter */
};

/* The script has been played as far as it should be. Attach and halt. `t` must
 * stay where it is. */
void target_open(struct target *t, struct play *play, FILE *console);
void target_close(struct target *t);

/* Tell the console: "firstfetch: ...". */
void target_tell(const struct target *t, const char *format, ...)
    SIM_PRINTF(2, 3);

/* Let the core go, for one instruction if it `steps`. */
void target_go(struct target *t, bool steps);

/* While it goes: let some milliseconds pass, less if something stops it. */
void target_pass(struct target *t);

/* While it goes: stop here. */
void target_interrupt(struct target *t);

/* Let this much time pass, with the core going; less if something stops it. */
void target_run(struct target *t, ps_t lasts);

/* What the step does, then: any start that comes of it is halted at its
 * vector before the first instruction. False: the core is not halted there;
 * it has been told why, where that is known. */
bool target_bring(struct target *t, const struct step *step);

/* Switch the supply off and let this much time pass; 0: as much as it takes
 * for the next rise to be a power-on. */
void target_switch_off(struct target *t, ps_t lasts);

/* gdb has set the program counter: tell, once a start, what that means. */
void target_tell_pc(struct target *t);

/* True if the probe reaches memory; else the console is told what it could not
 * do and why. */
bool target_reaches(struct target *t, const char *what);

/* True in Debug state, where registers can be written. */
static inline bool target_halted(const struct target *t)
{
  return t->machine->chip.core.mode == CORE_HALTED;
}

#endif

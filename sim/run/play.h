/* play.h -- play one case on one part and tell what came of it.
 *
 *   play_prepare -> (add listeners to play_trace) -> play_run -> play_free
 *
 * Owns: the machine, its memory and its instruction engine. Borrows: the
 * script and the part, both const and outliving the play.
 */
#ifndef RUN_PLAY_H
#define RUN_PLAY_H

#include "base/arena.h"
#include "base/status.h"
#include "base/trace.h"
#include "core/cpu.h"
#include "describe/case.h"
#include "describe/part.h"
#include "describe/result.h"
#include "describe/svd.h"

struct play;
struct machine;
struct plan;
struct starts;

struct play_options {
  bool judge; /* false: expectations let time pass but are not judged */
  bool after; /* the result tells what each reset would do from the end */
  const struct svd *svd;  /* names and reset values of registers that the part
                             does not describe, or NULL; borrowed */
  enum cpu_engine engine; /* what executes the instructions */
  bool semihosting;       /* on any part */
};

/* Load the images, resolve every name of the script against part and images
 * (pins, symbols, option values: errors with the line of the case file), open
 * an engine. On error nothing is left behind. */
enum sim_status play_prepare(const struct case_script *script,
                             const struct part *part,
                             const struct play_options *options,
                             struct play **play, struct sim_error *err);

/* The trace of the play; listeners may be added until play_run. */
struct trace *play_trace(struct play *play);

const struct part *play_part(const struct play *play);
const struct case_script *play_script(const struct play *play);

/* For a visitor (visitor.h) and for side branches (fork.h). */
struct machine *play_machine(struct play *play);
const struct plan *play_plan(const struct play *play);

/* How many starts there were so far. */
uint32_t play_start_count(const struct play *play);

/* Name of a watched address of TRACE_MARK ("main"). */
const char *play_watch_name(const struct play *play, uint32_t index);

/* "symbol+0x12" for a code address, or NULL; the text lives in the play. */
const char *play_symbol(struct play *play, addr_t at);

/* Play the steps before step `end` that have not been played; all there are,
 * if there are fewer. The machine then stands at that instant. False: a limit
 * stopped the script before. Not together with play_run. */
bool play_until(struct play *play, uint32_t end);

/* Do what a step does that is in no script: one of power, reset, reload or
 * probe that names nothing to be resolved. */
void play_act(struct play *play, const struct step *step);

/* The starts so far; the last one may still go on. */
const struct starts *play_starts(const struct play *play);

/* Play the script to its end, or until a limit stops it. The result lives in
 * the play. Call once. */
const struct result *play_run(struct play *play);

/* What two instruction engines in lockstep did not agree on, or NULL. The
 * play ended there and its result means nothing. */
const char *play_disagreement(const struct play *play);

void play_free(struct play *play);

#endif

/* sight.h -- facts that somebody sees on a bench, and what a simulated bench
 * shows in their place.
 *
 * A fact is a key and a value, both text (describe/sights.def): "latch" and
 * "blank". What the user wrote is resolved against part and images; what the
 * machine shows is read from its state at the end of a play.
 *
 *   key                value
 *   region             name of a memory region, or "none"
 *   pc                 an address; any other in the same region agrees
 *   application        "yes", "no": execution is outside the boot ROM and
 *                      neither locked up, halted nor off
 *   outcome            as in an expectation; "no start"
 *   word.0x04000000    "erased", "programmed", or the word "0x..."
 *   latch              "blank", "programmed"
 *   flag.CAUSE         "set", "clear"
 *   option.WORD.FIELD  name of a value, or a number: as in the cells
 *   strap.NAME         "high", "low": at its pin now, not as sampled
 *   pin.NAME           "driven", "released": by the part
 *   image.NAME         "whole", "not whole": compared with the file as told
 *   rail_low           a voltage: the lowest of the last time that the rail
 *                      fell below the power-on fall; a tenth more or less
 *                      agrees (assumed: an oscilloscope's cursor). "none": it
 *                      never did
 *   after.EVENT        class of an answer: what the part would start after it;
 *                      EVENT is power_cycle or a cause
 *
 * Owns: nothing. Borrows: the play.
 */
#ifndef RUN_SIGHT_H
#define RUN_SIGHT_H

#include "base/trace.h"
#include "describe/answer.h"
#include "run/play.h"
#include "run/plan.h"

enum sight_kind {
#define X(name, word, subject, how) SIGHT_##name,
#include "describe/sights.def"
#undef X
  SIGHT_COUNT_
};

#define SIGHT_TEXT 96
/* Of all that can be measured on a part: flags, straps, options, pins. */
#define SIGHT_MAX 192

struct sight {
  enum sight_kind kind;
  uint32_t index, field; /* option, strap, pin, image, cause */
  addr_t at;             /* word */
};

/* "halt the core and read its PC" */
const char *sight_how(enum sight_kind kind);

/* Look up what the user wrote. Errors at its place in the case file:
 * SIM_REFERENCE, SIM_KEY, SIM_RANGE. */
enum sim_status sight_resolve(const struct plan *plan,
                              const struct case_sight *said, struct sight *s,
                              struct sim_error *err);

void sight_key(const struct plan *plan, const struct sight *s,
               char text[SIGHT_TEXT]);

/* All that can be measured on this part with what its registers, pins and
 * debug port give. Returns how many, at most SIGHT_MAX. */
uint32_t sight_all(const struct plan *plan, struct sight list[SIGHT_MAX]);

/* Looks at a play that was run. Listens to it from the beginning. */
struct sight_reader {
  struct play *play;
  struct plan plan; /* of the play, with the images of the case as told */
  const struct result *result;
  uv_t rail_low; /* -1: it never fell */
  bool asked;    /* `after` is known */
  struct after after;
};

/* `told` is the plan of the case as told, with the same images by name. */
void sight_listen(struct sight_reader *r, struct play *play,
                  const struct plan *told);

/* After play_run; `result` is what it returned. Where each reset would start
 * from the end on. */
const struct after *sight_after(struct sight_reader *r);
void sight_read(struct sight_reader *r, const struct sight *s,
                char value[SIGHT_TEXT]);

/* What was said and what is shown are the same fact. */
bool sight_agrees(const struct plan *plan, const struct sight *s,
                  const char *said, const char *shown);

#endif

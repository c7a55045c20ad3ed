/* why.h -- given what was done and seen: which causes explain it?
 *
 * A case tells what was done (its steps) and what was seen (its member
 * "seen"). Each cause is an edit of that case in the case's own language
 * (describe/case_edit.h): a step that had no effect, a strap that had the
 * other level, an image that lies elsewhere. Every edited case is played
 * whole, on the real image; it explains what was seen if it shows the same.
 *
 *   told as it is  ->  with one cause  ->  with two
 *
 * A pair is tried only if neither of its causes explains it alone.
 *
 * The rule a reader would get wrong: where the steps do not begin with a
 * power-on, what went before is not known, and is taken for the harmless
 * story: programmed before assembly, then powered. The causes are then what
 * else it may have been.
 *
 * Owns: nothing; all memory is in the caller's arena.
 */
#ifndef RUN_WHY_H
#define RUN_WHY_H

#include "base/arena.h"
#include "base/json.h"
#include "base/status.h"
#include "describe/diagnosis.h"
#include "describe/part.h"

struct why_options {
  const char *folder; /* keep the case of each explanation, for a file in
                         this folder; NULL: don't */
  /* Called before each play, or NULL: `done` of `all`. */
  void (*progress)(void *context, uint32_t done, uint32_t all);
  void *context;
};

/* `root` is the document of the script. Errors: those of play_prepare;
 * SIM_KEY where nothing was seen, or no image is there to start; those of
 * sight_resolve. */
enum sim_status why_ask(const struct json *root,
                        const struct case_script *script,
                        const struct part *part,
                        const struct why_options *options, struct arena *arena,
                        struct diagnosis *diagnosis, struct sim_error *err);

/* The cases of the explanations, and nothing else. */
void why_free(struct diagnosis *diagnosis);

#endif

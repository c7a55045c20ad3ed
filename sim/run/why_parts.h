/* why_parts.h -- what the files of `why` share.
 */
#ifndef RUN_WHY_PARTS_H
#define RUN_WHY_PARTS_H

#include "describe/case_edit.h"
#include "run/play.h"
#include "run/plan.h"
#include "run/sight.h"
#include "run/why.h"

#define WHY_MAX_EDITS     8
#define WHY_MAX_PROPOSALS 64

/* What every hypothesis starts from. */
struct why_case {
  const struct json *root;
  const struct case_script *script;
  const struct part *part;
  const struct plan *plan; /* of the case as told; images are read */
  struct arena *arena;
  bool whole;                /* the steps tell all from power-on */
  const char *image;         /* name of the one that should start */
  const struct image *bytes; /* that image */
};

/* One cause, and what it does to the case. */
struct proposal {
  enum why_cause cause;
  const char *detail;
  struct case_edit edits[WHY_MAX_EDITS];
  uint32_t count;
};

struct proposals {
  struct proposal list[WHY_MAX_PROPOSALS];
  uint32_t count;
};

/* The harmless story before the told steps, where they don't tell it. */
struct proposal why_base(const struct why_case *w);

/* All that is possible on this part, in the order of why_causes.def. */
void why_propose(const struct why_case *w, struct proposals *p);

/* --- building proposals --- */

/* Text in the case's arena, of at most 1,023 bytes. */
const char *why_format(const struct why_case *w, const char *format, ...)
    SIM_PRINTF(2, 3);

/* A new one; NULL where there are too many. */
struct proposal *why_begin(struct proposals *p, enum why_cause cause,
                           const char *detail);
void why_edit(struct proposal *p, enum case_edit_kind kind, uint32_t step,
              const char *text);

/* The last told step for which `is` holds, or PART_NONE. */
uint32_t why_last_step(const struct why_case *w,
                       bool (*is)(const struct step *));

/* The step takes the probe off. */
bool why_detaches(const struct step *step);

/* The image's word at an address; false where it has none. */
bool why_word_at(const struct image *image, addr_t at, uint32_t *word);

/* Those about supply and reset line (why_supply.c). */
void why_no_power_cycle(const struct why_case *w, struct proposals *p);
void why_back_powered(const struct why_case *w, struct proposals *p);
void why_reset_lost(const struct why_case *w, struct proposals *p);

/* Those about starts that are no reset, and a probe that is gone
 * (why_handover.c). */
void why_started_by_probe(const struct why_case *w, struct proposals *p);
void why_launched(const struct why_case *w, struct proposals *p);
void why_handover_residue(const struct why_case *w, struct proposals *p);
void why_debug_left(const struct why_case *w, struct proposals *p);

/* Those about option words (why_options.c). */
void why_watchdog(const struct why_case *w, struct proposals *p);
void why_start_option(const struct why_case *w, struct proposals *p);
void why_wrong_bank(const struct why_case *w, struct proposals *p);
void why_locked(const struct why_case *w, struct proposals *p);
void why_locked_attached(const struct why_case *w, struct proposals *p);
void why_options_cut(const struct why_case *w, struct proposals *p);

/* Everything that one play needs, and frees. */
struct why_trial {
  struct arena arena;
  struct json_out *document;
  struct play *play;
  const struct result *result;
  struct sight_reader reader;
};

/* Where it starts, what shows it, what mends it; and its causes, where nothing
 * was assumed. */
void why_tell(struct explanation *e, struct why_trial *t, struct arena *arena);

/* What an explanation shows of all that could be measured. */
struct why_view {
  char values[SIGHT_MAX][SIGHT_TEXT];
};

/* The measurement that splits the list best, and for each explanation the one
 * that sets it off from most others. `keys` are those not seen yet. */
void why_split(const struct plan *plan, const struct sight *keys,
               uint32_t key_count, const struct why_view *views,
               struct diagnosis *d, struct arena *arena);

#endif

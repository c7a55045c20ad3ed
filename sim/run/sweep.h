/* sweep.h -- the same case at every point of something: of its own time, or of
 * a quantity.
 *
 *   kind     a point is                          numbered
 *   CYCLE    a core clock cycle of the base run  by cycle, from 1
 *   EVENT    a record of its trace               in order, from 1
 *   WRITE    a record about a flash order        in order, from 1
 *   VARY     a combination of values             the last option's fastest,
 *                                                from 1
 *
 * Of CYCLE, EVENT and WRITE there is one base run; at each point the fault
 * happens on a side branch (outlook.h). A record's point lies behind it, when
 * everything due at its instant is done; a cycle's, or a record's inside an
 * instruction, at the next instruction boundary. VARY plays the whole case
 * once a point and judges it.
 *
 * After a full power loss equal non-volatile cells give equal answers: such
 * are asked once in a worker, and counted over all (sweep_summary).
 *
 * The rule a reader would get wrong: neighbours with one answer are one record
 * (`first` to `last`), however the points were shared out among workers and
 * shards; so the same sweep gives the same bytes.
 *
 * Owns: nothing. Borrows: script, part.
 */
#ifndef RUN_SWEEP_H
#define RUN_SWEEP_H

#include <stdint.h>

#include "base/arena.h"
#include "base/status.h"
#include "core/cpu.h"
#include "describe/answer.h"
#include "describe/case.h"
#include "describe/part.h"
#include "run/outlook.h"
#include "run/pages.h"
#include "run/vary.h"

enum sweep_kind {
  SWEEP_CYCLE,
  SWEEP_EVENT,
  SWEEP_WRITE,
  SWEEP_VARY,
  SWEEP_KIND_COUNT_
};

/* "cycle", "event", "write", "vary" */
extern const char *const sweep_kind_words[];

struct sweep {
  const struct case_script *script;
  const struct part *part;
  enum sweep_kind kind;
  struct outlook_event fault; /* of the first three */
  ps_t patience;              /* the same */
  enum cpu_engine engine;     /* of the base run and its side branches alike */
  bool naive;       /* for comparison: no point shares anything with another */
  struct vary vary; /* of VARY */
};

/* What is known before the points: from one base run, or the grid. */
struct sweep_base {
  uint64_t point_count;
  ps_t end;             /* of the base run */
  struct hash128 setup; /* of everything that the answers depend on */
};

#define SWEEP_WHAT 96

/* Points with one answer, one behind the other. */
struct sweep_record {
  uint64_t first, last;
  ps_t at_first, at_last;
  uint64_t has_cells;    /* 0: `cells` says nothing */
  struct hash128 cells;  /* non-volatile, when the power went */
  char what[SWEEP_WHAT]; /* the record, the values; "" for a cycle */
  ps_t margin;           /* least, of an expectation; PS_NEVER: none */
  struct answer answer;
};

/* Points asked for: `last` included. */
struct sweep_range {
  uint64_t first, last;
};

/* "cut" or "reset"; "" of VARY. */
const char *sweep_fault_word(const struct sweep *s);

/* "cut:cycle:17", "vary:3": what --point takes. */
void sweep_id(const struct sweep *s, uint64_t point, char *text, size_t size);

/* Count the points. Errors are those of play_prepare. */
enum sim_status sweep_measure(const struct sweep *s, struct sweep_base *base,
                              struct sim_error *err);

/* Called with each record, in order; false: stop. `asking` is called before a
 * point is asked, and with 0 when its answer is there. */
struct sweep_sink {
  bool (*record)(void *context, const struct sweep_record *r);
  void (*asking)(void *context, uint64_t point);
  void *context;
};

/* Answer the points of `ranges`, which ascend. */
enum sim_status sweep_ask(const struct sweep *s,
                          const struct sweep_range *ranges,
                          uint32_t range_count, const struct sweep_sink *sink,
                          struct sim_error *err);

/* The same for one point: what --point and --edge ask. */
enum sim_status sweep_ask_one(const struct sweep *s, uint64_t point,
                              struct sweep_record *record,
                              struct sim_error *err);

/* The last point whose answer is that of point 1, found by halving: *below and
 * *above are neighbours with different answers. False in *found if the first
 * and the last point have one answer; then below is the first and above the
 * last. Where the answer changes more than once this is one of the edges. */
enum sim_status sweep_edge(const struct sweep *s, uint64_t point_count,
                           struct sweep_record *below,
                           struct sweep_record *above, bool *found,
                           struct sim_error *err);

/* True where the two say the same and the second goes on where the first
 * ends. */
bool sweep_joins(const struct sweep_record *a, const struct sweep_record *b);

/* --- for the files of this folder --- */

enum sim_status sweep_walk(const struct sweep *s,
                           const struct sweep_range *ranges,
                           uint32_t range_count, const struct sweep_sink *sink,
                           struct sweep_base *base, struct sim_error *err);
enum sim_status sweep_play_all(const struct sweep *s,
                               const struct sweep_range *ranges,
                               uint32_t range_count,
                               const struct sweep_sink *sink,
                               struct sim_error *err);

#endif

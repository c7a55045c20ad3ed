/* route_branch.h -- steps of a catalog, played from a state on a side branch.
 *
 *   kept state --restore--> steps --keep--> another kept state
 *
 * A kept state is the whole machine and what the folds knew: the newest start,
 * and how the nevers stand. Nothing of a branch reaches another.
 *
 * A step fails where a never is broken, where the probe could not do what was
 * asked, where a write to the latch had no effect, where an expectation does
 * not hold, or where a limit stopped it. What comes after it is not played.
 *
 * Owns: the play, the store. Borrows: the catalog.
 */
#ifndef RUN_ROUTE_BRANCH_H
#define RUN_ROUTE_BRANCH_H

#include "run/nevers.h"
#include "run/play.h"
#include "run/route_catalog.h"
#include "run/route_key.h"
#include "run/starts.h"

struct route_bench {
  const struct catalog *catalog;
  struct play *play;
  struct page_store store;
  struct arena texts;
};

struct route_kept;

/* What came of a branch. */
struct route_played {
  bool good;
  ps_t took;
  char reason[96]; /* why it failed, the same for attempts that fail alike */
  char why[192];   /* the same with what was seen; "" if it is good */
};

/* The images are loaded and every name of the catalog is resolved. */
enum sim_status route_bench_open(struct route_bench *b,
                                 const struct catalog *catalog,
                                 struct sim_error *err);
void route_bench_close(struct route_bench *b);

/* What the goal asks, in words; lives in the bench. */
const char *route_goal_text(struct route_bench *b);

/* Before first power; nothing is judged until route_arm. */
struct route_kept *route_begin(struct route_bench *b);

/* Play these ranges of steps from `from`. `to` may be NULL; else it receives
 * the state reached if all went well, or NULL. */
void route_play(struct route_bench *b, const struct route_kept *from,
                const struct catalog_range *ranges, uint32_t range_count,
                struct route_played *played, struct route_kept **to);

/* The nevers are watched from this state on. */
void route_arm(struct route_bench *b, struct route_kept *kept);

/* What is so already, in words: the boot ROM runs, a pin is fought over. */
void route_describe(const struct route_kept *kept, char *text, size_t size);

/* True if the image that is to be written is in flash whole. */
bool route_holds_image(struct route_bench *b, const struct route_kept *kept);

struct route_key *route_key_of(struct route_bench *b,
                               const struct route_kept *kept,
                               const struct catalog_bench *bench);

void route_forget(struct route_bench *b,
                  struct route_kept *kept); /* NULL too */

#endif

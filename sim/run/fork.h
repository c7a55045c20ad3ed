/* fork.h -- the whole machine, kept; and a side branch of its history.
 *
 * A snapshot holds blocks and memory as pages (pages.h). It belongs to the
 * machine that it was taken of: restoring copies back only the pages that
 * differ, and has the instruction engine forget the code in them under every
 * alias. The trace is no part of it.
 *
 *   base  ------P--------------------->   the run, undisturbed
 *               \__ side branch __        its own trace and folds; forgotten
 *
 * In a side branch the host on the serial line gives up what it was at: what
 * it would have asked next is in the script, and that stays with the run.
 *
 * fork_begin at P, then anything may happen to the machine, then fork_end.
 * The base's folds see none of it. May not be called from inside a bus
 * callback or a fold.
 *
 * What the blocks hold must be plain values, or pointers that stay what they
 * are for the life of the machine; a block that owns memory of its own besides
 * the regions' bytes must be added here.
 *
 * Owns: a snapshot its pages. Borrows: the store, the machine.
 */
#ifndef RUN_FORK_H
#define RUN_FORK_H

#include "run/machine.h"
#include "run/pages.h"

struct snapshot;

/* To be freed with snapshot_free, before the store. */
struct snapshot *snapshot_take(struct page_store *store,
                               const struct machine *m);
void snapshot_restore(const struct snapshot *s, struct machine *m);
void snapshot_free(struct page_store *store,
                   struct snapshot *s); /* NULL too */

/* Pages of one region, in order. */
const struct stored_page *const *
snapshot_pages(const struct snapshot *s, uint32_t region, uint32_t *count);

/* Pages of what the check bits of all flash say (memory.h), in order. */
const struct stored_page *const *snapshot_granules(const struct snapshot *s,
                                                   uint32_t *count);

/* The blocks as they were; the bytes of its memory are not its own. */
void snapshot_chip(const struct snapshot *s, struct chip *chip);

struct fork {
  struct snapshot *before;
  struct trace trace; /* of the base, while the branch lasts */
  struct visitor *visitor;
};

/* From here to fork_end nothing reaches the base's folds or its visitor; the
 * board's fold listens on. The branch's trace stops, as full, beyond `limit`
 * records. */
void fork_begin(struct fork *f, struct page_store *store, struct machine *m,
                uint64_t limit);
void fork_end(struct fork *f, struct page_store *store, struct machine *m);

#endif

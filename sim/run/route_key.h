/* route_key.h -- a state of the whole machine, told apart from another.
 *
 * Two keys are equal exactly where the machines behave alike from then on, but
 * for what the clock on the wall says: each block folds itself as it is seen
 * from now (base/fold.h), and every byte of every memory counts.
 *
 * A key is made of pages (pages.h): hashed, then compared. Equal pages of one
 * store are one page.
 *
 * Not modelled: that two states may behave alike although something differs
 * (RAM that nobody reads again).
 *
 * Owns: a key its pages. Borrows: the store, which outlives it.
 */
#ifndef RUN_ROUTE_KEY_H
#define RUN_ROUTE_KEY_H

#include <stddef.h>

#include "run/machine.h"
#include "run/pages.h"

struct route_key {
  struct hash128 hash;
  size_t count;
  struct stored_page *pages[];
};

/* Of the machine as it stands, with `extra` bytes that count
 * as well. To be freed with route_key_free. */
struct route_key *route_key_make(struct page_store *store,
                                 const struct machine *m, const void *extra,
                                 size_t extra_bytes);
bool route_key_equal(const struct route_key *a, const struct route_key *b);
void route_key_free(struct page_store *store,
                    struct route_key *key); /* NULL too */

#endif

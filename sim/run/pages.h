/* pages.h -- immutable pages of memory, shared where equal.
 *
 * A page is found by the 128-bit hash of its bytes and then compared, so that
 * two pages of one store are equal exactly where they are the same page.
 *
 * Owns: the pages. Each page is counted: who keeps one says so, and lets it
 * go.
 */
#ifndef RUN_PAGES_H
#define RUN_PAGES_H

#include <stddef.h>
#include <stdint.h>

#include "base/hash.h"

#define PAGE_BYTES 1024u /* every region is a multiple of it */

struct stored_page {
  struct stored_page *next; /* in its bucket */
  struct hash128 hash;      /* of the bytes */
  uint32_t keepers;
  uint8_t bytes[PAGE_BYTES];
};

struct page_store {
  struct stored_page **buckets;
  size_t bucket_count, page_count;
};

void pages_init(struct page_store *store);

/* Asserts that no page is kept any more. */
void pages_free(struct page_store *store);

/* The page with these PAGE_BYTES bytes, kept once more. */
struct stored_page *pages_keep(struct page_store *store, const uint8_t *bytes);

/* The same of a page that is at hand. */
struct stored_page *pages_keep_again(struct stored_page *page);

void pages_let_go(struct page_store *store, struct stored_page *page);

#endif

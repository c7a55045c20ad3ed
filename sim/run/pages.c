#include "run/pages.h"

#include <assert.h>
#include <stdlib.h>
#include <string.h>

#include "base/arena.h"

#define FIRST_BUCKETS 256u

static void *get_zeroed(size_t count, size_t size)
{
  void *memory = calloc(count, size);
  if (memory == NULL) arena_no_memory();
  return memory;
}

void pages_init(struct page_store *store)
{
  *store = (struct page_store){
      .buckets = get_zeroed(FIRST_BUCKETS, sizeof(struct stored_page *)),
      .bucket_count = FIRST_BUCKETS};
}

void pages_free(struct page_store *store)
{
  assert(store->page_count == 0);
  free(store->buckets);
}

static struct stored_page **bucket_of(const struct page_store *store,
                                      struct hash128 hash)
{
  return &store->buckets[hash.low & (store->bucket_count - 1)];
}

static void put(struct page_store *store, struct stored_page *page)
{
  struct stored_page **bucket = bucket_of(store, page->hash);
  page->next = *bucket;
  *bucket = page;
}

static void grow(struct page_store *store)
{
  struct page_store larger = {
      .buckets =
          get_zeroed(store->bucket_count * 2, sizeof(struct stored_page *)),
      .bucket_count = store->bucket_count * 2,
      .page_count = store->page_count};
  for (size_t i = 0; i < store->bucket_count; i++) {
    for (struct stored_page *page = store->buckets[i]; page != NULL;) {
      struct stored_page *next = page->next;
      put(&larger, page);
      page = next;
    }
  }
  free(store->buckets);
  *store = larger;
}

static struct stored_page *add(struct page_store *store, struct hash128 hash,
                               const uint8_t *bytes)
{
  if (store->page_count >= store->bucket_count) grow(store);
  struct stored_page *page = get_zeroed(1, sizeof(*page));
  page->hash = hash;
  memcpy(page->bytes, bytes, PAGE_BYTES);
  put(store, page);
  store->page_count++;
  return page;
}

struct stored_page *pages_keep_again(struct stored_page *page)
{
  assert(page->keepers < UINT32_MAX);
  page->keepers++;
  return page;
}

struct stored_page *pages_keep(struct page_store *store, const uint8_t *bytes)
{
  struct hash128 hash = hash_bytes(bytes, PAGE_BYTES);
  struct stored_page *page = *bucket_of(store, hash);
  while (page != NULL && memcmp(page->bytes, bytes, PAGE_BYTES) != 0)
    page = page->next;
  return pages_keep_again(page != NULL ? page : add(store, hash, bytes));
}

void pages_let_go(struct page_store *store, struct stored_page *page)
{
  assert(page->keepers > 0);
  if (--page->keepers > 0) return;
  struct stored_page **link = bucket_of(store, page->hash);
  while (*link != page)
    link = &(*link)->next;
  *link = page->next;
  store->page_count--;
  free(page);
}

#include "base/arena.h"

#include <assert.h>
#include <stdalign.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define BLOCK_BYTES ((size_t)64 << 10)

/* The first block of the list is the one still being filled. */
struct arena_block {
  struct arena_block *next;
  size_t used;
  alignas(max_align_t) unsigned char bytes[];
};

void arena_init(struct arena *a)
{
  a->blocks = NULL;
}

void arena_free(struct arena *a)
{
  while (a->blocks) {
    struct arena_block *block = a->blocks;
    a->blocks = block->next;
    free(block);
  }
}

_Noreturn void arena_no_memory(void)
{
  fputs("firstfetch: the host has no memory left\n", stderr);
  abort();
}

static struct arena_block *new_block(size_t size)
{
  if (size > SIZE_MAX / 2) arena_no_memory();
  struct arena_block *block = calloc(1, sizeof *block + size);
  if (!block) arena_no_memory();
  return block;
}

/* A block of its own, behind the one being filled, so that one large request
 * does not waste what is left of that. */
static void *get_large(struct arena *a, size_t size)
{
  if (!a->blocks) a->blocks = new_block(BLOCK_BYTES);
  struct arena_block *block = new_block(size);
  block->next = a->blocks->next;
  a->blocks->next = block;
  return block->bytes;
}

void *arena_get(struct arena *a, size_t size)
{
  if (size > BLOCK_BYTES / 4) return get_large(a, size);

  size_t align = alignof(max_align_t);
  size_t rounded = size == 0 ? align : (size + align - 1) / align * align;
  if (!a->blocks || a->blocks->used + rounded > BLOCK_BYTES) {
    struct arena_block *block = new_block(BLOCK_BYTES);
    block->next = a->blocks;
    a->blocks = block;
  }
  void *got = a->blocks->bytes + a->blocks->used;
  a->blocks->used += rounded;
  return got;
}

void *arena_array(struct arena *a, size_t count, size_t size)
{
  assert(size > 0 && count <= SIZE_MAX / size);
  return arena_get(a, count * size);
}

char *arena_text_n(struct arena *a, const char *text, size_t length)
{
  char *copy = arena_get(a, length + 1);
  if (length > 0) memcpy(copy, text, length);
  return copy;
}

char *arena_text(struct arena *a, const char *text)
{
  return arena_text_n(a, text, strlen(text));
}

/* arena.h -- memory that lives and dies together.
 *
 * Everything a reader builds (descriptions, images, JSON nodes) comes from
 * one arena and is freed with it, so error paths leak nothing.
 *
 * Blocks never move. Memory is zeroed. An allocation that the host refuses
 * ends the program with a message: there is no partial result to save.
 */
#ifndef BASE_ARENA_H
#define BASE_ARENA_H

#include <stddef.h>

struct arena_block;

struct arena {
  struct arena_block *blocks; /* owned */
};

void arena_init(struct arena *a);

/* Free all of it; the arena is then empty and may be used again. */
void arena_free(struct arena *a);

/* `size` zeroed bytes aligned for any type; never NULL. */
void *arena_get(struct arena *a, size_t size);

/* `count` elements of `size` bytes, zeroed. Asserts that the product fits. */
void *arena_array(struct arena *a, size_t count, size_t size);

/* Copies; always terminated. */
char *arena_text(struct arena *a, const char *text);
char *arena_text_n(struct arena *a, const char *text, size_t length);

/* What happens where the host refuses memory, here and elsewhere: a message
 * on standard error and the end of the program. */
_Noreturn void arena_no_memory(void);

#endif

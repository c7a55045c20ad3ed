/* nearest.h -- the word that a misspelt one was probably meant to be.
 *
 * Owns, borrows: nothing.
 */
#ifndef BASE_NEAREST_H
#define BASE_NEAREST_H

#include <stddef.h>

/* How many single characters must be inserted, removed, replaced, or swapped
 * with their neighbour to make one word of the other. */
unsigned nearest_distance(const char *a, const char *b);

/* The nearest of `count` words, the first of several, or NULL if it takes
 * more than a third of the characters of `word`, though one always may. */
const char *nearest_word(const char *word, const char *const *words,
                         size_t count);

#endif

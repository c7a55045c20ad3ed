#include "base/nearest.h"

#include <string.h>

/* Longer words are not compared: no word of ours is. */
enum { LONGEST = 64 };

static unsigned least(unsigned a, unsigned b)
{
  return a < b ? a : b;
}

/* The usual table of distances between beginnings, three rows of it. */
unsigned nearest_distance(const char *a, const char *b)
{
  size_t a_length = strnlen(a, LONGEST + 1),
         b_length = strnlen(b, LONGEST + 1);
  if (a_length > LONGEST || b_length > LONGEST) return LONGEST;
  unsigned rows[3][LONGEST + 1];
  for (unsigned j = 0; j <= b_length; j++) {
    rows[0][j] = j;
  }
  for (unsigned i = 1; i <= a_length; i++) {
    unsigned *row = rows[i % 3];
    const unsigned *up = rows[(i + 2) % 3], *up2 = rows[(i + 1) % 3];
    row[0] = i;
    for (unsigned j = 1; j <= b_length; j++) {
      unsigned replaced = up[j - 1] + (a[i - 1] != b[j - 1]);
      row[j] = least(replaced, least(up[j], row[j - 1]) + 1);
      if (i > 1 && j > 1 && a[i - 1] == b[j - 2] && a[i - 2] == b[j - 1]) {
        row[j] = least(row[j], up2[j - 2] + 1);
      }
    }
  }
  return rows[a_length % 3][b_length];
}

const char *nearest_word(const char *word, const char *const *words,
                         size_t count)
{
  unsigned third = (unsigned)(strnlen(word, LONGEST) / 3);
  unsigned allowed = third > 1 ? third : 1;
  const char *nearest = NULL;
  for (size_t i = 0; i < count; i++) {
    unsigned distance = nearest_distance(word, words[i]);
    if (distance > allowed) continue;
    nearest = words[i];
    if (distance == 0) break;
    allowed = distance - 1;
  }
  return nearest;
}

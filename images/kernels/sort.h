/* sort.h -- heap sort of words: no recursion, no memory beside the list.
 */
#ifndef KERNELS_SORT_H
#define KERNELS_SORT_H

#include <stdint.h>

/* Let the word at `root` sink until both below it are no larger. */
static inline void sort_sink(uint32_t *list, uint32_t root, uint32_t count)
{
  uint32_t word = list[root];
  for (uint32_t child; (child = 2u * root + 1u) < count; root = child) {
    if (child + 1u < count && list[child + 1u] > list[child]) child++;
    if (list[child] <= word) break;
    list[root] = list[child];
  }
  list[root] = word;
}

/* In place, ascending. */
static inline void sort(uint32_t *list, uint32_t count)
{
  for (uint32_t root = count / 2u; root-- > 0;)
    sort_sink(list, root, count);
  for (uint32_t end = count; end > 1u;) {
    uint32_t largest = list[0];
    list[0] = list[--end];
    list[end] = largest;
    sort_sink(list, 0, end);
  }
}

#endif

/* part_numbers.h -- every number of a part by its path in the file.
 *
 * Found by walking the shape that the file is read with, so no list of them
 * has to be kept: "power.on.rise", "clock.sources[1].frequency".
 *
 * Owns: nothing; the list is in the arena.
 */
#ifndef DESCRIBE_PART_NUMBERS_H
#define DESCRIBE_PART_NUMBERS_H

#include <stddef.h>

#include "base/arena.h"
#include "base/units.h"
#include "describe/part.h"

struct part_number {
  const char *path;
  size_t at; /* offset of its struct quantity in struct part */
  enum unit unit;
};

/* In the order of the shape. */
void part_numbers(struct arena *arena, const struct part *part,
                  const struct part_number **numbers, uint32_t *count);

static inline struct quantity *part_number_in(struct part *part,
                                              const struct part_number *n)
{
  return (struct quantity *)(void *)((char *)part + n->at);
}

#endif

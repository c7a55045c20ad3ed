/* chip_fixture.h -- what the tests of the blocks share: quantities without a
 * tolerance, and a trace whose records can be asked for.
 */
#ifndef TESTS_CHIP_FIXTURE_H
#define TESTS_CHIP_FIXTURE_H

#include <stddef.h>
#include <stdint.h>

#include "base/trace.h"
#include "base/units.h"
#include "describe/part.h"
#include "describe/trace_kinds.h"

/* Initialiser of a struct quantity. */
#define EXACTLY(value)                                                        \
  {                                                                           \
    .min = (value), .typ = (value), .max = (value)                            \
  }

#define KHZ INT64_C(1000)
#define MHZ INT64_C(1000000)

/* A trace that keeps everything. trace_free when done. */
static inline void kept_init(struct trace *t)
{
  trace_init(t, 1000000);
  trace_keep(t, TRACE_ALL, 100000);
}

static inline size_t kept_count(const struct trace *t, enum trace_kind kind)
{
  size_t count = 0;
  for (size_t i = 0; i < t->kept_count; i++)
    count += t->kept[i].kind == kind;
  return count;
}

/* The n-th record of this kind, from 0; NULL if there are fewer. */
static inline const struct trace_record *
kept_nth(const struct trace *t, enum trace_kind kind, size_t n)
{
  for (size_t i = 0; i < t->kept_count; i++)
    if (t->kept[i].kind == kind && n-- == 0) return &t->kept[i];
  return NULL;
}

/* The last record of this kind, or NULL. */
static inline const struct trace_record *kept_last(const struct trace *t,
                                                   enum trace_kind kind)
{
  for (size_t i = t->kept_count; i-- > 0;)
    if (t->kept[i].kind == kind) return &t->kept[i];
  return NULL;
}

/* Numbers without a pattern, the same on every machine: the multiplier and
 * the increment of Knuth's MMIX generator (from memory); the upper half of
 * the state is used. */
static inline uint32_t fixture_random(uint64_t *state)
{
  *state = *state * 6364136223846793005u + 1442695040888963407u;
  return (uint32_t)(*state >> 32);
}

#endif

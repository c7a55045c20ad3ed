/* learn_program.h -- pieces of firmware as plain functions, run against
 * sim/chip/learn.h: each access has an instruction's address of its own and
 * takes some instructions. No register here has a meaning but the one that a
 * piece of firmware gives it.
 */
#ifndef TESTS_LEARN_PROGRAM_H
#define TESTS_LEARN_PROGRAM_H

#include "chip_fixture.h"
#include "rows.h"

#include "chip/learn.h"

struct program {
  struct learn learn;
  struct trace trace;
  uint64_t step;
};

static inline struct program *program_new(const struct part_answer *answers,
                                          uint32_t count)
{
  struct program *p = test_calloc(1, sizeof *p);
  learn_init(&p->learn, answers, count);
  kept_init(&p->trace);
  return p;
}

static inline void program_free(struct program *p)
{
  trace_free(&p->trace);
  test_free(p);
}

static inline struct learn_access program_access(struct program *p, addr_t at,
                                                 addr_t pc, uint32_t lanes)
{
  if (!learn_has(&p->learn, at & ~3u)) learn_add(&p->learn, at & ~3u, 0);
  return (struct learn_access){at, pc, lanes, p->step};
}

/* Three instructions, the last of them a load. */
static inline uint32_t read_lanes(struct program *p, addr_t at, addr_t pc,
                                  uint32_t lanes)
{
  p->step += 3;
  struct learn_access a = program_access(p, at, pc, lanes);
  struct moment now = {(ps_t)p->step, (cycle_t)p->step};
  return learn_read(&p->learn, &a, now, &p->trace) & lanes;
}

static inline uint32_t read_word(struct program *p, addr_t at, addr_t pc)
{
  return read_lanes(p, at, pc, UINT32_MAX);
}

static inline void write_word(struct program *p, addr_t at, addr_t pc,
                              uint32_t value)
{
  p->step += 3;
  struct learn_access a = program_access(p, at, pc, UINT32_MAX);
  struct moment now = {(ps_t)p->step, (cycle_t)p->step};
  learn_write(&p->learn, &a, value, now, &p->trace);
}

/* while ((REG & mask) != wanted), at most `most` times; then it does something
 * else. Returns how many reads it took, 0 if it gave up. */
static inline uint32_t poll_word(struct program *p, addr_t at, addr_t pc,
                                 uint32_t mask, uint32_t wanted, uint32_t most)
{
  for (uint32_t reads = 1; reads <= most; reads++)
    if ((read_word(p, at, pc) & mask) == wanted) return reads;
  return 0;
}

static inline size_t trials(const struct program *p)
{
  return kept_count(&p->trace, TRACE_TRIAL);
}

static inline size_t lessons(const struct program *p)
{
  return kept_count(&p->trace, TRACE_LEARNED);
}

#endif

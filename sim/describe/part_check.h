/* part_check.h -- what a part file may not say although each value by itself
 * is right.
 *
 * The part has been read from `root`, so its lists have the same order, and
 * the registers are still in the order of the file.
 */
#ifndef DESCRIBE_PART_CHECK_H
#define DESCRIBE_PART_CHECK_H

#include <stddef.h>
#include <stdint.h>

#include "base/json.h"
#include "base/status.h"
#include "describe/part.h"

enum sim_status part_check(const struct part *part, const struct json *root,
                           struct sim_error *err);

/* The same for memory, and for all that takes addresses. */
enum sim_status part_check_memory(const struct part *part,
                                  const struct json *root,
                                  struct sim_error *err);

/* The same for options, straps, blank check and start rules. */
enum sim_status part_check_start(const struct part *part,
                                 const struct json *root,
                                 struct sim_error *err);

/* The same for blocks, registers and fields. */
enum sim_status part_check_registers(const struct part *part,
                                     const struct json *root,
                                     struct sim_error *err);

/* The same for answers about registers that nothing describes. */
enum sim_status part_check_answers(const struct part *part,
                                   const struct json *root,
                                   struct sim_error *err);

/* The value at "power.on.rise", or NULL if it or something above is left
 * out. */
const struct json *part_node(const struct json *from, const char *path);

/* The same, but where something is left out, the object that lacks it. */
const struct json *part_place(const struct json *from, const char *path);

/* The n-th child; asserts that there is one. */
const struct json *part_nth(const struct json *list, uint32_t n);

/* Refuse a name that two children of `list` have: their `key`, or they
 * themselves if that is NULL. `list` may be NULL. */
enum sim_status part_check_names(const struct json *list, const char *key,
                                 struct sim_error *err);

/* Bits of a field, and the error if some of them are taken: `field` is its
 * node. */
static inline uint32_t part_mask(uint32_t lsb, uint32_t width)
{
  return (uint32_t)(((UINT64_C(1) << width) - 1) << lsb);
}
enum sim_status part_fail_overlap(const struct json *field,
                                  struct sim_error *err);

#endif

/* newcomer.h -- what is known to those who know the parts, for those who
 * don't; one sentence each.
 *
 * Owns: nothing; texts that are made are in the arena.
 */
#ifndef DESCRIBE_NEWCOMER_H
#define DESCRIBE_NEWCOMER_H

#include "base/arena.h"
#include "describe/part.h"
#include "describe/result.h"

/* NULL where newcomer.inc has none; a test asks for all. */
const char *finding_newcomer(enum finding_kind kind);
const char *cause_newcomer(enum cause cause);

/* Why a start rule decides: what the part's file says ("about", "newcomer"),
 * or else the rule's own conditions put into words; "option start.source is
 * check, and the latch says blank". */
const char *rule_expert(struct arena *arena, const struct part *part,
                        uint32_t rule);
const char *rule_newcomer(struct arena *arena, const struct part *part,
                          uint32_t rule);

#endif

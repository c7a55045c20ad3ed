/* diagnosis.h -- which causes explain what was seen, as plain data: what the
 * reports of `why` say.
 *
 * Owns: nothing; all memory is in the arena of whoever asked.
 */
#ifndef DESCRIBE_DIAGNOSIS_H
#define DESCRIBE_DIAGNOSIS_H

#include <stdbool.h>
#include <stdint.h>

#include "base/json.h"
#include "describe/answer.h"
#include "describe/case.h"

enum why_cause {
#define X(name, word, finding, assumed, mends) WHY_##name,
#include "describe/why_causes.def"
#undef X
  WHY_COUNT_
};

const char *why_cause_word(enum why_cause cause);
const char *why_cause_assumed(enum why_cause cause);
const char *why_cause_mends(enum why_cause cause);

/* The cause that a finding names by itself, or WHY_COUNT_. */
enum why_cause why_cause_of(enum finding_kind finding);

/* The finding that names the cause; false: none does. */
bool why_cause_finding(enum why_cause cause, enum finding_kind *finding);

#define WHY_MAX_CAUSES   2 /* assumed at once */
#define WHY_MAX_REMEDIES 16
#define WHY_MAX_LISTED   32 /* explanations */
#define WHY_MAX_DROPPED  65 /* each cause alone, and what was told */

struct why_fact {
  const char *key, *value;
};

struct explanation {
  uint32_t assumed; /* 0: what was told is enough */
  enum why_cause causes[WHY_MAX_CAUSES];
  const char *details[WHY_MAX_CAUSES]; /* "strap start high", or NULL */
  uint32_t cause_count; /* as many as assumed; with none assumed those that
                           the run shows, or 0 */
  const char *shown;    /* what the simulated bench tells of it, or NULL */
  struct answer start;  /* the last start of that run */
  const char *remedies[WHY_MAX_REMEDIES];
  uint32_t remedy_count;
  const char *mended_by[CAUSE_COUNT_]; /* events after which the application
                                          starts from there */
  uint32_t mended_by_count;
  struct why_fact rules_out; /* seen otherwise, it is not this; key NULL: what
                                could be seen is the same for all */
  const char *how;           /* to measure that */
  struct json_out *bench;    /* a case that shows it; NULL if not wanted */
};

/* What was tried, nothing else assumed, and shows something else. */
struct why_dropped {
  bool told; /* what was told, with no cause; `cause` is unused */
  enum why_cause cause;
  const char *detail;   /* or NULL */
  struct why_fact seen; /* the first of what was seen that it does not show */
  const char *shown;    /* in its place */
};

/* Explanations that show the same value of the proposed measurement. */
struct why_group {
  const char *value;
  uint32_t members; /* bit per explanation */
};

struct why_split {
  const char *key, *how; /* NULL: nothing splits the list */
  struct why_group groups[WHY_MAX_LISTED];
  uint32_t group_count;
};

struct diagnosis {
  const char *title, *case_file, *part;
  struct why_fact seen[CASE_MAX_SEEN];
  const char *seen_how[CASE_MAX_SEEN]; /* how one sees it */
  uint32_t seen_count;
  bool whole;              /* the steps tell all from power-on */
  uint32_t singles, pairs; /* tried; what is impossible not counted */
  struct explanation list[WHY_MAX_LISTED];
  uint32_t count;
  uint32_t unlisted; /* more that agree */
  struct why_dropped dropped[WHY_MAX_DROPPED];
  uint32_t dropped_count;
  struct why_split split;
  /* Of the first explanation's run: assumed numbers of the part in the blocks
   * that were touched, and those, bit per enum part_section. */
  uint32_t assumed_numbers, touched;
};

#endif

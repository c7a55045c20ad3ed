/* route.h -- what `route` is asked, and what it found, as plain data.
 *
 * A procedure is a list of actions; an action is one step of a case, or a few
 * that belong together. Between actions a pause passes, so that no procedure
 * rests on a person being quicker than that.
 *
 * Owns: nothing; memory is in the arena of who made it.
 */
#ifndef DESCRIBE_ROUTE_H
#define DESCRIBE_ROUTE_H

#include <stdbool.h>
#include <stdint.h>

#include "base/units.h"
#include "describe/answer.h"
#include "describe/case.h"
#include "describe/part.h"

enum route_action {
#define X(name, word, means, milliseconds, sentence) ROUTE_##name,
#include "describe/route_actions.def"
#undef X
  ROUTE_ACTION_COUNT_
};

enum route_means {
#define X(name, word, sentence) MEANS_##name,
#include "describe/route_means.def"
#undef X
  MEANS_COUNT_
};
#define MEANS_BIT(name) (1u << MEANS_##name)

enum route_incoming_kind {
#define X(name, word, sentence) INCOMING_##name,
#include "describe/route_incoming.def"
#undef X
  INCOMING_COUNT_
};

/* Lists of words, each ended by NULL, in the order of the enumeration; and
 * what they mean. */
extern const char *const route_action_words[];
extern const char *const route_action_sentences[];
extern const char *const route_means_words[];
extern const char *const route_means_sentences[];
extern const char *const route_incoming_words[];
extern const char *const route_incoming_sentences[];

/* Bits of enum route_means that an action needs, and a person's time, ps. */
uint32_t route_action_means(enum route_action action);
ps_t route_action_time(enum route_action action);

#define ROUTE_MAX_STATES  8
#define ROUTE_MAX_OPTIONS 16

/* A state in which the part arrives, as steps of a case. */
struct route_incoming {
  const char *name;
  struct step *steps;
  uint32_t step_count;
};

/* The "route" object of a case. */
struct route_spec {
  uint32_t line, column;
  struct expectation goal;
  ps_t within;
  uint32_t image; /* that is to be written; index */
  uint32_t old;   /* that is there before, where a state has one */
  enum route_means at_hand[MEANS_COUNT_];
  uint32_t at_hand_count;
  bool says_at_hand; /* else what the board offers */
  enum route_action actions[ROUTE_ACTION_COUNT_];
  uint32_t action_count; /* 0: all */
  enum route_incoming_kind with[INCOMING_COUNT_];
  uint32_t with_count;
  struct route_incoming own[ROUTE_MAX_STATES];
  uint32_t own_count;
  struct option_setting options[ROUTE_MAX_OPTIONS];
  uint32_t option_count; /* 0: each named value that a start rule asks for */
  enum cause field[CAUSE_COUNT_];
  uint32_t field_count;
  bool says_field; /* else every cause that comes without a probe */
  ps_t pause;
};

/* --- the answer ---------------------------------------------------------- */

/* From one incoming state. */
struct route_time {
  const char *state;
  ps_t simulated; /* to the goal, pauses included */
};

struct route_move {
  enum route_action action;
  const char *name;   /* "write option start.source = check" */
  const char *detail; /* what the person does, a whole sentence */
};

/* What the shipped unit starts after a reset in the field. */
struct route_shipped {
  const char *state; /* in which the part had arrived */
  const char *after; /* word of the cause */
  struct answer answer;
};

struct route_procedure {
  const struct route_move *moves;
  uint32_t move_count;
  const struct route_time *times; /* one a state that it works from */
  uint32_t time_count;
  ps_t person; /* assumed */
  /* One a state: a case that plays it whole. */
  const struct case_script *const *scripts;
  const struct route_shipped *shipped; /* state by state */
  uint32_t shipped_count;
  /* From the first state: assumed numbers of the part in the blocks that were
   * touched, and those, bit per enum part_section. */
  uint32_t assumed, touched;
};

/* Why attempts ended, each with the shortest one. */
struct route_dead_end {
  const char *why;
  const char *state;              /* in which it happened */
  const struct route_move *moves; /* with the one that failed, the last */
  uint32_t move_count;
  uint64_t attempts; /* that ended so */
};

/* Why no further was looked. */
enum route_end {
  ROUTE_FOUND,     /* as many procedures as were wanted */
  ROUTE_EXHAUSTED, /* every sequence up to the depth */
  ROUTE_LIMIT      /* the limit of states came first */
};
extern const char *const route_end_words[];

/* How far was looked. */
struct route_effort {
  enum route_end end;
  uint64_t states;   /* looked at */
  uint64_t attempts; /* actions played */
  uint32_t depth;    /* every sequence of up to so many actions is answered
                        for, but those slower than the last procedure */
};

/* A constraint that was lifted, and what came of it. */
struct route_lift {
  const char *what;
  bool found;
  const struct route_move *moves; /* the quickest procedure then */
  uint32_t move_count;
  struct route_effort effort;
};

/* One state alone, where no procedure works from all. */
struct route_alone {
  const char *state;
  bool found;
  struct route_procedure procedure;
  struct route_effort effort;
};

struct route_note {
  const char *state, *text;
};

struct route_result {
  const struct case_script *script;
  const struct part *part;
  const char *goal; /* in words */
  const char *const *nevers;
  uint32_t never_count; /* those of the script, in its order */
  const char *const *at_hand;
  uint32_t at_hand_count;
  const char *const *states;
  uint32_t state_count;
  const struct route_note *notes; /* what is so before the first action */
  uint32_t note_count;
  const struct route_procedure *procedures; /* least time first */
  uint32_t procedure_count;
  struct route_effort effort;
  uint32_t depth_asked;
  ps_t pause;
  const char *const *field; /* what the shipped unit must outlive */
  uint32_t field_count;
  const struct route_alone *alone; /* several states and no procedure */
  uint32_t alone_count;
  const struct route_dead_end *dead_ends;
  uint32_t dead_end_count;
  const struct route_lift *lifts;
  uint32_t lift_count;
  bool contention_told; /* some attempt met it */
};

#endif

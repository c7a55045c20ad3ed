/* answer.h -- where a part would start, as plain data of fixed size.
 *
 * Texts are cut to their room and hold printable ASCII without quotes and
 * backslashes: they go through pipes and files as they are.
 *
 * Owns: nothing; all of it is inside.
 */
#ifndef DESCRIBE_ANSWER_H
#define DESCRIBE_ANSWER_H

#include <stdbool.h>
#include <stdint.h>

#include "base/units.h"
#include "describe/part.h"
#include "describe/result.h"

enum answer_class {
#define X(name, word, sentence) CLASS_##name,
#include "describe/classes.def"
#undef X
  CLASS_COUNT_
};

extern const char *const answer_class_words[]; /* ends with NULL */
extern const char *const answer_class_sentences[];

#define ANSWER_TEXT 64

/* As many as enum torn has, and a whole number of words. */
#define ANSWER_KINDS 8

/* Zeroed as a whole before it is filled in, so that answers are compared with
 * memcmp. */
struct answer {
  uint32_t class;            /* enum answer_class */
  uint32_t started;          /* 0: no start, the rest is empty */
  char image[ANSWER_TEXT];   /* that flash holds whole, or "" */
  char cause[ANSWER_TEXT];   /* of the start */
  char region[ANSWER_TEXT];  /* of the first fetch */
  char rule[ANSWER_TEXT];    /* that chose it */
  char latch[ANSWER_TEXT];   /* "blank", "programmed", "" */
  char stale[ANSWER_TEXT];   /* "yes", "no", "" */
  char symbol[ANSWER_TEXT];  /* of the first fetch, or "" */
  char landing[ANSWER_TEXT]; /* region after the boot ROM, or "" */
  char outcome[ANSWER_TEXT]; /* how it went on */
  uint32_t pc;
  /* Of what a flash order may leave that the event cut short: the class that
   * comes of each kind, enum torn, and one; 0: not asked. `class` and the
   * texts are those of the worst, which is the one furthest down in
   * classes.def; of equal ones the first that the part declares. */
  uint8_t left[ANSWER_KINDS];
};

/* What an event would lead to, from the state at the end of a run. */
struct after_row {
  const char *event; /* "power cycle", or the word of a cause */
  struct answer answer;
};

struct after {
  struct after_row rows[CAUSE_COUNT_];
  uint32_t count;
};

/* Copy as far as there is room; what may not stand in an answer becomes '?'.
 * NULL counts as "". */
void answer_text(char to[ANSWER_TEXT], const char *text);

/* Zero it and take over what a start says; `start` may be NULL. */
void answer_take(struct answer *a, const struct start *start);

/* True if a flash order was cut short. */
bool answer_cut(const struct answer *a);

#endif

#include "describe/answer.h"

#include <string.h>

#include "describe/names.h"

const char *const answer_class_words[] = {
#define X(name, word, sentence) word,
#include "describe/classes.def"
#undef X
    NULL};

const char *const answer_class_sentences[] = {
#define X(name, word, sentence) sentence,
#include "describe/classes.def"
#undef X
    NULL};

void answer_text(char to[ANSWER_TEXT], const char *text)
{
  size_t used = 0;
  for (; text != NULL && *text != '\0' && used < ANSWER_TEXT - 1; text++) {
    bool plain = *text >= ' ' && *text <= '~' && *text != '"' && *text != '\\';
    to[used++] = plain ? *text : '?';
  }
  memset(to + used, 0, ANSWER_TEXT - used);
}

void answer_take(struct answer *a, const struct start *start)
{
  memset(a, 0, sizeof(*a));
  a->class = CLASS_NONE;
  if (start == NULL) return;
  a->started = 1;
  static const char *const words[] = {
      [START_HANDOVER] = "hand-over", [START_PROBE] = "probe"};
  answer_text(a->cause, start->how == START_RESET ? cause_word(start->cause)
                                                  : words[start->how]);
  answer_text(a->region, start->region);
  answer_text(a->rule, start->rule);
  if (start->has_latch) {
    answer_text(a->latch, latch_word(start->latch_programmed));
    answer_text(a->stale, start->stale ? "yes" : "no");
  }
  answer_text(a->symbol, start->symbol);
  answer_text(a->landing, start->landing.landed ? start->landing.region : "");
  answer_text(a->outcome, outcome_word(start->outcome));
  a->pc = start->pc;
}

_Static_assert((int)TORN_COUNT_ <= ANSWER_KINDS && (int)CLASS_COUNT_ < 255,
               "room for every kind");

bool answer_cut(const struct answer *a)
{
  for (unsigned i = 0; i < TORN_COUNT_; i++)
    if (a->left[i] != 0) return true;
  return false;
}

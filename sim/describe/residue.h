/* residue.h -- what an earlier life can leave to a start: the items of
 * residues.def.
 *
 * Owns, borrows: nothing.
 */
#ifndef DESCRIBE_RESIDUE_H
#define DESCRIBE_RESIDUE_H

#include <stdbool.h>

enum residue {
#define X(name, word, sentence, remedy) RESIDUE_##name,
#include "describe/residues.def"
#undef X
  RESIDUE_COUNT_
};

/* By item, and a NULL. */
extern const char *const residue_words[];

/* "interrupts were masked by PRIMASK" */
const char *residue_sentence(enum residue item);

/* What the program that is started can do about it, or NULL. */
const char *residue_remedy(enum residue item);

/* For who has never heard of it: one sentence; NULL where newcomer.inc has
 * none, and a test asks for all. */
const char *residue_newcomer(enum residue item);

/* Those of a debugger. */
static inline bool residue_of_debugger(enum residue item)
{
  return item <= RESIDUE_BREAKPOINTS;
}

#endif

#include "describe/residue.h"

#include <assert.h>
#include <stddef.h>

const char *const residue_words[] = {
#define X(name, word, sentence, remedy) word,
#include "describe/residues.def"
#undef X
    NULL};

static const struct {
  const char *sentence, *remedy;
} rows[] = {
#define X(name, word, sentence, remedy) {sentence, remedy},
#include "describe/residues.def"
#undef X
};

const char *residue_sentence(enum residue item)
{
  assert(item < RESIDUE_COUNT_);
  return rows[item].sentence;
}

const char *residue_remedy(enum residue item)
{
  assert(item < RESIDUE_COUNT_);
  return rows[item].remedy[0] == '\0' ? NULL : rows[item].remedy;
}

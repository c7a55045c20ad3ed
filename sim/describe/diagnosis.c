#include "describe/diagnosis.h"

static const struct row {
  const char *word, *assumed, *mends;
  int finding; /* enum finding_kind, or -1 */
} rows[] = {
#define FINDING_NONE (-1)
#define X(name, word, finding, assumed, mends)                                \
  {word, assumed, mends, FINDING_##finding},
#include "describe/why_causes.def"
#undef X
#undef FINDING_NONE
};

const char *why_cause_word(enum why_cause cause)
{
  return rows[cause].word;
}

const char *why_cause_assumed(enum why_cause cause)
{
  return rows[cause].assumed;
}

const char *why_cause_mends(enum why_cause cause)
{
  return rows[cause].mends;
}

bool why_cause_finding(enum why_cause cause, enum finding_kind *finding)
{
  if (rows[cause].finding < 0) return false;
  *finding = (enum finding_kind)rows[cause].finding;
  return true;
}

enum why_cause why_cause_of(enum finding_kind finding)
{
  for (int c = 0; c < WHY_COUNT_; c++)
    if (rows[c].finding == (int)finding) return (enum why_cause)c;
  return WHY_COUNT_;
}

#include "report/answers.h"

#include <inttypes.h>

#include "base/json.h"
#include "describe/names.h"

unsigned report_single_bit(uint32_t mask)
{
  if (mask == 0 || (mask & (mask - 1)) != 0) return 32;
  unsigned bit = 0;
  while (mask >> bit != 1) {
    bit++;
  }
  return bit;
}

static void put_answer(struct json_out *list, const struct part_answer *a)
{
  struct json_out *to = json_add_object(list, NULL);
  unsigned bit = report_single_bit(a->mask);
  json_add_format(to, "at", "0x%08" PRIx32, a->at);
  if (bit < 32) {
    json_add_integer(to, "bit", bit);
    json_add_integer(to, "is", a->value >> bit);
  } else if (a->mask != 0) {
    json_add_format(to, "mask", "0x%08" PRIx32, a->mask);
    json_add_format(to, "reads", "0x%08" PRIx32, a->value);
  }
  json_add_text(to, "when", answer_when_words[a->when]);
}

/* What is known to depend on something outside, whole or in part. */
static bool is_outside(const struct result *r, const struct part_answer *a)
{
  for (uint32_t i = 0; i < r->learned_count; i++) {
    const struct learned *l = &r->learned[i];
    if (l->withdrawn && l->at == a->at && l->mask == a->mask) return true;
  }
  return false;
}

void report_answers(FILE *to, const struct part *part,
                    const struct result *result)
{
  struct json_out *root = json_out_object();
  struct json_out *list = json_add_list(root, "answers");
  for (uint32_t i = 0; i < part->answer_count; i++) {
    put_answer(list, &part->answers[i]);
  }
  for (uint32_t i = 0; i < result->learned_count; i++) {
    const struct learned *l = &result->learned[i];
    struct part_answer a = {l->at, l->mask, l->value, ANSWER_POLLED};
    if (is_outside(result, &a)) a.when = ANSWER_OUTSIDE;
    put_answer(list, &a);
  }
  json_write(root, to);
  json_out_free(root);
}

#include "report/json_answer.h"

#include <inttypes.h>

static void put_text(struct json_out *to, const char *key, const char *text)
{
  if (text[0] != '\0')
    json_add_text(to, key, text);
  else
    json_add_null(to, key);
}

void json_answer(struct json_out *to, const struct answer *a)
{
  if (!a->started) {
    json_add_null(to, "start");
    return;
  }
  struct json_out *start = json_add_object(to, "start");
  json_add_text(start, "cause", a->cause);
  json_add_text(start, "region", a->region);
  put_text(start, "rule", a->rule);
  put_text(start, "latch", a->latch);
  put_text(start, "stale", a->stale);
  json_add_format(start, "pc", "0x%08" PRIx32, a->pc);
  put_text(start, "symbol", a->symbol);
  put_text(start, "landing", a->landing);
  json_add_text(start, "outcome", a->outcome);
}

void json_after(struct json_out *to, const struct after *after)
{
  if (after == NULL) return;
  struct json_out *list = json_add_list(to, "after");
  for (uint32_t i = 0; i < after->count; i++) {
    struct json_out *row = json_add_object(list, NULL);
    json_add_text(row, "event", after->rows[i].event);
    json_add_text(row, "class",
                  answer_class_words[after->rows[i].answer.class]);
    json_answer(row, &after->rows[i].answer);
  }
}

#include "report/text_after.h"

#include <string.h>

void text_answer(struct page *page, const struct answer *a)
{
  if (!a->started) {
    page_say(page, "no start");
    return;
  }
  page_say(page, "in ");
  page_say(page, a->region);
  if (a->rule[0] != '\0') {
    page_say(page, " by rule ");
    page_say(page, a->rule);
  }
  page_say(page, " at ");
  page_address(page, a->pc);
  if (a->symbol[0] != '\0') {
    page_say(page, " (");
    page_say(page, a->symbol);
    page_say(page, ")");
  }
  if (a->landing[0] != '\0') {
    page_say(page, ", landing in ");
    page_say(page, a->landing);
  }
  if (a->latch[0] != '\0') {
    page_say(page, ", latch ");
    page_say(page, a->latch);
    if (strcmp(a->stale, "yes") == 0) page_say(page, " (stale)");
  }
  page_say(page, ", ");
  page_say(page, a->outcome);
}

void text_after(struct page *page, const struct after *after)
{
  if (after == NULL) return;
  page_gap(page);
  page_line(page, 0, "from here, each reset would start:");
  for (uint32_t i = 0; i < after->count; i++) {
    const struct after_row *row = &after->rows[i];
    page_item(page, 2, 19, row->event);
    page_say(page, answer_class_words[row->answer.class]);
    if (row->answer.started) page_say(page, ": ");
    if (row->answer.started) text_answer(page, &row->answer);
    page_end(page);
  }
}

#include "report/why_words.h"

const char why_none[] =
    "None of these explains all that was seen. Either something seen or told "
    "is not so, or the cause is one that is not known here.";
const char why_nothing_assumed[] =
    "nothing: what was told leads to it by itself";
const char why_all_alike[] =
    "Nothing that can be measured on this part tells them apart.";

void why_say_names(struct page *p, const struct explanation *e)
{
  if (e->cause_count == 0) page_say(p, "what was told");
  for (uint32_t i = 0; i < e->cause_count; i++) {
    if (i > 0) page_say(p, " and ");
    page_say(p, why_cause_word(e->causes[i]));
    if (e->details[i] == NULL) continue;
    page_say(p, " (");
    page_say(p, e->details[i]);
    page_say(p, ")");
  }
}

void why_not_this(struct page *p, const struct explanation *e)
{
  if (e->rules_out.key == NULL) return;
  page_item(p, 2, 15, "not this, if");
  page_say(p, e->rules_out.key);
  page_say(p, " is anything but ");
  page_say(p, e->rules_out.value);
  page_say(p, ": ");
  page_say(p, e->how);
  page_end(p);
}

void why_mended(struct page *p, const struct explanation *e)
{
  if (e->mended_by_count == 0) return;
  page_item(p, 2, 15, "from there");
  for (uint32_t i = 0; i < e->mended_by_count; i++) {
    page_say(p, i == 0 ? "" : ", ");
    page_together(p, e->mended_by[i]);
  }
  page_say(p, e->mended_by_count == 1 ? " starts" : " start");
  page_say(p, " the application");
  page_end(p);
}

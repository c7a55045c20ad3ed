#include "base/file.h"
#include "base/json.h"
#include "report/json_answer.h"
#include "report/why_report.h"

static void add_text_or_null(struct json_out *to, const char *key,
                             const char *text)
{
  if (text != NULL)
    json_add_text(to, key, text);
  else
    json_add_null(to, key);
}

static void add_causes(struct json_out *to, const struct explanation *e)
{
  struct json_out *causes = json_add_list(to, "causes");
  for (uint32_t i = 0; i < e->cause_count; i++) {
    struct json_out *cause = json_add_object(causes, NULL);
    json_add_text(cause, "cause", why_cause_word(e->causes[i]));
    json_add_text(cause, "sentence", why_cause_assumed(e->causes[i]));
    add_text_or_null(cause, "detail", e->details[i]);
  }
}

static void add_explanation(struct json_out *to, const struct explanation *e)
{
  json_add_integer(to, "assumed", e->assumed);
  add_causes(to, e);
  add_text_or_null(to, "shown", e->shown);
  json_answer(to, &e->start);
  struct json_out *remedies = json_add_list(to, "remedies");
  for (uint32_t i = 0; i < e->remedy_count; i++)
    json_add_text(remedies, NULL, e->remedies[i]);
  struct json_out *mended = json_add_list(to, "mended_by");
  for (uint32_t i = 0; i < e->mended_by_count; i++)
    json_add_text(mended, NULL, e->mended_by[i]);
  if (e->rules_out.key == NULL) {
    json_add_null(to, "rules_out");
    return;
  }
  struct json_out *out = json_add_object(to, "rules_out");
  json_add_text(out, "key", e->rules_out.key);
  json_add_text(out, "value", e->rules_out.value);
  json_add_text(out, "how", e->how);
}

static void add_split(struct json_out *to, const struct why_split *s)
{
  if (s->key == NULL) {
    json_add_null(to, "measure");
    return;
  }
  struct json_out *measure = json_add_object(to, "measure");
  json_add_text(measure, "key", s->key);
  json_add_text(measure, "how", s->how);
  struct json_out *groups = json_add_list(measure, "groups");
  for (uint32_t i = 0; i < s->group_count; i++) {
    struct json_out *group = json_add_object(groups, NULL);
    json_add_text(group, "value", s->groups[i].value);
    struct json_out *members = json_add_list(group, "explanations");
    for (uint32_t m = 0; m < WHY_MAX_LISTED; m++)
      if (s->groups[i].members >> m & 1u)
        json_add_integer(members, NULL, m + 1);
  }
}

static void add_dropped(struct json_out *to, const struct diagnosis *d)
{
  struct json_out *list = json_add_list(to, "dropped");
  for (uint32_t i = 0; i < d->dropped_count; i++) {
    const struct why_dropped *w = &d->dropped[i];
    struct json_out *one = json_add_object(list, NULL);
    add_text_or_null(one, "cause", w->told ? NULL : why_cause_word(w->cause));
    add_text_or_null(one, "detail", w->detail);
    json_add_text(one, "key", w->seen.key);
    json_add_text(one, "seen", w->seen.value);
    json_add_text(one, "shown", w->shown);
  }
}

void why_json(FILE *to, const struct diagnosis *d)
{
  struct json_out *out = json_out_object();
  json_add_integer(out, "firstfetch_why", 1);
  json_add_text(out, "case", d->title);
  json_add_text(out, "file", file_name(d->case_file));
  json_add_text(out, "part", d->part);
  struct json_out *seen = json_add_object(out, "seen");
  for (uint32_t i = 0; i < d->seen_count; i++)
    json_add_text(seen, d->seen[i].key, d->seen[i].value);
  json_add_boolean(out, "whole", d->whole);
  struct json_out *tried = json_add_object(out, "tried");
  json_add_integer(tried, "alone", d->singles);
  json_add_integer(tried, "pairs", d->pairs);
  struct json_out *list = json_add_list(out, "explanations");
  for (uint32_t i = 0; i < d->count; i++)
    add_explanation(json_add_object(list, NULL), &d->list[i]);
  json_add_integer(out, "unlisted", d->unlisted);
  add_dropped(out, d);
  add_split(out, &d->split);
  json_add_integer(out, "assumed_numbers", d->assumed_numbers);
  json_write(out, to);
  json_out_free(out);
}

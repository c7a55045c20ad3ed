/* A card for each start: what the text report says of it, and from the
 * timeline since when the latch is what it is. */
#include <inttypes.h>
#include <string.h>

#include "describe/names.h"
#include "report/html_run.h"
#include "report/page.h"
#include "report/text_start.h"

/* "step 4 (write programmed)" */
static void put_step(struct html *h, const struct html_run *run, ps_t at)
{
  const struct timeline_step *s = timeline_step_at(run->timeline, at);
  if (!s || s->number >= run->script->step_count) return;
  const struct step *step = &run->script->steps[s->number];
  html_put(h, ", in step %" PRIu32 " (%s", s->number, verb_word(step->verb));
  if (step->label) {
    html_put(h, ", ");
    html_text(h, step->label);
  }
  html_put(h, ")");
}

static void put_sampled(struct html *h, const struct html_run *run,
                        const struct start *s)
{
  const struct timeline_mark *m =
      timeline_mark_at(&run->timeline->samples, s->at);
  if (!s->has_latch || !m) return;
  html_put(h, "<dt>latch set</dt><dd>to %s at ", latch_word(m->what != 0));
  html_time(h, m->at);
  put_step(h, run, m->at);
  if (s->how == START_RESET && run->part->resets[s->cause].present &&
      !run->part->resets[s->cause].does[RESET_LATCH])
    html_put(h, "; the reset of this start, %s, keeps it",
             cause_word(s->cause));
  html_put(h, "</dd>\n");
}

static void put_stale(struct html *h, const struct html_run *run,
                      const struct start *s)
{
  if (!s->stale) return;
  const struct span *stale =
      lane_at(timeline_lane(run->timeline, LANE_STALE, 0), s->at);
  if (!stale) return;
  html_put(h, "<dt>stale since</dt><dd>");
  html_time(h, stale->from);
  put_step(h, run, stale->from);
  html_put(h, ", and until ");
  html_time(h, stale->to);
  html_put(h, "</dd>\n");
}

static const struct part_rule *rule_of(const struct part *part,
                                       const struct start *s)
{
  for (uint32_t i = 0; s->rule && i < part->rule_count; i++) {
    if (strcmp(part->rules[i].name, s->rule) == 0) return &part->rules[i];
  }
  return NULL;
}

static void put_rule(struct html *h, const struct html_run *run,
                     const struct start *s)
{
  const struct part_rule *rule = rule_of(run->part, s);
  if (!rule) return;
  html_put(h, "<dt>because</dt><dd>rule %" PRIu32 ", ",
           (uint32_t)(rule - run->part->rules) + 1);
  html_text(h, rule->name);
  html_put(h, ", is the first that holds: ");
  html_rule_text(h, run->part, rule);
  html_put(h, "</dd>\n");
}

static void put_findings(struct html *h, const struct html_run *run,
                         const struct start *s)
{
  bool any = false;
  for (uint32_t i = 0; i < run->result->finding_count; i++) {
    const struct finding *f = &run->result->findings[i];
    if (f->start != s->number) continue;
    html_put(h, "%s%s", any ? ", " : "<dt>findings</dt><dd>",
             finding_word(f->kind));
    any = true;
  }
  if (any) html_put(h, "</dd>\n");
}

static void put_start(struct html *h, const struct html_run *run,
                      const struct start *s)
{
  struct page page;
  html_put(h,
           "<div class=\"card%s\" id=\"%sstart-%" PRIu32
           "\" data-start=\"%" PRIu32 "\">\n<h%u>Start %" PRIu32 " in ",
           s->stale ? " heed" : "", h->prefix, s->number, s->number,
           h->level + 1, s->number);
  html_text(h, s->region);
  html_put(h, ", at ");
  html_time(h, s->at);
  html_put(h, ", step %" PRIu32, s->step);
  if (s->stale) html_put(h, " <span class=\"tag bad\">stale latch</span>");
  if (s->rom_instructions > 0)
    html_put(h, " <span class=\"tag\">ROM ran</span>");
  html_put(h, "</h%u>\n<dl>\n", h->level + 1);
  page_open_markup(&page, h->to, PAGE_ROWS);
  text_start_why(&page, s, TEXT_BOTH);
  put_rule(h, run, s);
  put_sampled(h, run, s);
  put_stale(h, run, s);
  text_start_course(&page, s);
  put_findings(h, run, s);
  html_put(h, "</dl>\n</div>\n");
}

void html_starts(struct html *h, const struct html_run *run)
{
  html_section(h, "starts", "Starts");
  if (run->result->start_count == 0)
    html_put(h, "<p>None: nothing ever began to execute.</p>\n");
  for (uint32_t i = 0; i < run->result->start_count; i++) {
    put_start(h, run, &run->result->starts[i]);
  }
  html_section_end(h);
}

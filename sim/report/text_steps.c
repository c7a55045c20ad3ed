#include "report/text_steps.h"

#include "describe/names.h"
#include "report/text_parts.h"

static void put_lasts(struct page *page, const char *before, ps_t lasts)
{
  if (lasts == 0) return;
  page_say(page, before);
  text_time(page, lasts);
}

static void put_power(struct page *page, const struct step *s)
{
  page_say(page, "Power: ");
  page_say(page, power_words[s->power]);
  put_lasts(page, ", and then ", s->lasts);
}

static void put_reset(struct page *page, const struct step *s)
{
  switch (s->reset) {
  case RESET_HOLD: page_say(page, "The reset line is pulled low"); break;
  case RESET_RELEASE: page_say(page, "The reset line is let go"); break;
  default:
    page_say(page, "A reset: ");
    page_say(page, cause_word(s->cause));
    put_lasts(page, ", held for ", s->lasts);
    break;
  }
}

static void put_settings(struct page *page, const struct step *s)
{
  for (uint32_t i = 0; i < s->set_count; i++) {
    page_say(page, i == 0 ? ": " : ", ");
    page_say(page, s->set[i].field);
    page_say(page, " is ");
    page_say(page, s->set[i].value);
  }
}

static void put_write(struct page *page, const struct case_script *script,
                      const struct step *s)
{
  switch (s->target) {
  case WRITE_IMAGE:
    page_say(page, "Image ");
    page_say(page, script->images[s->image].name);
    page_say(page, " is written");
    break;
  case WRITE_LATCH:
    page_say(page, "The blank latch is written: ");
    page_say(page, latch_word(s->value));
    break;
  case WRITE_OPTIONS:
    page_say(page, "Option words are written");
    put_settings(page, s);
    break;
  default:
    page_address(page, s->at);
    page_say(page, " is written");
    break;
  }
  if (s->by == BY_PRESET) page_say(page, ", before the part is soldered on");
}

static void put_probe(struct page *page, const struct step *s)
{
  page_say(page, "The probe: ");
  page_say(page, probe_words[s->probe]);
  if (s->probe == PROBE_ATTACH)
    page_say(page, s->attach == ATTACH_HELD ? ", with reset held"
                                            : ", to the part as it runs");
  if (!s->has_at) return;
  page_say(page, " ");
  page_address(page, s->at);
}

static void put_run(struct page *page, const struct step *s)
{
  page_say(page, "Time passes: ");
  text_time(page, s->lasts);
  if (!s->until) return;
  page_say(page, ", or until ");
  page_say(page, s->until);
}

static void put_drive(struct page *page, const struct step *s)
{
  page_say(page, "From outside, ");
  page_say(page, s->pin);
  page_say(page, s->level == DRIVE_RELEASE ? " is let go" : " is driven ");
  if (s->level != DRIVE_RELEASE) page_say(page, drive_words[s->level]);
}

void text_step_says(struct page *page, const struct case_script *script,
                    const struct step *s)
{
  switch (s->verb) {
  case VERB_POWER: put_power(page, s); break;
  case VERB_RESET: put_reset(page, s); break;
  case VERB_WRITE: put_write(page, script, s); break;
  case VERB_RELOAD:
    page_say(page, "The option words are loaded again");
    put_settings(page, s);
    break;
  case VERB_PROBE: put_probe(page, s); break;
  case VERB_RUN: put_run(page, s); break;
  case VERB_DRIVE: put_drive(page, s); break;
  default:
    page_say(page, verb_word(s->verb));
    page_say(page, ": ");
    page_say(page, verb_sentence(s->verb));
    break;
  }
  page_say(page, ".");
}

void text_steps(struct page *page, const struct case_script *script,
                uint32_t from, uint32_t to)
{
  for (uint32_t i = from; i < to && i < script->step_count; i++) {
    const struct step *s = &script->steps[i];
    if (s->verb == VERB_EXPECT) continue;
    page_item(page, 0, 2, "-");
    text_step_says(page, script, s);
    page_end(page);
  }
}

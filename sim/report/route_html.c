/* What `route` found as a page. */
#include <inttypes.h>
#include <string.h>

#include "base/file.h"
#include "describe/names.h"
#include "describe/never_text.h"
#include "describe/newcomer.h"
#include "report/html_parts.h"
#include "report/page.h"
#include "report/route_html.h"
#include "report/route_words.h"
#include "report/text_after.h"
#include "report/timeline_svg.h"

/* --- the verdict --------------------------------------------------------- */

static uint32_t found_alone(const struct route_result *r)
{
  uint32_t count = 0;
  for (uint32_t i = 0; i < r->alone_count; i++)
    count += r->alone[i].found;
  return count;
}

static void put_quickest(struct html *h, const struct route_procedure *p)
{
  html_put(h, " The quickest has %" PRIu32 " action%s and takes ",
           p->move_count, p->move_count == 1 ? "" : "s");
  html_time(h, p->times[0].simulated);
  html_put(h, " on the part");
  if (p->time_count > 1) {
    html_put(h, " that arrives as ");
    html_text(h, p->times[0].state);
  }
  html_put(h, ", and a person's ");
  html_time(h, p->person);
  html_put(h, " (assumed).");
}

static void put_ways_out(struct html *h, const struct route_result *r)
{
  const char *before = " One does, if any of these is lifted: ";
  bool any = false;
  for (uint32_t i = 0; i < r->lift_count; i++) {
    if (!r->lifts[i].found) continue;
    html_put(h, "%s", any ? "; " : before);
    html_text(h, r->lifts[i].what);
    any = true;
  }
  if (any) html_put(h, ".");
}

static void put_verdict(struct html *h, const struct route_result *r)
{
  uint32_t alone = found_alone(r);
  html_put(h, "<p class=\"verdict%s\"><strong>",
           r->procedure_count > 0 ? "" : " failed");
  if (r->procedure_count > 0) {
    html_put(h, "%" PRIu32 " procedure%s the goal.</strong>",
             r->procedure_count,
             r->procedure_count == 1 ? " reaches" : "s reach");
    put_quickest(h, &r->procedures[0]);
  } else {
    html_put(h, "%s</strong>", route_none(r));
    if (alone > 0)
      html_put(h, " Alone, %" PRIu32 " of the %" PRIu32 " states %s one.",
               alone, r->alone_count, alone == 1 ? "has" : "have");
    put_ways_out(h, r);
  }
  html_put(h, "</p>\n");
}

/* --- the question -------------------------------------------------------- */

static void put_words(struct html *h, const char *word, const char *sentence)
{
  html_put(h, "<li><strong>");
  html_text(h, word);
  html_put(h, "</strong>");
  if (sentence) {
    html_put(h, ": ");
    html_text(h, sentence);
  }
  html_put(h, "</li>\n");
}

static const char *sentence_of(const char *word, const char *const *words,
                               const char *const *sentences)
{
  for (uint32_t i = 0; words[i]; i++)
    if (strcmp(words[i], word) == 0) return sentences[i];
  return NULL;
}

static void put_goal(struct html *h, const struct route_result *r)
{
  const struct route_spec *spec = r->script->route;
  const struct case_image *image = &r->script->images[spec->image];
  html_put(h, "<dt>goal</dt><dd>the last start shows: ");
  html_text(h, r->goal);
  html_put(h, "; and the image is in flash, whole</dd>\n<dt>image</dt><dd>");
  html_text(h, image->name);
  html_put(h, ", file <code>");
  html_text(h, file_name(image->path));
  html_put(h, "</code></dd>\n");
}

static void put_nevers(struct html *h, const struct route_result *r)
{
  html_put(h, "<dt>never</dt><dd>%s",
           r->never_count > 0 ? "from the first action on"
                                "<ul data-list=\"never\">\n"
                              : "nothing is forbidden");
  for (uint32_t i = 0; i < r->never_count; i++)
    put_words(h, r->nevers[i], never_sentence(r->script->never[i].kind));
  html_put(h, "%s</dd>\n", r->never_count > 0 ? "</ul>" : "");
}

static void put_at_hand(struct html *h, const struct route_result *r)
{
  html_put(h, "<dt>at hand</dt><dd>%s",
           r->at_hand_count > 0 ? "<ul data-list=\"at-hand\">\n" : "nothing");
  for (uint32_t i = 0; i < r->at_hand_count; i++)
    put_words(
        h, r->at_hand[i],
        sentence_of(r->at_hand[i], route_means_words, route_means_sentences));
  html_put(h, "%s</dd>\n", r->at_hand_count > 0 ? "</ul>" : "");
}

static const char *note_of(const struct route_result *r, const char *state)
{
  for (uint32_t i = 0; i < r->note_count; i++)
    if (strcmp(r->notes[i].state, state) == 0) return r->notes[i].text;
  return NULL;
}

static void put_states(struct html *h, const struct route_result *r)
{
  html_put(h, "<dt>arrives as</dt><dd><ul data-list=\"states\">\n");
  for (uint32_t i = 0; i < r->state_count; i++) {
    const char *note = note_of(r, r->states[i]);
    html_put(h, "<li><strong>");
    html_text(h, r->states[i]);
    html_put(h, "</strong>");
    const char *sentence = sentence_of(r->states[i], route_incoming_words,
                                       route_incoming_sentences);
    if (sentence) html_put(h, ": %s", sentence);
    if (note) {
      html_put(h, ". <em>Before anybody does anything, ");
      html_text(h, note);
      html_put(h, ".</em>");
    }
    html_put(h, "</li>\n");
  }
  html_put(h, "</ul></dd>\n");
}

static void put_field(struct html *h, const struct route_result *r)
{
  html_put(h, "<dt>in the field</dt><dd>%s",
           r->field_count > 0 ? "the shipped unit must outlive<ul "
                                "data-list=\"field\">\n"
                              : "nothing is asked of the shipped unit");
  for (uint32_t i = 0; i < r->field_count; i++) {
    for (int c = 0; c < CAUSE_COUNT_; c++)
      if (strcmp(r->field[i], cause_word((enum cause)c)) == 0)
        put_words(h, r->field[i], cause_sentence((enum cause)c));
  }
  html_put(h, "%s</dd>\n", r->field_count > 0 ? "</ul>" : "");
}

static void put_asked(struct html *h, const struct route_result *r)
{
  html_section(h, "asked", "What was asked");
  html_put(h, "<dl>\n");
  put_goal(h, r);
  put_nevers(h, r);
  put_at_hand(h, r);
  put_states(h, r);
  put_field(h, r);
  html_put(h, "</dl>\n");
  html_section_end(h);
}

/* --- a procedure --------------------------------------------------------- */

static void put_times(struct html *h, const struct route_procedure *p)
{
  static const char *const columns[] = {"the part arrives as",
                                        "time on the part", NULL};
  html_table(h, "How long it takes, pauses included", columns);
  for (uint32_t i = 0; i < p->time_count; i++) {
    html_row(h, p->times[i].state, false);
    html_put(h, "<td>");
    html_time(h, p->times[i].simulated);
    html_put(h, "</td>");
    html_row_end(h);
  }
  html_table_end(h);
  html_put(h, "<p>A person's time comes on top, assumed: ");
  html_time(h, p->person);
  html_put(h, ".</p>\n");
}

static void put_steps(struct html *h, const struct route_result *r,
                      const struct route_procedure *p)
{
  if (p->move_count == 0) {
    html_put(h, "<p>Nothing needs to be done.</p>\n");
    return;
  }
  html_put(h, "<p>Let at least ");
  html_time(h, r->pause);
  html_put(h, " pass between steps. %s</p>\n<ol data-list=\"steps\">\n",
           route_if_a_step_fails);
  for (uint32_t i = 0; i < p->move_count; i++) {
    html_put(h, "<li><strong>");
    html_text(h, p->moves[i].name);
    html_put(h, "</strong>: ");
    html_text(h, p->moves[i].detail);
    html_put(h, "</li>\n");
  }
  html_put(h, "</ol>\n<p>Check: probe, host and jumpers are off. The unit "
              "must show: ");
  html_text(h, r->goal);
  html_put(h, ".</p>\n");
}

static void put_answer(struct html *h, const struct answer *a)
{
  struct page page;
  page_open_markup(&page, h->to, PAGE_INLINE);
  page_item(&page, 0, 0, "");
  text_answer(&page, a);
  page_end(&page);
}

/* From which states the unit answers so. */
static void put_alike(struct html *h, const struct route_procedure *p,
                      uint32_t first)
{
  uint32_t count = 0;
  for (uint32_t k = first; k < p->shipped_count; k++)
    count += route_shipped_alike(&p->shipped[first], &p->shipped[k]);
  html_put(h, "<td>");
  if (count > 1 && count == p->time_count) {
    html_put(h, "all states</td>");
    return;
  }
  const char *before = "";
  for (uint32_t k = first; k < p->shipped_count; k++) {
    if (!route_shipped_alike(&p->shipped[first], &p->shipped[k])) continue;
    html_put(h, "%s", before);
    html_text(h, p->shipped[k].state);
    before = ", ";
  }
  html_put(h, "</td>");
}

/* One row for all states that answer alike. */
static void put_shipped(struct html *h, const struct route_result *r,
                        const struct route_procedure *p)
{
  static const char *const columns[] = {"after", "it starts", "from", NULL};
  if (p->shipped_count == 0) return;
  html_table(h, "The shipped unit, after each reset in the field", columns);
  for (uint32_t f = 0; f < r->field_count; f++)
    for (uint32_t i = 0; i < p->shipped_count; i++) {
      if (!route_shipped_first(p, i, r->field[f])) continue;
      html_row(h, r->field[f], false);
      html_put(h, "<td>");
      put_answer(h, &p->shipped[i].answer);
      html_put(h, "</td>");
      put_alike(h, p, i);
      html_row_end(h);
    }
  html_table_end(h);
}

static void put_picture(struct html *h, const struct route_replay_shown *shown,
                        const char *id, bool open)
{
  if (!shown || !shown->timeline) return;
  html_put(h,
           "<details%s>\n<summary>Over time, from the first of the states"
           "</summary>\n<div class=\"strips\" role=\"region\" tabindex=\"0\" "
           "aria-label=\"Picture of %s, scrolls sideways\">\n",
           open ? " open" : "", id);
  timeline_strips(h->to, shown->result, shown->timeline, id);
  html_put(h, "</div>\n%s%s%s</details>\n", open ? "<p class=\"soft\">" : "",
           open ? timeline_scale : "", open ? "</p>\n" : "");
}

static void put_procedure(struct html *h, const struct route_result *r,
                          const struct route_procedure *p, const char *id,
                          const char *heading,
                          const struct route_replay_shown *shown, bool open)
{
  html_put(h, "<div class=\"card\" id=\"%s\" data-procedure=\"%s\">\n<h%u>",
           id, id, h->level + 1);
  html_text(h, heading);
  html_put(h, "</h%u>\n", h->level + 1);
  put_steps(h, r, p);
  put_times(h, p);
  put_shipped(h, r, p);
  put_picture(h, shown, id, open);
  html_put(h, "</div>\n");
}

static void put_procedures(struct html *h, const struct route_result *r,
                           const struct route_replay_shown *shown)
{
  char id[32], heading[64];
  html_section(h, "procedures", "Procedures, least time first");
  for (uint32_t i = 0; i < r->procedure_count; i++) {
    snprintf(id, sizeof id, "procedure-%" PRIu32, i + 1);
    snprintf(heading, sizeof heading, "Procedure %" PRIu32, i + 1);
    put_procedure(h, r, &r->procedures[i], id, heading, &shown[i], i == 0);
  }
  html_section_end(h);
}

/* --- how far was looked -------------------------------------------------- */

static void put_effort_words(struct html *h, const struct route_effort *e,
                             uint32_t asked)
{
  struct page page;
  page_open_markup(&page, h->to, PAGE_INLINE);
  page_item(&page, 0, 0, "");
  route_effort(&page, e, asked);
  page_end(&page);
}

static void put_effort(struct html *h, const struct route_result *r)
{
  html_section(h, "effort", "How far was looked");
  html_put(h, "<p>");
  put_effort_words(h, &r->effort, r->depth_asked);
  html_put(h, "</p>\n<p class=\"soft\">A state is the whole machine: memory, "
              "registers, latches, supply, probe. Two lists of actions that "
              "lead to one state are looked at once.</p>\n");
  html_section_end(h);
}

/* --- where there is none ------------------------------------------------- */

static void put_alone(struct html *h, const struct route_result *r,
                      const struct route_replay_shown *shown)
{
  char id[32], heading[200];
  if (r->alone_count == 0) return;
  html_section(h, "alone", "Each state alone");
  for (uint32_t i = 0; i < r->alone_count; i++) {
    const struct route_alone *a = &r->alone[i];
    html_put(h, "<p data-alone=\"%" PRIu32 "\"><strong>", i);
    html_text(h, a->state);
    html_put(h, "</strong>: %s. ", route_alone_found(a));
    put_effort_words(h, &a->effort, r->depth_asked);
    html_put(h, "</p>\n");
    if (!a->found) continue;
    snprintf(id, sizeof id, "alone-%" PRIu32, i + 1);
    snprintf(heading, sizeof heading, "From %.160s alone", a->state);
    put_procedure(h, r, &a->procedure, id, heading, &shown[i], i == 0);
  }
  html_section_end(h);
}

static void put_moves(struct html *h, const struct route_move *moves,
                      uint32_t count)
{
  html_put(h, "<td>%s", count > 0 ? "<ol>" : route_nothing_to_do);
  for (uint32_t i = 0; i < count; i++) {
    html_put(h, "<li>");
    html_text(h, moves[i].name);
    html_put(h, "</li>");
  }
  html_put(h, "%s</td>", count > 0 ? "</ol>" : "");
}

static void put_dead_ends(struct html *h, const struct route_result *r)
{
  static const char *const columns[] = {"what happened", "in state",
                                        "shortest attempt", "attempts", NULL};
  if (r->dead_end_count == 0) return;
  html_section(h, "dead-ends", "How attempts ended");
  html_put(h, "<p>The last action of each is the one that failed, or the last "
              "before the goal was asked for.</p>\n");
  html_table(h, "Dead ends, each with its shortest attempt", columns);
  for (uint32_t i = 0; i < r->dead_end_count; i++) {
    const struct route_dead_end *d = &r->dead_ends[i];
    html_row(h, d->why, false);
    html_cell(h, d->state);
    put_moves(h, d->moves, d->move_count);
    html_put(h, "<td>%" PRIu64 "</td>", d->attempts);
    html_row_end(h);
  }
  html_table_end(h);
  html_section_end(h);
}

static void put_lifts(struct html *h, const struct route_result *r)
{
  static const char *const columns[] = {"lifted", "then", "quickest procedure",
                                        NULL};
  if (r->lift_count == 0) return;
  html_section(h, "lifted", "What stands in the way");
  html_put(h, "<p>The search was made again without each constraint.</p>\n");
  html_table(h, "Constraints, each lifted", columns);
  for (uint32_t i = 0; i < r->lift_count; i++) {
    const struct route_lift *l = &r->lifts[i];
    html_row(h, l->what, l->found);
    html_put(h, "<td%s>%s. ", l->found ? " class=\"yes\"" : "",
             route_lift_found(l));
    put_effort_words(h, &l->effort, r->depth_asked);
    html_put(h, "</td>");
    if (l->found)
      put_moves(h, l->moves, l->move_count);
    else
      html_cell(h, NULL);
    html_row_end(h);
  }
  html_table_end(h);
  html_section_end(h);
}

/* --- all of it ----------------------------------------------------------- */

static const struct html_entry contents[] = {
    {"asked", "What was asked"},    {"cautions", "Cautions"},
    {"procedures", "Procedures"},   {"effort", "How far was looked"},
    {"assumed", "Assumed numbers"}, {NULL, NULL},
};
static const struct html_entry contents_of_none[] = {
    {"asked", "What was asked"},
    {"lifted", "What stands in the way"},
    {"dead-ends", "How attempts ended"},
    {"effort", "How far was looked"},
    {NULL, NULL},
};
static const struct html_entry contents_alone[] = {
    {"asked", "What was asked"},      {"cautions", "Cautions"},
    {"alone", "Each state alone"},    {"dead-ends", "How attempts ended"},
    {"effort", "How far was looked"}, {NULL, NULL},
};

void route_html(FILE *to, const struct route_result *r,
                const struct route_replay_shown *shown)
{
  struct html h = {.to = to};
  bool alone = found_alone(r) > 0;
  html_begin(&h, r->script->title);
  html_put(&h, "<p class=\"soft\">");
  html_subject(&h, r->part->name, r->part->about, r->script->file);
  html_put(&h, "</p>\n");
  put_verdict(&h, r);
  html_contents(&h, r->procedure_count > 0 ? contents
                    : alone                ? contents_alone
                                           : contents_of_none);
  put_asked(&h, r);
  if (r->procedure_count > 0 || alone) html_cautions(&h, false);
  if (r->procedure_count > 0) {
    put_procedures(&h, r, shown);
  } else {
    put_lifts(&h, r);
    put_alone(&h, r, shown);
    put_dead_ends(&h, r);
  }
  put_effort(&h, r);
  if (r->procedure_count > 0)
    html_assumed(&h, r->part, r->procedures[0].touched,
                 r->procedures[0].assumed, "the first procedure");
  html_words(&h);
  if (r->procedure_count == 0 && !alone) html_cautions(&h, false);
  html_end(&h);
}

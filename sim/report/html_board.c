/* What the part's pins did to the board, on which assumptions all of it
 * rests, and the words of the report. */
#include <inttypes.h>
#include <string.h>

#include "base/arena.h"
#include "describe/names.h"
#include "describe/part_numbers.h"
#include "report/html_run.h"

/* --- pins ---------------------------------------------------------------- */

static const struct case_net *net_of(const struct case_script *script,
                                     const char *pin)
{
  for (uint32_t i = 0; i < script->net_count; i++) {
    for (uint32_t k = 0; k < script->nets[i].pin_count; k++) {
      if (strcmp(script->nets[i].pins[k], pin) == 0) return &script->nets[i];
    }
  }
  return NULL;
}

/* ", pulled up through 10 kohm"; nothing where there is none. */
static void put_resistance(struct html *h, const char *words, int64_t mohm)
{
  char text[64];
  if (mohm == 0) return;
  html_put(h, ", %s %s", words,
           units_text(text, sizeof text, UNIT_RESISTANCE, mohm));
}

static void put_drivers(struct html *h, const struct case_net *net)
{
  for (uint32_t i = 0; i < net->driver_count; i++) {
    html_put(h, ", driven by ");
    html_text(h, net->drivers[i].name);
    put_resistance(h, "behind", net->drivers[i].resistance_mohm);
  }
}

static void put_net(struct html *h, const struct case_net *net)
{
  char text[64];
  html_put(h, "<td>");
  if (!net) {
    html_put(h, "none described</td>");
    return;
  }
  html_text(h, net->name);
  put_resistance(h, "behind", net->series_mohm);
  if (net->fixed) {
    html_put(h, ", tied to %s", net_level_words[net->to]);
    put_resistance(h, "through", net->through_mohm);
  }
  put_resistance(h, "pulled up through", net->pull_up_mohm);
  put_resistance(h, "pulled down through", net->pull_down_mohm);
  if (net->has_led) {
    html_put(h, ", a diode to %s with %s", net_level_words[net->led.to],
             units_text(text, sizeof text, UNIT_VOLTAGE, net->led.drop_uv));
    put_resistance(h, "and", net->led.through_mohm);
  }
  put_drivers(h, net);
  html_put(h, "</td>");
}

/* Which program drove it: the region in which execution was. */
static void put_driver(struct html *h, const struct html_run *run, ps_t at)
{
  const struct span *s =
      lane_at(timeline_lane(run->timeline, LANE_EXECUTION, 0), at);
  uint32_t region = s ? execution_region(s) : PART_NONE;
  if (region >= run->part->memory_count) {
    html_cell(h, "not known");
    return;
  }
  const struct part_memory *m = &run->part->memory[region];
  html_put(h, "<td>%s in ",
           m->kind == MEMORY_ROM ? "the boot ROM," : "the program");
  html_text(h, m->name);
  html_put(h, "</td>");
}

/* The first fight of a pin while it was driven in this start, or NULL. */
static const struct span *fight_of(const struct lane *lane,
                                   const struct start *s,
                                   const struct start_pin *p)
{
  for (uint32_t i = 0; lane && i < lane->count; i++) {
    const struct span *span = &lane->spans[i];
    if (span->to > p->at && span->from < s->ended) return span;
  }
  return NULL;
}

static void put_contended(struct html *h, const struct html_run *run,
                          const struct start *s, const struct start_pin *p)
{
  char text[LANE_TEXT];
  const struct lane *lane = timeline_lane(run->timeline, LANE_CONTENTION,
                                          part_pin_named(run->part, p->pin));
  const struct span *span = fight_of(lane, s, p);
  if (!span) {
    html_cell(h, "no");
    return;
  }
  html_put(h, "<td><strong>yes</strong>, at ");
  html_time(h, span->from);
  html_put(h, ": %s</td>", lane_value(run->timeline, lane, span, text));
}

static void put_pin(struct html *h, const struct html_run *run,
                    const struct start *s, const struct start_pin *p)
{
  char text[64];
  html_row(h, p->pin, false);
  html_put(h,
           "<td><a href=\"#%sstart-%" PRIu32 "\">start %" PRIu32 "</a></td>",
           h->prefix, s->number, s->number);
  html_put(h, "<td>%s</td>", p->high ? "high" : "low");
  html_cell(h, units_text(text, sizeof text, UNIT_TIME, p->at));
  put_driver(h, run, p->at);
  put_net(h, net_of(run->script, p->pin));
  put_contended(h, run, s, p);
  html_row_end(h);
}

static void put_pins(struct html *h, const struct html_run *run)
{
  static const char *const columns[] = {"pin",        "driven in", "level",
                                        "at",         "driven by", "net",
                                        "contention", NULL};
  html_table(h, "Pins that the part drove, first time in each start", columns);
  for (uint32_t i = 0; i < run->result->start_count; i++) {
    const struct start *s = &run->result->starts[i];
    for (uint32_t k = 0;
         k < s->pin_count && k < sizeof s->pins / sizeof s->pins[0]; k++)
      put_pin(h, run, s, &s->pins[k]);
  }
  html_table_end(h);
}

void html_board(struct html *h, const struct html_run *run)
{
  bool any = false;
  for (uint32_t i = 0; i < run->result->start_count; i++) {
    if (run->result->starts[i].pin_count > 0) any = true;
  }
  html_section(h, "board", "Pins and nets");
  html_put(h,
           "<p>%s Nets that the case does not describe are taken to be "
           "free.</p>\n",
           run->result->contention
               ? "<strong>Contention: two drivers disagreed on a net.</strong>"
               : "No contention: no two drivers disagreed on a net.");
  if (any)
    put_pins(h, run);
  else
    html_put(h, "<p>The part drove no pin.</p>\n");
  html_section_end(h);
}

/* --- what is assumed ----------------------------------------------------- */

static const struct part_number *number_of(const struct part_number *numbers,
                                           uint32_t count, const char *path)
{
  for (uint32_t i = 0; i < count; i++) {
    if (strcmp(numbers[i].path, path) == 0) return &numbers[i];
  }
  return NULL;
}

static void put_value(struct html *h, const struct part *part,
                      const struct part_number *n)
{
  char typ[64], min[64], max[64];
  html_put(h, "<td>");
  if (!n) {
    html_put(h, "how it behaves");
  } else {
    const struct quantity *q =
        (const struct quantity *)(const void *)((const char *)part + n->at);
    html_put(h, "%s", units_text(typ, sizeof typ, n->unit, q->typ));
    if (q->min != q->typ || q->max != q->typ)
      html_put(h, " (%s to %s)", units_text(min, sizeof min, n->unit, q->min),
               units_text(max, sizeof max, n->unit, q->max));
  }
  html_put(h, "</td>");
}

static bool counts(const struct html_run *run, const struct part_value *v)
{
  return v->from.source == SOURCE_ASSUMED &&
         ((run->timeline->assumed.touched >> v->section) & 1u);
}

static void put_assumed(struct html *h, const struct html_run *run)
{
  static const char *const columns[] = {"block", "in the part file", "value",
                                        NULL};
  struct arena arena;
  const struct part_number *numbers;
  uint32_t count;
  arena_init(&arena);
  part_numbers(&arena, run->part, &numbers, &count);
  html_table(h, "Assumed numbers and statements behind this run", columns);
  for (uint32_t i = 0; i < run->part->value_count; i++) {
    const struct part_value *v = &run->part->values[i];
    if (!counts(run, v)) continue;
    html_row(h, section_word(v->section), false);
    html_cell(h, v->path);
    put_value(h, run->part, number_of(numbers, count, v->path));
    html_row_end(h);
  }
  html_table_end(h);
  arena_free(&arena);
}

void html_assumed(struct html *h, const struct html_run *run)
{
  uint32_t assumed = run->result->assumed;
  html_section(h, "assumed", "Assumed numbers");
  html_put(h,
           "<p><strong>%" PRIu32 "</strong> assumed number%s behind this "
           "run, in the blocks that it touched. The part's own documentation "
           "has the real ones.</p>\n",
           assumed, assumed == 1 ? " stands" : "s stand");
  if (assumed > 0) put_assumed(h, run);
  html_section_end(h);
}

/* --- words --------------------------------------------------------------- */

static const struct {
  const char *word, *meaning;
} words[] = {
    {"start",
     "execution beginning, after a reset or by a hand-over; numbered"},
    {"first fetch", "the first instruction address of a start"},
    {"boot ROM", "the factory program in read-only memory"},
    {"ROM ran",
     "at least one instruction of the boot ROM was executed; halted "
     "at its vector is not running"},
    {"landing", "the first instruction outside the boot ROM, and what led "
                "there"},
    {"blank check", "reading the first words of flash to see whether they are "
                    "erased"},
    {"latch", "where the outcome of the blank check is kept: blank or "
              "programmed"},
    {"stale", "a fresh check would now say otherwise"},
    {"option words", "non-volatile settings; an option reload loads them "
                     "again, with a reset"},
    {"strap", "a pin sampled at reset to choose where to start"},
    {"start rules", "the ordered, named table that picks where a start "
                    "begins"},
    {"contention", "two drivers on one net disagree"},
};

void html_words(struct html *h)
{
  html_section(h, "words", "Words");
  html_put(h, "<dl>\n");
  for (size_t i = 0; i < sizeof words / sizeof words[0]; i++)
    html_put(h, "<dt>%s</dt><dd>%s</dd>\n", words[i].word, words[i].meaning);
  html_put(h, "</dl>\n");
  html_section_end(h);
}

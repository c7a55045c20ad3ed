/* What the part's pins did to the board. */
#include <inttypes.h>
#include <string.h>

#include "describe/names.h"
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

/* The part's own tables: start rules, with the starts that each decided, and
 * the reset table, with the resets that happened. */
#include <inttypes.h>
#include <string.h>

#include "describe/names.h"
#include "report/html_run.h"

/* --- start rules --------------------------------------------------------- */

static const char *value_name(const struct part_option_field *f,
                              uint32_t value)
{
  for (uint32_t i = 0; i < f->value_count; i++) {
    if (f->values[i].value == value) return f->values[i].name;
  }
  return NULL;
}

static void put_option_term(struct html *h, const struct part *part,
                            const struct part_term *term)
{
  const struct part_option_word *word = &part->options.words[term->index];
  const struct part_option_field *field = &word->fields[term->field];
  const char *name = value_name(field, term->value);
  html_put(h, "option ");
  html_text(h, word->name);
  html_put(h, ".");
  html_text(h, field->name);
  html_put(h, " is ");
  if (name)
    html_text(h, name);
  else
    html_put(h, "%" PRIu32, term->value);
}

static void put_term(struct html *h, const struct part *part,
                     const struct part_term *term)
{
  switch (term->kind) {
  case TERM_OPTION: put_option_term(h, part, term); break;
  case TERM_LATCH:
    html_put(h, "the %s says %s",
             part_has_latch(part) ? "latch" : "blank check",
             latch_word(term->value != 0));
    break;
  case TERM_STRAP:
    html_put(h, "strap ");
    html_text(h, part->straps[term->index].name);
    html_put(h, " is %s", term->value ? "high" : "low");
    break;
  }
}

void html_rule_text(struct html *h, const struct part *part,
                    const struct part_rule *rule)
{
  if (rule->term_count == 0) html_put(h, "always, if no rule above it holds");
  for (uint32_t i = 0; i < rule->term_count; i++) {
    if (i > 0) html_put(h, " and ");
    put_term(h, part, &rule->terms[i]);
  }
}

/* "starts 1, 2, 3"; returns how many. */
static uint32_t put_decided(struct html *h, const struct result *r,
                            const char *rule)
{
  uint32_t count = 0;
  html_put(h, "<td>");
  for (uint32_t i = 0; i < r->start_count; i++) {
    const struct start *s = &r->starts[i];
    if (!s->rule || strcmp(s->rule, rule) != 0) continue;
    html_put(h, "%s<a href=\"#%sstart-%" PRIu32 "\">start %" PRIu32 "</a>",
             count > 0 ? ", " : "", h->prefix, s->number, s->number);
    count++;
  }
  html_put(h, "</td>");
  return count;
}

static bool decided_any(const struct result *r, const char *rule)
{
  for (uint32_t i = 0; i < r->start_count; i++) {
    if (r->starts[i].rule && strcmp(r->starts[i].rule, rule) == 0) return true;
  }
  return false;
}

static void put_rule(struct html *h, const struct html_run *run, uint32_t i)
{
  const struct part_rule *rule = &run->part->rules[i];
  char number[16];
  snprintf(number, sizeof number, "%" PRIu32, i + 1);
  html_row(h, number, decided_any(run->result, rule->name));
  html_cell(h, rule->name);
  html_put(h, "<td>");
  html_rule_text(h, run->part, rule);
  html_put(h, "</td>");
  html_cell(h, run->part->memory[rule->memory].name);
  put_decided(h, run->result, rule->name);
  html_row_end(h);
}

/* Starts that no rule decided. */
static void put_undecided(struct html *h, const struct result *r,
                          const struct part *part)
{
  for (uint32_t i = 0; i < r->start_count; i++) {
    const struct start *s = &r->starts[i];
    bool known = false;
    for (uint32_t k = 0; s->rule && k < part->rule_count; k++) {
      if (strcmp(part->rules[k].name, s->rule) == 0) known = true;
    }
    if (known) continue;
    html_put(
        h, "<p>Start %" PRIu32 ": no rule was read; %s.</p>\n", s->number,
        s->how == START_HANDOVER ? "the program before it went there by itself"
        : s->how == START_PROBE  ? "the probe set the program counter"
                                 : "this reset keeps what was at address 0");
  }
}

void html_rules(struct html *h, const struct html_run *run)
{
  static const char *const columns[] = {"order",     "rule",    "when",
                                        "starts in", "decided", NULL};
  html_section(h, "rules", "Start rules");
  html_put(h, "<p>Read from the top: the first rule that holds decides. "
              "Marked rows decided a start of this run.</p>\n");
  html_table(h, "Start rules of the part", columns);
  for (uint32_t i = 0; i < run->part->rule_count; i++)
    put_rule(h, run, i);
  html_table_end(h);
  put_undecided(h, run->result, run->part);
  html_section_end(h);
}

/* --- the reset table ----------------------------------------------------- */

static uint32_t times(const struct timeline *t, enum cause cause)
{
  uint32_t count = 0;
  for (uint32_t i = 0; i < t->resets.count; i++) {
    if (t->resets.list[i].what == cause) count++;
  }
  return count;
}

static void put_times(struct html *h, const struct html_run *run)
{
  html_row(h, "happened", false);
  for (unsigned c = 0; c < CAUSE_COUNT_; c++) {
    if (!run->part->resets[c].present) continue;
    uint32_t count = times(run->timeline, (enum cause)c);
    if (count == 0)
      html_put(h, "<td>no</td>");
    else
      html_put(h, "<td class=\"seen\">%" PRIu32 " time%s</td>", count,
               count == 1 ? "" : "s");
  }
  html_row_end(h);
}

/* A column of the table as a row: there are fewer causes than columns. */
static void put_column(struct html *h, const struct html_run *run,
                       enum reset_column column)
{
  html_row(h, column_key(column), false);
  for (unsigned c = 0; c < CAUSE_COUNT_; c++) {
    const struct part_reset *row = &run->part->resets[c];
    if (!row->present) continue;
    html_put(h, "<td class=\"%s%s\">%s</td>",
             times(run->timeline, (enum cause)c) > 0 ? "seen" : "",
             row->does[column] ? " yes" : "",
             column_word(column, row->does[column]));
  }
  html_row_end(h);
}

static void put_columns(struct html *h)
{
  html_put(h, "<details>\n<summary>What the causes and columns mean"
              "</summary>\n<dl>\n");
  for (unsigned c = 0; c < CAUSE_COUNT_; c++)
    html_put(h, "<dt>%s</dt><dd>%s</dd>\n", cause_word((enum cause)c),
             cause_sentence((enum cause)c));
  for (unsigned c = 0; c < RESET_COLUMN_COUNT_; c++) {
    enum reset_column column = (enum reset_column)c;
    html_put(h, "<dt>%s</dt><dd>%s: %s</dd>\n", column_key(column),
             column_word(column, true), column_sentence(column));
  }
  html_put(h, "</dl>\n</details>\n");
}

void html_resets(struct html *h, const struct html_run *run)
{
  const char *columns[CAUSE_COUNT_ + 2] = {"a reset by"};
  uint32_t count = 1;
  for (unsigned c = 0; c < CAUSE_COUNT_; c++) {
    if (run->part->resets[c].present) columns[count++] = cause_word(c);
  }
  html_section(h, "resets", "Reset table");
  html_put(h, "<p>What each cause of a reset does on this part, and what it "
              "keeps. What happened in this run stands on a tinted "
              "ground.</p>\n");
  html_table(h, "Reset table of the part", columns);
  put_times(h, run);
  for (unsigned c = 0; c < RESET_COLUMN_COUNT_; c++)
    put_column(h, run, (enum reset_column)c);
  html_table_end(h);
  put_columns(h);
  html_section_end(h);
}

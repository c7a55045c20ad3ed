/* What decides where a start begins: options, straps, blank check, rules. */
#include <inttypes.h>
#include <string.h>

#include "describe/part_check.h"

/* --- options ------------------------------------------------------------- */

static enum sim_status check_values(const struct part_option_field *field,
                                    const struct json *node,
                                    struct sim_error *err)
{
  for (uint32_t b = 0; b < field->value_count; b++) {
    const struct json *value = part_nth(json_get(node, "values"), b);
    if ((uint64_t)field->values[b].value >> field->width != 0) {
      return json_fail(value, SIM_RANGE, err,
                       "is %" PRIu32 "; expected a value of %" PRIu32 " bit%s",
                       field->values[b].value, field->width,
                       field->width > 1 ? "s" : "");
    }
    for (uint32_t a = 0; a < b; a++) {
      if (field->values[a].value != field->values[b].value) continue;
      return json_fail(value, SIM_RANGE, err,
                       "is %" PRIu32 ", as is \"%s\"; expected another value",
                       field->values[b].value, field->values[a].name);
    }
  }
  return SIM_OK;
}

static enum sim_status check_option_word(const struct part_option_word *word,
                                         const struct json *node,
                                         struct sim_error *err)
{
  const struct json *fields = json_get(node, "fields");
  enum sim_status status = part_check_names(fields, "name", err);
  uint32_t taken = 0;
  for (uint32_t i = 0; i < word->field_count && status == SIM_OK; i++) {
    const struct part_option_field *field = &word->fields[i];
    const struct json *child = part_nth(fields, i);
    uint32_t mask = part_mask(field->lsb, field->width);
    if (taken & mask) return part_fail_overlap(child, err);
    taken |= mask;
    status = check_values(field, child, err);
  }
  return status;
}

static enum sim_status check_options(const struct part *part,
                                     const struct json *root,
                                     struct sim_error *err)
{
  const struct json *words = part_node(root, "options.words");
  enum sim_status status = part_check_names(words, "name", err);
  for (uint32_t i = 0; i < part->options.word_count && status == SIM_OK; i++) {
    status =
        check_option_word(&part->options.words[i], part_nth(words, i), err);
  }
  return status;
}

/* --- blank check --------------------------------------------------------- */

/* What is asked before the latch is sampled, and where no start is near. */
static enum sim_status check_option_terms(const struct part_term *terms,
                                          uint32_t count,
                                          const struct json *when,
                                          struct sim_error *err)
{
  for (uint32_t i = 0; i < count; i++) {
    if (terms[i].kind == TERM_OPTION) continue;
    return json_fail_key(part_nth(when, i), SIM_REFERENCE, err,
                         "is no option field; expected "
                         "\"option.WORD.FIELD\"");
  }
  return SIM_OK;
}

static enum sim_status check_span(const struct part *part,
                                  const struct part_span *span,
                                  const struct json *node, const char *size,
                                  struct sim_error *err)
{
  const struct part_memory *memory = &part->memory[span->memory];
  if (memory->kind != MEMORY_FLASH) {
    return json_fail(json_get(node, "at"), SIM_REFERENCE, err,
                     "is in \"%s\"; expected a region of kind \"flash\"",
                     memory->name);
  }
  if (span->bytes > memory->size - span->offset) {
    return json_fail(json_get(node, size), SIM_RANGE, err,
                     "is %" PRIu32 "; expected at most %" PRIu32
                     ", the rest of \"%s\"",
                     span->bytes, memory->size - span->offset, memory->name);
  }
  return check_option_terms(span->terms, span->term_count,
                            json_get(node, "when"), err);
}

static enum sim_status check_reads(const struct part *part,
                                   const struct json *reads,
                                   struct sim_error *err)
{
  enum sim_status status = SIM_OK;
  for (uint32_t i = 0; i < part->blank_check.read_count && status == SIM_OK;
       i++)
    status = check_span(part, &part->blank_check.reads[i], part_nth(reads, i),
                        "bytes", err);
  return status;
}

static enum sim_status check_blank_check(const struct part *part,
                                         const struct json *root,
                                         struct sim_error *err)
{
  const struct json *node = part_node(root, "blank_check");
  if (!node) return SIM_OK;
  const struct json *reads = json_get(node, "reads");
  if (part->blank_check.held == BLANK_NONE && reads) {
    return json_fail_key(reads, SIM_KEY, err,
                         "stands beside \"held\": \"none\"; expected no "
                         "reads where no check is made");
  }
  if (part->blank_check.held != BLANK_NONE &&
      part->blank_check.read_count == 0) {
    return json_fail(node, SIM_KEY, err,
                     "has no \"reads\"; expected at least one, because a "
                     "check is made");
  }
  return check_reads(part, reads, err);
}

/* --- protection ---------------------------------------------------------- */

static enum sim_status check_protected(const struct part *part,
                                       const struct part_span *span,
                                       const struct json *node,
                                       struct sim_error *err)
{
  enum sim_status status = check_span(part, span, node, "size", err);
  uint32_t page = part->memory[span->memory].page;
  if (status != SIM_OK || (span->offset % page | span->bytes % page) == 0)
    return status;
  return json_fail(
      json_get(node, span->offset % page ? "at" : "size"), SIM_RANGE, err,
      "is not a multiple of %" PRIu32 ", the page; expected whole pages",
      page);
}

static enum sim_status check_protection(const struct part *part,
                                        const struct json *root,
                                        struct sim_error *err)
{
  const struct part_protection *p = &part->protection;
  const struct json *pages = part_node(root, "protection.pages");
  enum sim_status status = SIM_OK;
  for (uint32_t i = 0; i < p->page_count && status == SIM_OK; i++)
    status = check_protected(part, &p->pages[i], part_nth(pages, i), err);
  if (status != SIM_OK) return status;
  return check_option_terms(p->readout, p->readout_count,
                            part_node(root, "protection.readout.when"), err);
}

/* --- start rules --------------------------------------------------------- */

static bool same_term(const struct part_term *a, const struct part_term *b)
{
  return a->kind == b->kind && a->index == b->index && a->field == b->field &&
         a->value == b->value;
}

/* True if `a` holds whenever `b` does: all that it asks, `b` asks too. */
static bool holds_whenever(const struct part_rule *a,
                           const struct part_rule *b)
{
  for (uint32_t i = 0; i < a->term_count; i++) {
    bool asked = false;
    for (uint32_t j = 0; j < b->term_count; j++) {
      asked = asked || same_term(&a->terms[i], &b->terms[j]);
    }
    if (!asked) return false;
  }
  return true;
}

/* A region without a program can't be started. */
static enum sim_status check_started(const struct part *part,
                                     const struct json *rules,
                                     struct sim_error *err)
{
  for (uint32_t i = 0; i < part->rule_count; i++) {
    const struct part_memory *m = &part->memory[part->rules[i].memory];
    if (m->kind != MEMORY_INFO) continue;
    return json_fail(json_get(part_nth(rules, i), "start"), SIM_REFERENCE, err,
                     "is \"%s\", which holds information words; expected a "
                     "region that can hold a program",
                     m->name);
  }
  return SIM_OK;
}

static enum sim_status check_rules(const struct part *part,
                                   const struct json *root,
                                   struct sim_error *err)
{
  const struct json *rules = part_node(root, "start_rules");
  enum sim_status status = part_check_names(rules, "rule", err);
  if (status == SIM_OK) status = check_started(part, rules, err);
  if (status != SIM_OK) return status;
  for (uint32_t b = 1; b < part->rule_count; b++) {
    for (uint32_t a = 0; a < b; a++) {
      if (!holds_whenever(&part->rules[a], &part->rules[b])) continue;
      return json_fail(part_nth(rules, b), SIM_RANGE, err,
                       "can never decide; expected it above \"%s\", which "
                       "holds whenever \"%s\" does",
                       part->rules[a].name, part->rules[b].name);
    }
  }
  const struct part_rule *last = &part->rules[part->rule_count - 1];
  if (last->term_count > 0) {
    return json_fail(part_nth(rules, part->rule_count - 1), SIM_RANGE, err,
                     "asks for something; expected the last rule to hold "
                     "always, with an empty \"when\"");
  }
  return SIM_OK;
}

/* --- pins --- */

static enum sim_status check_pulls(const struct part *part,
                                   const struct json *root,
                                   struct sim_error *err)
{
  uint64_t both = part->pins.pulled_up & part->pins.pulled_down;
  if (both == 0) return SIM_OK;
  return json_fail(part_place(root, "pins.pulled_down"), SIM_RANGE, err,
                   "pulls \"%s\" down, which is pulled up, too; expected one "
                   "of them",
                   part->pins.names[__builtin_ctzll(both)]);
}

/* ------------------------------------------------------------------------- */

enum sim_status part_check_start(const struct part *part,
                                 const struct json *root,
                                 struct sim_error *err)
{
  enum sim_status status = check_options(part, root, err);
  if (status == SIM_OK) {
    status = part_check_names(part_node(root, "pins.names"), NULL, err);
  }
  if (status == SIM_OK) {
    status = part_check_names(part_node(root, "straps"), "name", err);
  }
  if (status == SIM_OK) status = check_pulls(part, root, err);
  if (status == SIM_OK) status = check_blank_check(part, root, err);
  if (status == SIM_OK) status = check_protection(part, root, err);
  if (status == SIM_OK) status = check_rules(part, root, err);
  return status;
}

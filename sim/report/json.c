#include "report/json.h"

#include <inttypes.h>

#include "base/file.h"
#include "describe/names.h"
#include "describe/newcomer.h"
#include "report/disassembly.h"
#include "report/json_answer.h"
#include "report/json_power.h"

/* A JSON number is exact up to here. */
static const uint64_t json_exact = UINT64_C(1) << 53;

static void put_time(struct json_out *to, const char *key, ps_t at)
{
  json_add_format(to, key, "%" PRId64, at);
}

static void put_address(struct json_out *to, const char *key, addr_t address)
{
  json_add_format(to, key, "0x%08" PRIx32, address);
}

static void put_count(struct json_out *to, const char *key, uint64_t count)
{
  if (count <= json_exact) {
    json_add_integer(to, key, (int64_t)count);
  } else {
    json_add_format(to, key, "%" PRIu64, count);
  }
}

static void put_text(struct json_out *to, const char *key, const char *text)
{
  if (text) {
    json_add_text(to, key, text);
  } else {
    json_add_null(to, key);
  }
}

static void put_latch(struct json_out *to, const struct start *s)
{
  if (s->has_latch) {
    json_add_text(to, "latch", latch_word(s->latch_programmed));
    json_add_boolean(to, "stale", s->stale);
  } else {
    json_add_null(to, "latch");
    json_add_null(to, "stale");
  }
}

/* Bits of a word and how they read; null for none. */
static void put_bits(struct json_out *to, uint32_t mask, uint32_t value)
{
  if (mask == 0) {
    json_add_null(to, "bits");
    json_add_null(to, "read");
  } else {
    put_address(to, "bits", mask);
    put_address(to, "read", value);
  }
}

static void put_waits(struct json_out *to, const struct start *s)
{
  if (start_doing(s) != OUTCOME_WAITING) {
    json_add_null(to, "waits");
    return;
  }
  struct json_out *waits = json_add_object(to, "waits");
  put_address(waits, "on", s->waits_on);
  put_text(waits, "name", s->waits_name);
  put_address(waits, "pc", s->waits_pc);
  put_text(waits, "source", s->waits_source);
  json_add_boolean(waits, "tried", s->waits_tried);
  put_bits(waits, s->waits_mask, s->waits_value);
  json_add_boolean(waits, "for_host", s->waits_for_host);
}

/* Where the core stopped, if it did. */
static void put_stop(struct json_out *to, const struct start *s)
{
  enum outcome doing = start_doing(s);
  bool stopped = doing == OUTCOME_HALTED || doing == OUTCOME_LOCKUP ||
                 doing == OUTCOME_EXITED;
  if (stopped || s->outcome == OUTCOME_RESET) {
    put_address(to, "stop_pc", s->stop_pc);
    put_text(to, "stop_source", s->stop_source);
  } else {
    json_add_null(to, "stop_pc");
    json_add_null(to, "stop_source");
  }
}

static void put_exit(struct json_out *to, const struct start *s)
{
  if (start_doing(s) == OUTCOME_EXITED)
    json_add_integer(to, "exit_status", s->exit_status);
  else
    json_add_null(to, "exit_status");
}

static void put_fault(struct json_out *to, const struct start_fault *f)
{
  if (!f->exception) {
    json_add_null(to, "fault");
    return;
  }
  struct json_out *fault = json_add_object(to, "fault");
  json_add_text(fault, "exception", f->exception);
  put_time(fault, "at_ps", f->at);
  put_address(fault, "pc", f->pc);
  put_text(fault, "symbol", f->symbol);
  put_text(fault, "source", f->source);
}

static void put_reached(struct json_out *to, const struct start *s)
{
  struct json_out *list = json_add_list(to, "reached");
  for (uint32_t i = 0; i < s->reached_count; i++) {
    struct json_out *one = json_add_object(list, NULL);
    json_add_text(one, "symbol", s->reached[i]);
    put_time(one, "at_ps", s->reached_at[i]);
  }
}

static void put_pins(struct json_out *to, const struct start *s)
{
  const uint32_t room = sizeof s->pins / sizeof s->pins[0];
  json_add_integer(to, "pins_driven", s->pin_count);
  struct json_out *list = json_add_list(to, "pins");
  for (uint32_t i = 0; i < s->pin_count && i < room; i++) {
    struct json_out *one = json_add_object(list, NULL);
    json_add_text(one, "pin", s->pins[i].pin);
    put_time(one, "at_ps", s->pins[i].at);
    json_add_text(one, "level", s->pins[i].high ? "high" : "low");
  }
}

static void put_landing(struct json_out *to, const struct start *s)
{
  const struct landing *l = &s->landing;
  if (!l->landed) {
    json_add_null(to, "landing");
    return;
  }
  struct json_out *landing = json_add_object(to, "landing");
  put_time(landing, "at_ps", l->at);
  json_add_text(landing, "region", l->region);
  put_address(landing, "pc", l->pc);
  put_text(landing, "symbol", l->symbol);
  put_text(landing, "source", s->landing_source);
}

static void put_instructions(struct json_out *to, const char *key,
                             const struct instruction *code, uint32_t count)
{
  struct json_out *list = json_add_list(to, key);
  for (uint32_t i = 0; i < count; i++) {
    struct json_out *one = json_add_object(list, NULL);
    put_address(one, "at", code[i].at);
    json_add_text(one, "bytes", code[i].bytes);
    json_add_text(one, "text", code[i].text);
    json_add_boolean(one, "here", code[i].here);
  }
}

static void put_code(struct json_out *to, const struct start *s)
{
  struct instruction ahead[DISASSEMBLY_AHEAD], around[DISASSEMBLY_AROUND];
  struct json_out *code = json_add_object(to, "code");
  put_instructions(code, "first", ahead, disassembly_ahead(&s->code, ahead));
  put_instructions(code, "landing", ahead,
                   disassembly_ahead(&s->landing_code, ahead));
  bool stopped = start_has_stopped(s);
  put_instructions(code, "stopped", around,
                   stopped ? disassembly_around(&s->stop_code, around) : 0);
}

static const char *how_word(enum start_how how)
{
  static const char *const words[] = {[START_RESET] = "reset",
                                      [START_HANDOVER] = "handover",
                                      [START_PROBE] = "probe"};
  return words[how];
}

static void put_start(struct json_out *list, const struct start *s, bool code)
{
  bool by_reset = s->how == START_RESET;
  struct json_out *to = json_add_object(list, NULL);
  json_add_integer(to, "n", s->number);
  put_time(to, "at_ps", s->at);
  json_add_integer(to, "step", s->step);
  json_add_text(to, "how", how_word(s->how));
  put_text(to, "cause", by_reset ? cause_word(s->cause) : NULL);
  put_latch(to, s);
  put_text(to, "rule", s->rule);
  put_text(to, "why", s->rule_expert);
  put_text(to, "newcomer", s->rule_newcomer);
  json_add_text(to, "region", s->region);
  if (s->how != START_HANDOVER) {
    put_address(to, "sp", s->sp);
  } else {
    json_add_null(to, "sp");
  }
  put_address(to, "pc", s->pc);
  put_text(to, "symbol", s->symbol);
  put_text(to, "source", s->source);
  put_address(to, "word_at_0", s->alias_word);
  json_add_text(to, "outcome", outcome_word(s->outcome));
  json_add_text(to, "doing", outcome_word(start_doing(s)));
  put_waits(to, s);
  put_stop(to, s);
  put_exit(to, s);
  put_fault(to, &s->fault);
  put_reached(to, s);
  put_count(to, "instructions", s->instructions);
  put_count(to, "rom_instructions", s->rom_instructions);
  put_count(to, "cycles", (uint64_t)s->cycles);
  put_pins(to, s);
  put_landing(to, s);
  put_time(to, "ended_ps", s->ended);
  if (code) {
    put_code(to, s);
  } else {
    json_add_null(to, "code");
  }
}

static void put_finding(struct json_out *list, const struct finding *f)
{
  struct json_out *to = json_add_object(list, NULL);
  json_add_text(to, "kind", finding_word(f->kind));
  if (f->kind == FINDING_RESIDUE)
    json_add_text(to, "left", residue_words[f->residue]);
  if (f->start > 0) {
    json_add_integer(to, "start", f->start);
  } else {
    json_add_null(to, "start");
  }
  json_add_text(to, "text", f->text);
  json_add_text(to, "newcomer", finding_explained(f));
  struct json_out *remedies = json_add_list(to, "remedies");
  for (uint32_t i = 0; i < f->remedy_count; i++) {
    json_add_text(remedies, NULL, f->remedies[i]);
  }
}

static void put_fight(struct json_out *list, const struct fight *f)
{
  struct json_out *to = json_add_object(list, NULL);
  json_add_text(to, "pin", f->pin);
  put_text(to, "net", f->net);
  if (f->start > 0) {
    json_add_integer(to, "start", f->start);
  } else {
    json_add_null(to, "start");
  }
  json_add_integer(to, "step", f->step);
  put_time(to, "at_ps", f->at);
  if (f->by_instruction) {
    put_address(to, "pc", f->pc);
  } else {
    json_add_null(to, "pc");
  }
  put_text(to, "symbol", f->symbol);
  put_text(to, "source", f->source);
  json_add_integer(to, "times", f->count);
  json_add_integer(to, "ma", f->most_ma);
  put_count(to, "limit_na", (uint64_t)f->limit_na);
  put_time(to, "lasted_ps", f->lasted);
  put_count(to, "part_nj", f->part_nj);
  put_count(to, "net_nj", f->net_nj);
  json_add_boolean(to, "more", f->more);
  json_add_boolean(to, "goes_on", f->goes_on);
}

static void put_learned(struct json_out *list, const struct learned *l)
{
  struct json_out *to = json_add_object(list, NULL);
  put_address(to, "at", l->at);
  put_text(to, "name", l->name);
  put_bits(to, l->mask, l->value);
  put_address(to, "pc", l->pc);
  put_text(to, "symbol", l->symbol);
  put_text(to, "source", l->source);
  if (l->start > 0) {
    json_add_integer(to, "start", l->start);
  } else {
    json_add_null(to, "start");
  }
  json_add_boolean(to, "outside", l->withdrawn);
}

static void put_judgement(struct json_out *list, const struct judgement *j)
{
  struct json_out *to = json_add_object(list, NULL);
  if (j->step == RESULT_NO_STEP) {
    json_add_null(to, "step");
  } else {
    json_add_integer(to, "step", j->step);
  }
  json_add_integer(to, "line", j->line);
  put_text(to, "label", j->label);
  json_add_boolean(to, "held", j->held);
  json_add_text(to, "asked", j->asked);
  put_text(to, "seen", j->seen);
  if (j->broken) {
    put_time(to, "at_ps", j->broken_at);
  } else {
    json_add_null(to, "at_ps");
  }
}

/* Null where it was never measured. */
static void put_range(struct json_out *to, const char *key,
                      const struct measured *m,
                      const struct measured_range *range)
{
  if (m->count == 0) {
    json_add_null(to, key);
    return;
  }
  struct json_out *values = json_add_object(to, key);
  json_add_format(values, "least", "%" PRId64, range->least);
  json_add_format(values, "most", "%" PRId64, range->most);
  json_add_format(values, "last", "%" PRId64, range->last);
}

static void put_measure(struct json_out *list, const struct measured *m)
{
  struct json_out *to = json_add_object(list, NULL);
  json_add_text(to, "measure", m->name);
  put_count(to, "count", m->count);
  put_count(to, "begun", m->begun);
  put_range(to, "ps", m, &m->time);
  put_range(to, "cycles", m, &m->cycles);
}

static const char *verdict_word(enum verdict verdict)
{
  static const char *const words[] = {[VERDICT_NONE] = "none",
                                      [VERDICT_HELD] = "held",
                                      [VERDICT_FAILED] = "failed"};
  return words[verdict];
}

static void put_lists(struct json_out *to, const struct result *r, bool code)
{
  struct json_out *starts = json_add_list(to, "starts");
  for (uint32_t i = 0; i < r->start_count; i++) {
    put_start(starts, &r->starts[i], code);
  }
  struct json_out *measures = json_add_list(to, "measures");
  for (uint32_t i = 0; i < r->measure_count; i++) {
    put_measure(measures, &r->measures[i]);
  }
  struct json_out *findings = json_add_list(to, "findings");
  for (uint32_t i = 0; i < r->finding_count; i++) {
    put_finding(findings, &r->findings[i]);
  }
  struct json_out *fights = json_add_list(to, "fights");
  for (uint32_t i = 0; i < r->fight_count; i++) {
    put_fight(fights, &r->fights[i]);
  }
  json_power(to, r);
  struct json_out *learned = json_add_list(to, "learned");
  for (uint32_t i = 0; i < r->learned_count; i++) {
    put_learned(learned, &r->learned[i]);
  }
  put_count(to, "trials", r->trials);
  struct json_out *counts = json_add_object(to, "expectations");
  json_add_integer(counts, "held", r->held);
  json_add_integer(counts, "failed", r->failed);
  struct json_out *judgements = json_add_list(to, "judgements");
  for (uint32_t i = 0; i < r->judgement_count; i++) {
    put_judgement(judgements, &r->judgements[i]);
  }
}

void report_json_begin(struct report_json *document)
{
  document->root = json_out_object();
  json_add_integer(document->root, "firstfetch", REPORT_JSON_VERSION);
  document->runs = json_add_list(document->root, "runs");
  document->only = NULL;
  document->count = 0;
  document->code = false;
}

void report_json_with_code(struct report_json *document)
{
  document->code = true;
}

void report_json_add(struct report_json *document, const struct result *r)
{
  struct json_out *to = json_add_object(document->runs, NULL);
  document->only = document->count == 0 ? to : NULL;
  document->count++;
  json_add_integer(to, "firstfetch", REPORT_JSON_VERSION);
  json_add_text(to, "case", r->title);
  put_text(to, "file", r->case_file ? file_name(r->case_file) : NULL);
  json_add_text(to, "part", r->part);
  put_text(to, "about", r->about);
  json_add_text(to, "verdict", verdict_word(r->verdict));
  put_lists(to, r, document->code);
  json_add_integer(to, "assumed", r->assumed);
  json_add_boolean(to, "contention", r->contention);
  put_text(to, "stopped", r->stopped);
  put_time(to, "end_ps", r->end);
  json_after(to, r->after);
}

bool report_json_write(const struct report_json *document, FILE *to)
{
  return json_write(document->only ? document->only : document->root, to);
}

void report_json_free(struct report_json *document)
{
  json_out_free(document->root);
  document->root = NULL;
}

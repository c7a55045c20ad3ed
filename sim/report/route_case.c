/* A script as a case file: what the reader of cases makes the same of. */
#include <assert.h>
#include <inttypes.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/json.h"
#include "describe/names.h"
#include "report/route_report.h"

/* --- as it stands in the document ---------------------------------------- */

static void copy(struct json_out *to, const char *key,
                 const struct json *value);

static void copy_children(struct json_out *to, const struct json *value)
{
  for (const struct json *c = value->child; c != NULL; c = c->next)
    copy(to, c->key, c);
}

static void copy(struct json_out *to, const char *key,
                 const struct json *value)
{
  int64_t number = 0;
  switch (value->type) {
  case JSON_NULL: json_add_null(to, key); break;
  case JSON_BOOLEAN: json_add_boolean(to, key, value->truth); break;
  case JSON_NUMBER:
    (void)json_integer(value, &number); /* no key of a case takes another */
    json_add_integer(to, key, number);
    break;
  case JSON_STRING: json_add_text(to, key, value->text); break;
  case JSON_LIST: copy_children(json_add_list(to, key), value); break;
  case JSON_OBJECT: copy_children(json_add_object(to, key), value); break;
  }
}

/* --- values -------------------------------------------------------------- */

/* Exact: in the largest unit that leaves no remainder. */
static void put_time(struct json_out *to, const char *key, ps_t time)
{
  static const struct {
    const char *suffix;
    ps_t ps;
  } units[] = {{"s", PS_PER_S},
               {"ms", PS_PER_MS},
               {"us", PS_PER_US},
               {"ns", PS_PER_NS},
               {"ps", 1}};
  size_t i = 0;
  while (time % units[i].ps != 0)
    i++;
  json_add_format(to, key, "%" PRId64 "%s", time / units[i].ps,
                  units[i].suffix);
}

static void put_address(struct json_out *to, const char *key, addr_t at)
{
  json_add_format(to, key, "0x%08" PRIx32, at);
}

static void put_text(struct json_out *to, const char *key, const char *text)
{
  if (text != NULL) json_add_text(to, key, text);
}

/* --- steps --------------------------------------------------------------- */

static void put_expectation(struct json_out *to, const struct expectation *e)
{
  put_text(to, "region", e->region);
  put_text(to, "landing", e->landing);
  put_text(to, "rule", e->rule);
  put_text(to, "symbol", e->symbol);
  put_text(to, "reaches", e->reaches);
  if (e->has_cause) json_add_text(to, "cause", cause_word(e->cause));
  if (e->has_outcome) json_add_text(to, "outcome", outcome_word(e->outcome));
  if (e->has_latch)
    json_add_text(to, "latch", latch_word(e->latch_programmed));
  if (e->has_stale) json_add_boolean(to, "stale", e->stale);
  if (e->has_sp) put_address(to, "sp", e->sp);
  if (e->has_pc) put_address(to, "pc", e->pc);
  if (e->has_rom_instructions)
    json_add_integer(to, "rom_instructions", e->rom_instructions);
  if (e->has_pins_driven) json_add_integer(to, "pins_driven", e->pins_driven);
  if (e->has_read) put_address(to, "read", e->read);
  if (e->has_host) json_add_text(to, "host", reply_word(e->host));
}

static void put_power(struct json_out *to, const struct step *s)
{
  json_add_text(to, "power", power_words[s->power]);
  if (s->lasts > 0) put_time(to, "for", s->lasts);
}

static void put_reset(struct json_out *to, const struct step *s)
{
  static const char *const words[] = {
      [RESET_HOLD] = "hold", [RESET_RELEASE] = "release"};
  json_add_text(to, "reset",
                s->reset == RESET_CAUSE ? cause_word(s->cause)
                                        : words[s->reset]);
  if (s->reset == RESET_CAUSE && s->cause == CAUSE_PIN)
    put_time(to, "hold", s->lasts);
}

static void put_settings(struct json_out *to, const struct step *s)
{
  struct json_out *set = json_add_object(to, "set");
  for (uint32_t i = 0; i < s->set_count; i++) {
    char *end;
    unsigned long number = strtoul(s->set[i].value, &end, 10);
    if (*end == '\0')
      json_add_integer(set, s->set[i].field, (int64_t)number);
    else
      json_add_text(set, s->set[i].field, s->set[i].value);
  }
}

static void put_write(struct json_out *to, const struct step *s,
                      const struct case_script *script)
{
  switch (s->target) {
  case WRITE_IMAGE:
    json_add_text(to, "write", script->images[s->image].name);
    json_add_text(to, "erase", erase_words[s->erase]);
    if (s->has_through)
      json_add_text(to, "through", script->images[s->through].name);
    break;
  case WRITE_LATCH:
    json_add_text(to, "write", "latch");
    json_add_text(to, "value", latch_word(s->value != 0));
    break;
  case WRITE_OPTIONS:
    json_add_text(to, "write", "options");
    put_settings(to, s);
    break;
  case WRITE_ADDRESS:
    put_address(to, "write", s->at);
    put_address(to, "value", s->value);
    break;
  }
  json_add_text(to, "by",
                s->by == BY_PRESET ? "preset"
                : s->by == BY_HOST ? "host"
                                   : "probe");
}

static void put_probe(struct json_out *to, const struct step *s,
                      const struct case_script *script)
{
  json_add_text(to, "probe", probe_words[s->probe]);
  if (s->probe == PROBE_ATTACH) {
    json_add_text(to, "reset", attach_words[s->attach]);
    if (s->after > 0) put_time(to, "after", s->after);
  }
  if (s->probe == PROBE_DETACH)
    json_add_text(to, "leaves", s->cleans ? "nothing" : "debug");
  if (s->probe == PROBE_STEP) json_add_integer(to, "count", s->count);
  if (s->probe == PROBE_RESET) {
    json_add_text(to, "by", reset_way_words[s->way]);
    json_add_boolean(to, "catch", s->catch);
    put_time(to, "hold", s->lasts);
  }
  if (s->has_reg) json_add_text(to, "register", core_register_words[s->reg]);
  if (s->probe == PROBE_SET) put_address(to, "value", s->value);
  if (s->has_image) json_add_text(to, "image", script->images[s->image].name);
  if (s->has_at) put_address(to, "at", s->at);
}

static void put_send(struct json_out *to, const struct step *s,
                     const struct case_script *script)
{
  char *octets = calloc(2 * s->octets.count + 1, 1);
  assert(octets != NULL);
  json_add_text(to, "send", request_words[s->request]);
  if (s->has_at) put_address(to, "at", s->at);
  if (s->request == REQUEST_WIPE && s->has_at)
    json_add_integer(to, "pages", s->pages);
  if (s->request == REQUEST_PUT || s->request == REQUEST_COMPARE)
    json_add_text(to, "image", script->images[s->image].name);
  for (uint32_t i = 0; i < s->octets.count; i++)
    snprintf(octets + 2 * i, 3, "%02x", s->octets.at[i]);
  if (s->request == REQUEST_BYTES) json_add_text(to, "bytes", octets);
  free(octets);
}

static void put_expect(struct json_out *to, const struct step *s)
{
  struct json_out *what = json_add_object(to, "expect");
  put_expectation(what, &s->expect);
  put_time(what, "within", s->within);
  if (s->on_count == 0) return;
  struct json_out *on = json_add_object(to, "on");
  for (uint32_t i = 0; i < s->on_count; i++)
    put_expectation(json_add_object(on, s->on[i].part), &s->on[i].what);
}

static void put_step(struct json_out *to, const struct step *s,
                     const struct case_script *script)
{
  switch (s->verb) {
  case VERB_POWER: put_power(to, s); break;
  case VERB_RESET: put_reset(to, s); break;
  case VERB_WRITE: put_write(to, s, script); break;
  case VERB_RELOAD:
    json_add_text(to, "reload", "options");
    json_add_text(to, "by", "probe");
    break;
  case VERB_PROBE: put_probe(to, s, script); break;
  case VERB_RUN:
    put_time(to, "run", s->lasts);
    put_text(to, "until", s->until);
    break;
  case VERB_DRIVE:
    json_add_text(to, "drive", s->pin);
    json_add_text(to, "level", drive_words[s->level]);
    break;
  case VERB_SEND: put_send(to, s, script); break;
  case VERB_EXPECT: put_expect(to, s); break;
  case VERB_COUNT_: assert(false);
  }
  put_text(to, "label", s->label);
}

/* --- the case ------------------------------------------------------------ */

static void put_images(struct json_out *root, const struct case_script *script,
                       route_path_name path, void *context)
{
  struct json_out *images = json_add_object(root, "images");
  for (uint32_t i = 0; i < script->image_count; i++) {
    const struct case_image *image = &script->images[i];
    struct json_out *one = json_add_object(images, image->name);
    json_add_text(one, "file", path(context, image->path));
    if (image->has_base) put_address(one, "base", image->base);
  }
}

static void copy_member(struct json_out *root,
                        const struct case_script *script, const char *key)
{
  const struct json *value = json_get(script->source, key);
  if (value != NULL) copy(root, key, value);
}

bool route_case_file(FILE *to, const struct case_script *script,
                     route_path_name path, void *context)
{
  struct json_out *root = json_out_object();
  json_add_text(root, "case", script->title);
  bool is_path = strchr(script->part, '.') != NULL;
  json_add_text(root, "part",
                is_path ? path(context, script->part) : script->part);
  put_images(root, script, path, context);
  copy_member(root, script, "board");
  copy_member(root, script, "never");
  put_text(root, "never_from", script->never_from);
  struct json_out *steps = json_add_list(root, "steps");
  for (uint32_t i = 0; i < script->step_count; i++)
    put_step(json_add_object(steps, NULL), &script->steps[i], script);
  bool good = json_write(root, to);
  json_out_free(root);
  return good;
}

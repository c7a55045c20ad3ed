#include "cli/options.h"

#include <assert.h>
#include <string.h>

#include "base/nearest.h"

static const struct option help_option = {"help", NULL, "tell this", false};

/* Options that have a letter too, where a command has them. */
static const struct abbreviation {
  const char *letter, *name;
} abbreviations[] = {{"-h", "help"}, {"-q", "quiet"}, {"-v", "verbose"}};
#define ABBREVIATION_COUNT (sizeof abbreviations / sizeof abbreviations[0])

struct parser {
  const struct option *table;
  size_t table_count;
  char *const *arguments;
  int count, next;
  struct given *given;
  struct sim_error *err;
};

static enum sim_status fail(struct parser *p, const char *name, size_t length,
                            const char *what)
{
  char shown[80];
  snprintf(shown, sizeof shown, "--%.*s", (int)(length < 70 ? length : 70),
           name);
  const struct sim_place where = {.path = shown};
  return sim_fail(p->err, SIM_USAGE, &where, "%s", what);
}

static enum sim_status unknown(struct parser *p, const char *name,
                               size_t length)
{
  const char *names[OPTIONS_MAX + 1];
  for (size_t i = 0; i < p->table_count; i++) {
    names[i] = p->table[i].name;
  }
  names[p->table_count] = help_option.name;
  const char *meant = nearest_word(arena_text_n(p->given->arena, name, length),
                                   names, p->table_count + 1);
  if (!meant) return fail(p, name, length, "is no option of this command");
  char text[128];
  snprintf(text, sizeof text,
           "is no option of this command; did you mean --%s?", meant);
  return fail(p, name, length, text);
}

static void keep(struct parser *p, size_t index, const char *value)
{
  struct given_option *option = &p->given->options[index];
  if (value && !option->values) {
    option->values =
        arena_array(p->given->arena, (size_t)p->count, sizeof *option->values);
  }
  if (value) option->values[option->count] = value;
  option->count++;
}

/* The value: behind '=', or the next argument. */
static enum sim_status take_value(struct parser *p, const struct option *o,
                                  const char *equals, const char **value)
{
  size_t length = strlen(o->name);
  *value = NULL;
  if (!o->value && equals) return fail(p, o->name, length, "takes no value");
  if (!o->value) return SIM_OK;
  if (equals) {
    *value = equals + 1;
  } else if (p->next < p->count &&
             strncmp(p->arguments[p->next], "--", 2) != 0) {
    *value = p->arguments[p->next++];
  }
  if (*value && **value) return SIM_OK;
  char text[64];
  snprintf(text, sizeof text, "needs a value: %s", o->value);
  return fail(p, o->name, length, text);
}

/* `name` is behind the dashes. */
static enum sim_status take_option(struct parser *p, const char *name)
{
  const char *equals = strchr(name, '=');
  size_t length = equals ? (size_t)(equals - name) : strlen(name);
  if (length == 4 && memcmp(name, help_option.name, 4) == 0) {
    const char *none;
    p->given->help = true;
    return take_value(p, &help_option, equals, &none);
  }
  for (size_t i = 0; i < p->table_count; i++) {
    const struct option *o = &p->table[i];
    if (strlen(o->name) != length || memcmp(o->name, name, length) != 0)
      continue;
    if (!o->many && p->given->options[i].count > 0) {
      return fail(p, name, length, "was given twice");
    }
    const char *value;
    enum sim_status status = take_value(p, o, equals, &value);
    if (status == SIM_OK) keep(p, i, value);
    return status;
  }
  return unknown(p, name, length);
}

static enum sim_status take_argument(struct parser *p, bool *options_ended)
{
  const char *argument = p->arguments[p->next++];
  if (*options_ended || argument[0] != '-' || strcmp(argument, "-") == 0) {
    p->given->words[p->given->word_count++] = argument;
    return SIM_OK;
  }
  if (strcmp(argument, "--") == 0) {
    *options_ended = true;
    return SIM_OK;
  }
  for (size_t i = 0; i < ABBREVIATION_COUNT; i++) {
    if (strcmp(argument, abbreviations[i].letter) == 0)
      return take_option(p, abbreviations[i].name);
  }
  if (argument[1] == '-') return take_option(p, argument + 2);
  const struct sim_place where = {.path = argument};
  return sim_fail(p->err, SIM_USAGE, &where,
                  "is no option; all but -h, -q and -v begin with two dashes");
}

enum sim_status options_parse(const struct option *table, size_t table_count,
                              int count, char *const *arguments,
                              struct arena *arena, struct given *given,
                              struct sim_error *err)
{
  assert(table_count <= OPTIONS_MAX);
  memset(given, 0, sizeof *given);
  given->arena = arena;
  given->words = arena_array(arena, (size_t)count + 1, sizeof *given->words);
  struct parser p = {.table = table,
                     .table_count = table_count,
                     .arguments = arguments,
                     .count = count,
                     .given = given,
                     .err = err};
  bool options_ended = false;
  while (p.next < p.count) {
    enum sim_status status = take_argument(&p, &options_ended);
    if (status != SIM_OK) return status;
  }
  return SIM_OK;
}

const char *options_value(const struct given *given, size_t index)
{
  const struct given_option *option = &given->options[index];
  return option->count > 0 ? option->values[0] : NULL;
}

static void put_help(struct page *page, const struct option *o)
{
  char lead[48];
  const char *letter = NULL;
  for (size_t i = 0; i < ABBREVIATION_COUNT; i++) {
    if (strcmp(o->name, abbreviations[i].name) == 0)
      letter = abbreviations[i].letter;
  }
  snprintf(lead, sizeof lead, "%s%s--%s%s%s", letter ? letter : "",
           letter ? ", " : "", o->name, o->value ? " " : "",
           o->value ? o->value : "");
  page_item(page, 2, 22, lead);
  page_say(page, o->sentence);
  page_end(page);
}

void options_help(struct page *page, const struct option *table,
                  size_t table_count)
{
  for (size_t i = 0; i < table_count; i++) {
    put_help(page, &table[i]);
  }
  put_help(page, &help_option);
}

#include "report/trace_text.h"

#include <inttypes.h>
#include <stdbool.h>
#include <stddef.h>
#include <string.h>

#include "base/file.h"
#include "describe/trace_kinds.h"
#include "report/page.h"

/* --- names by index ------------------------------------------------------ */

static const char *region_name(const struct trace_text *t, uint32_t i)
{
  return i < t->part->memory_count ? t->part->memory[i].name : NULL;
}

static const char *rule_name(const struct trace_text *t, uint32_t i)
{
  return i < t->part->rule_count ? t->part->rules[i].name : NULL;
}

static const char *pin_name(const struct trace_text *t, uint32_t i)
{
  return i < t->part->pins.count ? t->part->pins.names[i] : NULL;
}

static const char *net_name(const struct trace_text *t, uint32_t i)
{
  return i < t->script->net_count ? t->script->nets[i].name : NULL;
}

static const char *strap_name(const struct trace_text *t, uint32_t i)
{
  return i < t->part->strap_count ? t->part->straps[i].name : NULL;
}

static const char *option_word_name(const struct trace_text *t, uint32_t i)
{
  return i < t->part->options.word_count ? t->part->options.words[i].name
                                         : NULL;
}

static const char *clock_name(const struct trace_text *t, uint32_t i)
{
  return i < t->part->clock.source_count ? t->part->clock.sources[i].name
                                         : NULL;
}

static const char *block_name(const struct trace_text *t, uint32_t i)
{
  return i < t->part->block_count ? t->part->blocks[i].name : NULL;
}

static const char *watch_name(const struct trace_text *t, uint32_t i)
{
  return t->watch_name ? t->watch_name(t->play, i) : NULL;
}

/* Formats whose values are indexes into the part, the case or the run. */
static const struct {
  const char *format;
  const char *(*name)(const struct trace_text *t, uint32_t index);
} named[] = {
    {"region", region_name}, {"rule", rule_name},   {"pin", pin_name},
    {"net", net_name},       {"strap", strap_name}, {"word", option_word_name},
    {"clock", clock_name},   {"block", block_name}, {"watch", watch_name},
};

/* --- values -------------------------------------------------------------- */

static bool put_named(const struct trace_text *t, const char *format,
                      uint32_t value)
{
  for (size_t i = 0; i < sizeof named / sizeof named[0]; i++) {
    if (strcmp(format, named[i].format) != 0) continue;
    const char *name = named[i].name(t, value);
    page_plain(t->to, name ? name : "none");
    return true;
  }
  return false;
}

/* A number with its unit, if it is the format of one. */
static bool put_measure(const struct trace_text *t, const char *format,
                        uint32_t value, bool unit_is_said)
{
  bool saturates = strcmp(format, "ns") == 0 || strcmp(format, "nj") == 0;
  if (!saturates && strcmp(format, "mv") != 0) return false;
  fprintf(t->to, "%s%" PRIu32 "%s",
          saturates && value == UINT32_MAX ? ">=" : "", value,
          unit_is_said ? "" : format);
  return true;
}

static void put_value(const struct trace_text *t, const char *format,
                      uint32_t value, bool unit_is_said)
{
  if (strcmp(format, "hex") == 0) {
    fprintf(t->to, "0x%08" PRIx32, value);
    return;
  }
  if (put_measure(t, format, value, unit_is_said)) return;
  if (put_named(t, format, value)) return;
  const char *word = trace_word(format, value);
  if (word) {
    fputs(word, t->to);
  } else {
    fprintf(t->to, "%" PRIu32, value);
  }
}

/* `argument` is "name:format", or "-" for none. */
static void put_argument(const struct trace_text *t, const char *argument,
                         uint32_t value)
{
  const char *colon = strchr(argument, ':');
  if (!colon) return;
  int length = (int)(colon - argument);
  const char *format = colon + 1;
  fprintf(t->to, " %.*s=", length, argument);
  bool unit_is_said = strlen(format) == (size_t)length &&
                      memcmp(format, argument, (size_t)length) == 0;
  put_value(t, format, value, unit_is_said);
}

/* --- lines --------------------------------------------------------------- */

void trace_text_head(const struct trace_text *text)
{
  fputs("# ", text->to);
  page_plain(text->to, text->script->title);
  if (text->script->file) {
    fputs(" (", text->to);
    page_plain(text->to, file_name(text->script->file));
    fputs(")", text->to);
  }
  fputs("\n# part ", text->to);
  page_plain(text->to, text->part->name);
  fputs("; columns: ns.ps, core cycle, event\n", text->to);
}

void trace_text_record(void *context, const struct trace_record *record)
{
  const struct trace_text *t = context;
  const struct trace_kind_info *kind = &trace_kinds[record->kind];
  fprintf(t->to, "%14" PRId64 ".%03d %10" PRId64 "  %s",
          (int64_t)(record->at / PS_PER_NS), (int)(record->at % PS_PER_NS),
          record->cycle, kind->text);
  bool alone = kind->a[0] == '-' && kind->b[0] == '-';
  if (!alone) fprintf(t->to, "%*s", 14 - (int)strlen(kind->text), "");
  put_argument(t, kind->a, record->a);
  put_argument(t, kind->b, record->b);
  fputc('\n', t->to);
}

/* What there is to see in a dump: the table of signals, and their names. */
#include <assert.h>
#include <stdbool.h>
#include <stddef.h>
#include <stdio.h>
#include <string.h>

#include "describe/names.h"
#include "describe/trace_kinds.h"
#include "report/vcd.h"

enum each {
  EACH_ONE,
  EACH_LATCH, /* one if the part makes a blank check */
  EACH_PIN,
  EACH_NET,
  EACH_STRAP,
  EACH_OPTION,
  EACH_CAUSE,
  EACH_MEMORY,
  EACH_MODE,
  EACH_PHASE,
  EACH_OP,
  EACH_COUNT_
};

static const struct {
  const char *scope, *name;
  enum each each;
  unsigned width;
  char first;
} rows[VCD_SIGNAL_COUNT_] = {
#define X(name, scope, text, each, width, first)                              \
  [VCD_##name] = {scope, text, EACH_##each, width, first},
#include "report/vcd_signals.def"
#undef X
};

/* --- how many, and what they are called ---------------------------------- */

static uint32_t count_words(const char *format)
{
  uint32_t count = 0;
  while (trace_word(format, count)) {
    count++;
  }
  return count;
}

static const char *pin_name(const struct vcd *v, uint32_t i)
{
  return v->part->pins.names[i];
}

static const char *net_name(const struct vcd *v, uint32_t i)
{
  return v->script->nets[i].name;
}

static const char *strap_name(const struct vcd *v, uint32_t i)
{
  return v->part->straps[i].name;
}

static const char *option_name(const struct vcd *v, uint32_t i)
{
  return v->part->options.words[i].name;
}

static const char *memory_name(const struct vcd *v, uint32_t i)
{
  return v->part->memory[i].name;
}

/* Things that are named after a word of the trace. */
static const char *const formats[EACH_COUNT_] = {[EACH_CAUSE] = "cause",
                                                 [EACH_MODE] = "mode",
                                                 [EACH_PHASE] = "phase",
                                                 [EACH_OP] = "op"};

static const char *(*const names[EACH_COUNT_])(const struct vcd *v,
                                               uint32_t i) = {
    [EACH_PIN] = pin_name,       [EACH_NET] = net_name,
    [EACH_STRAP] = strap_name,   [EACH_OPTION] = option_name,
    [EACH_MEMORY] = memory_name,
};

uint32_t vcd_count(const struct vcd *v, enum vcd_signal signal)
{
  switch (rows[signal].each) {
  case EACH_LATCH: return v->part->blank_check.held != BLANK_NONE;
  case EACH_PIN: return v->part->pins.count;
  case EACH_NET: return v->script->net_count;
  case EACH_STRAP: return v->part->strap_count;
  case EACH_OPTION: return v->part->options.word_count;
  case EACH_MEMORY: return v->part->memory_count;
  case EACH_CAUSE:
  case EACH_MODE:
  case EACH_PHASE:
  case EACH_OP: return count_words(formats[rows[signal].each]);
  default: return 1;
  }
}

/* Two names of a file stay two. */
static void put_identifier(const char *from, bool of_file, char name[VCD_NAME])
{
  size_t used = 0;
  for (; *from; from++) {
    bool allowed = *from != '-' && *from != '+';
    assert(used + 3 < VCD_NAME);
    if (!allowed && of_file) name[used++] = '$';
    name[used++] = (char)(allowed    ? *from
                          : !of_file ? '_'
                                     : "mp"[*from == '+']);
  }
  name[used] = '\0';
}

const char *vcd_name(const struct vcd *v, enum vcd_signal signal,
                     uint32_t index, char name[VCD_NAME])
{
  enum each each = rows[signal].each;
  const char *from = rows[signal].name;
  if (formats[each]) from = trace_word(formats[each], index);
  if (names[each]) from = names[each](v, index);
  put_identifier(from, names[each] != NULL, name);
  return name;
}

const char *vcd_scope(enum vcd_signal signal)
{
  return rows[signal].scope;
}

unsigned vcd_width(enum vcd_signal signal)
{
  return rows[signal].width;
}

char vcd_first(enum vcd_signal signal)
{
  return rows[signal].first;
}

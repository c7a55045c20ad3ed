#include "report/vcd.h"

#include <assert.h>
#include <inttypes.h>
#include <stddef.h>
#include <string.h>

#include "base/file.h"
#include "core/core.h"
#include "describe/trace_kinds.h"
#include "report/page.h"

/* --- values -------------------------------------------------------------- */

struct vcd_var *vcd_var(struct vcd *v, enum vcd_signal signal, uint32_t index)
{
  uint32_t at = v->first[signal] + index;
  return at < v->first[signal + 1] ? &v->vars[at] : NULL;
}

/* An index that names nothing is none of them. */
void vcd_set(struct vcd *v, enum vcd_signal signal, uint32_t index,
             uint32_t value)
{
  struct vcd_var *to = vcd_var(v, signal, index);
  if (!to) return;
  to->value = value;
  to->state = '0';
}

/* Of several lines just one is up; PART_NONE: none is. */
void vcd_choose(struct vcd *v, enum vcd_signal signal, uint32_t index)
{
  uint32_t count = v->first[signal + 1] - v->first[signal];
  for (uint32_t i = 0; i < count; i++) {
    vcd_set(v, signal, i, i == index);
  }
}

/* Names of vars: numbers to the base 94, in the characters 33 to 126. */
static void put_code(const struct vcd *v, const struct vcd_var *of)
{
  size_t number = (size_t)(of - v->vars);
  do {
    fputc((int)('!' + number % 94), v->to);
    number /= 94;
  } while (number > 0);
}

static void put_value(struct vcd *v, struct vcd_var *of)
{
  bool known = of->state == '0';
  if (!of->is_wide) {
    fputc(known ? '0' + (int)(of->value & 1) : of->state, v->to);
  } else if (!known) {
    fprintf(v->to, "b%c ", of->state);
  } else {
    int bit = 31;
    while (bit > 0 && !(of->value >> bit & 1)) {
      bit--;
    }
    fputc('b', v->to);
    for (; bit >= 0; bit--) {
      fputc('0' + (int)(of->value >> bit & 1), v->to);
    }
    fputc(' ', v->to);
  }
  put_code(v, of);
  fputc('\n', v->to);
  of->shown = of->value;
  of->shown_state = of->state;
}

/* The first time all values, then those that changed. False: none did. */
static bool flush(struct vcd *v)
{
  bool timed = false;
  for (uint32_t i = 0; i < v->first[VCD_SIGNAL_COUNT_]; i++) {
    struct vcd_var *of = &v->vars[i];
    bool same = of->state == of->shown_state &&
                (of->state != '0' || of->value == of->shown);
    if (v->begun && same) continue;
    if (!timed) fprintf(v->to, "#%" PRId64 "\n", v->now);
    if (!timed && !v->begun) fputs("$dumpvars\n", v->to);
    timed = true;
    put_value(v, of);
  }
  if (!v->begun) fputs("$end\n", v->to);
  v->begun = true;
  return timed;
}

/* What is collected belongs to the instants before `at`. */
static void advance(struct vcd *v, ps_t at)
{
  if (at <= v->now) return;
  flush(v);
  v->now = at;
}

/* --- the fold ------------------------------------------------------------ */

void vcd_record(void *context, const struct trace_record *record)
{
  struct vcd *v = context;
  vcd_take take = vcd_takes[record->kind];
  /* Starts that follow no reset have no record of their own. */
  uint32_t starts = v->start_count(v->play);
  if (!take && starts == vcd_var(v, VCD_START, 0)->value) return;
  advance(v, record->at);
  if (take) take(v, record);
  vcd_set(v, VCD_START, 0, starts);
}

/* --- head and end -------------------------------------------------------- */

static void make_vars(struct vcd *v)
{
  uint32_t used = 0;
  for (uint32_t s = 0; s < VCD_SIGNAL_COUNT_; s++) {
    enum vcd_signal signal = (enum vcd_signal)s;
    uint32_t count = vcd_count(v, signal);
    assert(used + count <= VCD_MAX_VARS);
    v->first[s] = used;
    for (uint32_t i = 0; i < count; i++) {
      v->vars[used++] = (struct vcd_var){.state = vcd_first(signal),
                                         .is_wide = vcd_width(signal) > 1};
    }
  }
  v->first[VCD_SIGNAL_COUNT_] = used;
}

static void put_var(struct vcd *v, enum vcd_signal signal, uint32_t index)
{
  char name[VCD_NAME];
  unsigned width = vcd_width(signal);
  fprintf(v->to, "$var %s %u ", width > 1 ? "reg" : "wire", width);
  put_code(v, vcd_var(v, signal, index));
  fprintf(v->to, " %s%s $end\n", vcd_name(v, signal, index, name),
          width > 1 ? " [31:0]" : "");
}

static void put_vars(struct vcd *v)
{
  const char *scope = NULL;
  for (uint32_t s = 0; s < VCD_SIGNAL_COUNT_; s++) {
    enum vcd_signal signal = (enum vcd_signal)s;
    uint32_t count = v->first[s + 1] - v->first[s];
    if (count == 0) continue;
    if (!scope || strcmp(scope, vcd_scope(signal)) != 0) {
      if (scope) fputs("$upscope $end\n", v->to);
      scope = vcd_scope(signal);
      fprintf(v->to, "$scope module %s $end\n", scope);
    }
    for (uint32_t i = 0; i < count; i++) {
      put_var(v, signal, i);
    }
  }
  fputs("$upscope $end\n$enddefinitions $end\n", v->to);
}

/* A text of a file: `$` could end the comment that it is in. */
static void put_plain(struct vcd *v, const char *text)
{
  char shown[4];
  size_t bytes, taken;
  while ((taken = page_character(text, shown, &bytes)) > 0) {
    text += taken;
    if (bytes == 1 && shown[0] == '$') shown[0] = '?';
    fwrite(shown, 1, bytes, v->to);
  }
}

void vcd_head(struct vcd *v)
{
  vcd_find_nets(v);
  make_vars(v);
  v->now = 0;
  v->begun = false;
  vcd_choose(v, VCD_MODE, CORE_OFF);
  vcd_choose(v, VCD_PHASE, 0);
  vcd_choose(v, VCD_OP, 0);
  fputs("$version firstfetch $end\n$comment ", v->to);
  put_plain(v, v->script->title);
  if (v->script->file) {
    fputs(" (", v->to);
    put_plain(v, file_name(v->script->file));
    fputs(")", v->to);
  }
  fputs(", part ", v->to);
  put_plain(v, v->part->name);
  fputs(" $end\n$timescale 1 ps $end\n", v->to);
  put_vars(v);
}

void vcd_end(struct vcd *v, ps_t end)
{
  advance(v, end);
  if (!flush(v)) fprintf(v->to, "#%" PRId64 "\n", end);
}

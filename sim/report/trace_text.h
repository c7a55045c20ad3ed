/* trace_text.h -- a trace as text, written while the run goes on: a fold.
 *
 *   # A pin reset does not refresh the blank latch (still-boots-rom.jsonc)
 *   # part latched; columns: ns.ps, core cycle, event
 *            0.000         0  step            step=0 verb=power
 *       612500.000         0  rule            rule=latch-blank
 *
 * One line a record, in order; the words and arguments are those of
 * describe/trace_kinds.def. Same run, same bytes: no path, no date, no
 * pointer. A unit stands behind a number unless the argument is named after
 * it; ">=" marks a time that was too long for its record; "none" is an index
 * that names nothing (no region, say).
 *
 * Owns: nothing. Borrows: the stream (its errors stay in it), part, names.
 */
#ifndef REPORT_TRACE_TEXT_H
#define REPORT_TRACE_TEXT_H

#include <stdint.h>
#include <stdio.h>

#include "base/trace.h"
#include "describe/case.h"
#include "describe/part.h"

struct play;

struct trace_text {
  FILE *to;
  const struct case_script *script;
  const struct part *part;
  const struct play *play;
  /* Name of a watched address: play_watch_name. NULL names none. */
  const char *(*watch_name)(const struct play *play, uint32_t index);
};

/* Write the head lines. Call once, before the run. */
void trace_text_head(const struct trace_text *text);

/* The fold: `context` is a struct trace_text. It takes every kind, so its
 * mask is TRACE_TEXT_KINDS. */
#define TRACE_TEXT_KINDS TRACE_ALL
void trace_text_record(void *context, const struct trace_record *record);

#endif

/* vcd.h -- a run as a value change dump, for waveform viewers: a fold.
 *
 * Four-state VCD (IEEE 1364-2005, clause 18, from memory), one time unit a
 * picosecond. The signals are the rows of vcd_signals.def. What has no number
 * has one line a word instead (`core.running`, `executes.rom`), so that it is
 * read without a table of codes. x is not known, z is let go by everybody; a
 * pin that is fought over is x.
 *
 * The rule a reader would get wrong: changes of one instant are written
 * together, once a signal. What came and went within an instant is in the
 * trace alone.
 *
 * The rail is shown as far as the trace tells it: at each crossing of a
 * threshold, and when a source that rises is up. It does not fall in between.
 *
 * No date is in it: the same run gives the same bytes.
 *
 * Not modelled: strings and real numbers, which the four-state format lacks
 * or which readers take differently.
 *
 * Owns: its fields. Borrows: the stream (its errors stay in it), script, part,
 * play.
 */
#ifndef REPORT_VCD_H
#define REPORT_VCD_H

#include <stdbool.h>
#include <stdint.h>
#include <stdio.h>

#include "base/trace.h"
#include "describe/case.h"
#include "describe/part.h"

struct play;

enum vcd_signal {
#define X(name, scope, text, each, width, first) VCD_##name,
#include "report/vcd_signals.def"
#undef X
  VCD_SIGNAL_COUNT_
};

#define VCD_MAX_VARS 512

struct vcd_var {
  uint32_t value;
  char state;     /* 'x', 'z', or '0': `value` counts */
  uint32_t shown; /* as written last */
  char shown_state;
  bool is_wide;
};

/* What is at a pin. */
struct vcd_pin {
  uint8_t part;    /* enum trace_drive: what the part does */
  uint8_t outside; /* the same for the board and the bench */
  bool fought;
};

struct vcd {
  FILE *to;
  const struct case_script *script;
  const struct part *part;
  const struct play *play;
  /* How many starts there were: play_start_count. */
  uint32_t (*start_count)(const struct play *play);

  uint32_t first[VCD_SIGNAL_COUNT_ + 1]; /* of a signal's vars */
  struct vcd_var vars[VCD_MAX_VARS];
  struct vcd_pin pins[PART_MAX_PINS];
  uint32_t nets[PART_MAX_PINS]; /* of the script; PART_NONE */
  bool begun;                   /* the first values are written */
  ps_t now;                     /* the instant being collected */
};

/* Write the head. The first five fields are set; call once, before the run.
 * It is to be called after the starts have been listened to. */
void vcd_head(struct vcd *v);

/* The fold: `context` is a struct vcd. */
#define VCD_KINDS TRACE_ALL
void vcd_record(void *context, const struct trace_record *record);

/* The run is over. */
void vcd_end(struct vcd *v, ps_t end);

/* --- vcd_records.c: what each kind of record says ------------------------ */

typedef void (*vcd_take)(struct vcd *v, const struct trace_record *r);
extern const vcd_take vcd_takes[]; /* by enum trace_kind; NULL: nothing */

/* Which net each pin is on. */
void vcd_find_nets(struct vcd *v);

/* A signal's var, or NULL where the index names none; its value; of several
 * the one that is up, PART_NONE for none. */
struct vcd_var *vcd_var(struct vcd *v, enum vcd_signal signal, uint32_t index);
void vcd_set(struct vcd *v, enum vcd_signal signal, uint32_t index,
             uint32_t value);
void vcd_choose(struct vcd *v, enum vcd_signal signal, uint32_t index);

/* --- vcd_signals.c ------------------------------------------------------- */

/* How many vars a signal has, for this part and script. */
uint32_t vcd_count(const struct vcd *v, enum vcd_signal signal);

/* The words of a row. The name is an identifier: '-' and '+', which
 * identifiers may not have, become "$m" and "$p" in names of a file; in words
 * of the trace
 * '-' becomes '_'. */
#define VCD_NAME 160
const char *vcd_scope(enum vcd_signal signal);
const char *vcd_name(const struct vcd *v, enum vcd_signal signal,
                     uint32_t index, char name[VCD_NAME]);
unsigned vcd_width(enum vcd_signal signal);
char vcd_first(enum vcd_signal signal);

#endif

/* timeline.h -- what held when: the records of a run as lanes; a fold.
 *
 *   steps          0 power 1 expect   2 probe         4 write
 *   reset line     ____/------------\________/----------------
 *   the latch        [ blank                                 ]
 *   a fresh check    [ blank            ][ programmed        ]
 *   execution      off [held][ rom     ][held][ halted       ]
 *
 * A lane has one value at a time, or none. What a record says about which
 * lane is a row of the table in timeline_lanes.c; the lanes that come up in a
 * run are those that its records speak of. Nothing but the trace is looked at.
 *
 * The rule a reader would get wrong: orders to the flash that follow one
 * another, and feeds of the watchdog, are one span, from the first begin to
 * the last end, with a count. A lane that changes more often than
 * TIMELINE_MAX_SPANS ends in a span that says how many changes came after it.
 *
 * Owns: lanes, steps, marks and points. Borrows: part and script.
 */
#ifndef REPORT_TIMELINE_H
#define REPORT_TIMELINE_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "base/trace.h"
#include "base/units.h"
#include "describe/case.h"
#include "describe/part.h"

/* From the top of the picture to its bottom. */
enum lane_kind {
  LANE_FED,
  LANE_LINE,
  LANE_OPTION, /* one an option word */
  LANE_HELD,
  LANE_FRESH,
  LANE_STALE,
  LANE_STRAP, /* one a strap */
  LANE_EXECUTION,
  LANE_DEEP_SLEEP,
  LANE_WATCHDOG,
  LANE_CLOCK,
  LANE_FLASH,
  LANE_PIN,        /* one a pin */
  LANE_OUTSIDE,    /* one a pin */
  LANE_CONTENTION, /* one a pin */
  LANE_KIND_COUNT_
};

/* How a value is drawn. */
enum lane_look {
  LOOK_LEVEL, /* high, low, or between */
  LOOK_BOX
};

/* What fills a box: told apart without colour, and labelled as well. */
enum lane_shade {
  SHADE_PLAIN,
  SHADE_SOLID,
  SHADE_DOTS,
  SHADE_HATCH,
  SHADE_CROSS,
  SHADE_COUNT_
};

#define TIMELINE_MAX_LANES 128
#define TIMELINE_MAX_SPANS 512

/* No value. */
#define LANE_EMPTY UINT32_MAX

struct span {
  ps_t from, to;
  uint32_t value;
  uint32_t count;       /* orders of a burst, else 1 */
  uint32_t first, last; /* argument b of the first and of the last record */
  uint32_t more;        /* changes that came after it and are not kept */
};

struct lane {
  enum lane_kind kind;
  uint32_t index; /* of the pin, strap, word */
  struct span *spans;
  uint32_t count, room;
  uint32_t now;  /* the present value, while open */
  bool open;     /* the last span goes on */
  uint32_t step; /* in which the last span began */
};

struct timeline_step {
  ps_t from, to;
  uint32_t number;
};

/* A reset by its cause, a sampling of the latch with what it found. */
struct timeline_mark {
  ps_t at;
  uint32_t what;
};

struct timeline_marks {
  struct timeline_mark *list;
  uint32_t count, room;
};

/* A point of the rail voltage, which begins at 0 V. What is between two of
 * them no record says; it is drawn straight. */
struct timeline_point {
  ps_t at;
  uint32_t mv;
};

struct timeline {
  const struct part *part;
  const struct case_script *script;
  struct lane lanes[TIMELINE_MAX_LANES];
  uint32_t lane_count;
  struct timeline_step *steps;
  uint32_t step_count, step_room;
  struct timeline_marks resets, samples;
  struct timeline_point *points;
  uint32_t point_count, point_room;
  bool labels; /* steps are told by their labels: timeline_brief */
  ps_t end;
};

/* Listen to the trace of a run that has not begun. */
void timeline_listen(struct timeline *t, const struct part *part,
                     const struct case_script *script, struct trace *trace);

/* The run is over: what still holds, holds to its end. Call once. */
void timeline_end(struct timeline *t, ps_t end);

/* After timeline_end: keep what an overview needs, the lanes of reset line,
 * latch, execution and flash, and the steps that have a label. */
void timeline_brief(struct timeline *t);

void timeline_free(struct timeline *t);

/* A lane by kind and index, or NULL: no record spoke of it. */
const struct lane *timeline_lane(const struct timeline *t, enum lane_kind kind,
                                 uint32_t index);

/* The span that holds at an instant, or NULL; of two that meet there the
 * later one. */
const struct span *lane_at(const struct lane *lane, ps_t at);

/* The last mark up to an instant, or NULL. */
const struct timeline_mark *timeline_mark_at(const struct timeline_marks *m,
                                             ps_t at);

/* The step in which an instant is: of several the first, so that it is the
 * one that led there. NULL: none had begun. */
const struct timeline_step *timeline_step_at(const struct timeline *t,
                                             ps_t at);

/* --- words: timeline_lanes.c --------------------------------------------- */

#define LANE_TEXT 160

/* For "data-lane" and for ids: "latch-held". */
const char *lane_id(enum lane_kind kind);
enum lane_look lane_look(enum lane_kind kind);

/* "what the latch holds", "P9, net tx_led". Returns buf. */
const char *lane_title(const struct timeline *t, const struct lane *lane,
                       char buf[LANE_TEXT]);

/* "blank", "rom", "source=check", "program, 84 times". Returns buf. */
const char *lane_value(const struct timeline *t, const struct lane *lane,
                       const struct span *span, char buf[LANE_TEXT]);

enum lane_shade lane_shade(const struct timeline *t, const struct lane *lane,
                           const struct span *span);

/* The region in which a span of LANE_EXECUTION executes, or PART_NONE. */
uint32_t execution_region(const struct span *span);

/* --- for the table ------------------------------------------------------- */

/* What a record says about a lane: its value from now on, LANE_EMPTY for
 * none. `before` is the present one. */
typedef uint32_t (*lane_take)(const struct timeline *t, uint32_t before,
                              const struct trace_record *r);

struct lane_feed {
  uint32_t kind; /* enum trace_kind */
  enum lane_kind lane;
  bool indexed; /* argument a says which of several lanes */
  lane_take take;
};

extern const struct lane_feed lane_feeds[];
extern const size_t lane_feed_count;

/* True if such a record, where it repeats the last value, goes on with its
 * span and counts. */
bool lane_counts(enum lane_kind kind, uint32_t record);

#endif

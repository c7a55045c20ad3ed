/* axis.h -- where on the paper an instant is.
 *
 * Microseconds and seconds meet in one run, so the axis is not to scale: the
 * space between two neighbouring instants at which anything happens grows by
 * one step (AXIS_DECADE) each time the pause between them grows tenfold. Equal
 * spaces so mean pauses of one order, and every instant is told from the next.
 *
 * The axis is broken into strips, like lines of text: where it can, before a
 * reset. A strip begins with the instant at which the last one ended. In the
 * end all are stretched alike, so that the longest fills its line.
 *
 * Owns: the instants. Borrows: nothing after axis_make.
 */
#ifndef REPORT_AXIS_H
#define REPORT_AXIS_H

#include <stdbool.h>
#include <stdint.h>

#include "base/units.h"
#include "report/timeline.h"

#define AXIS_WIDTH  690 /* of a strip, in pixels */
#define AXIS_LEAST  9   /* between two instants up to 10 ns apart */
#define AXIS_DECADE 9   /* and so much more for each tenfold */

struct axis {
  ps_t *instants; /* ascending, each once; at least one */
  int64_t *x;     /* of each, along the unbroken axis */
  uint32_t count, room;
  uint32_t *breaks; /* the first instant of each strip */
  uint32_t strip_count;
};

/* Between two instants so far apart, in pixels, before it is stretched. */
int64_t axis_gap(ps_t pause);

void axis_make(struct axis *a, const struct timeline *t);
void axis_free(struct axis *a);

/* The strip from its first to its last instant. */
struct axis_strip {
  const struct axis *axis;
  uint32_t first, last; /* indexes of instants */
  ps_t from, to;
};
struct axis_strip axis_strip(const struct axis *a, uint32_t strip);

/* Pixels from the strip's left end, for an instant of the axis inside it; one
 * outside is put at its nearer end. */
int64_t axis_x(const struct axis_strip *s, ps_t at);

/* Its width. */
int64_t axis_width(const struct axis_strip *s);

#endif

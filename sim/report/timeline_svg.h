/* timeline_svg.h -- the timeline of a run as a picture.
 *
 * From the top: the steps of the script, resets by their cause, starts by
 * their number, the rail, the lanes, the axis (axis.h: not to scale, and it
 * says so). Spans carry what they show: data-lane, data-index, data-from and
 * data-to (decimal picoseconds), data-value. What a box means is written in it
 * where it fits, and in its title in any case; no colour is needed.
 *
 * Owns, borrows: nothing. Errors stay in the stream.
 */
#ifndef REPORT_TIMELINE_SVG_H
#define REPORT_TIMELINE_SVG_H

#include <stdio.h>

#include "describe/result.h"
#include "report/axis.h"
#include "report/timeline.h"

struct picture {
  FILE *to;
  const struct result *result;
  const struct timeline *timeline;
  const char *prefix; /* of ids: of our own, without anything to escape */
};

/* All strips, one below the other, as a file of its own. */
void timeline_svg(FILE *to, const struct result *result,
                  const struct timeline *t);

/* One <svg> a strip, for a page. `prefix` makes their ids its own. */
void timeline_strips(FILE *to, const struct result *result,
                     const struct timeline *t, const char *prefix);

/* What the picture and the page style it with. */
extern const char timeline_style[];

/* "Not to scale: ...", in whole sentences. */
extern const char timeline_scale[];

#endif

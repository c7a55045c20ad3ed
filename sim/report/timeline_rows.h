/* timeline_rows.h -- the rows of one strip of the timeline's picture.
 *
 * Each writes its row at s->y and moves s->y below it. Heights are constants,
 * so that a picture's size is known before it is drawn.
 *
 * Owns, borrows: nothing.
 */
#ifndef REPORT_TIMELINE_ROWS_H
#define REPORT_TIMELINE_ROWS_H

#include <stdbool.h>

#include "report/axis.h"
#include "report/timeline_svg.h"

#define STRIP_LEFT  176u /* titles end before it */
#define STRIP_WIDTH (STRIP_LEFT + AXIS_WIDTH + 34u)
#define STRIP_ABOVE 62u /* steps, resets, starts */
#define STRIP_RAIL  66u
#define STRIP_LANE  24u
#define STRIP_AXIS  38u

struct strip {
  const struct picture *picture;
  struct axis_strip span;
  unsigned y;
};

void strip_steps(struct strip *s);
void strip_resets(struct strip *s);
void strip_starts(struct strip *s);
void strip_rail(struct strip *s);
void strip_lanes(struct strip *s);
void strip_axis(struct strip *s);

/* True if the lane has a value somewhere in the strip. */
bool strip_has_lane(const struct axis_strip *span, const struct lane *lane);

/* About how wide a text is, in pixels. */
unsigned strip_text_width(const char *text);

#endif

/* review.h -- what the boot ROM does to a board, pin by pin: the question that
 * is asked before the layout is frozen. Plain data; the reports' only source.
 *
 * Owns: nothing; memory is in the arena it was made in.
 */
#ifndef DESCRIBE_REVIEW_H
#define DESCRIBE_REVIEW_H

#include <stdbool.h>
#include <stdint.h>

#include "base/units.h"

/* One pin that the boot ROM drives. */
struct review_pin {
  const char *pin, *net; /* net: NULL: it is on none */
  bool low, high;        /* levels that it was driven to */
  bool first_high;
  ps_t after; /* the first time, from the first instruction of the ROM on */
  addr_t pc;  /* which instruction did it; 0: none */
  const char *symbol;  /* of that, or NULL */
  bool worst_high;     /* the level at which most current flows */
  int64_t current_na;  /* at worst: strongest driver, full supply */
  int64_t part_nw;     /* power in the part's driver then */
  int64_t net_nw;      /* and in the whole net */
  int64_t series_mohm; /* more of it makes the pin harmless; 0: it is */
};

struct review {
  bool rom_ran;
  const char *rule; /* start rule that led to it */
  bool forced;      /* straps or options were set for it: a blank part as it
                       comes does not start its ROM on this board */
  ps_t watched;     /* time from the first instruction of the ROM on */
  struct review_pin *pins;
  uint32_t pin_count;
  int64_t supply_uv, driver_mohm; /* what is the worst */
  int64_t limit_na;               /* of one pin */
  int64_t sum_na, total_limit_na; /* all of these pins together */
  uint32_t harmful;               /* pins above the limit */
  bool undefined_below; /* the part's pins are undefined below power-on */
};

#endif

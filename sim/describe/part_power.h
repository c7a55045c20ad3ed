/* part_power.h -- what supply, watchdog and deep sleep are on a part: sections
 * of struct part (part.h).
 *
 * Owns: nothing; all memory is in the arena it was read into.
 */
#ifndef DESCRIBE_PART_POWER_H
#define DESCRIBE_PART_POWER_H

#include <stdbool.h>
#include <stdint.h>

#include "describe/quantity.h"

#define PART_MAX_LEVELS 8

/* A level of the brown-out detector. */
struct part_brown_out_level {
  const char *name;
  struct quantity rise, fall; /* uV */
};

/* Where the option field has the value of a level's name, that level is in
 * force; with any other value none is. */
struct part_brown_out {
  struct part_brown_out_level levels[PART_MAX_LEVELS];
  uint32_t level_count; /* 0: there is no detector */
  uint32_t initial;     /* in force from a power-on until options are loaded */
  const char *option;   /* "word.field", or NULL: the initial level stays */
};

struct part_power {
  struct quantity on_rise, on_fall; /* uV: the power-on comparator */
  struct quantity ram_keep;         /* uV: below it RAM content is lost */
  struct quantity rearm_below;      /* uV */
  struct quantity rearm_for;        /* ps below rearm_below */
  struct quantity start_up;         /* ps held after the rail rose */
  struct part_brown_out brown_out;
  struct quantity load_running, load_reset, load_off; /* nA */
  struct quantity load_start_up, load_sleeping, load_deep_sleep;
};

enum watchdog_pause { WATCHDOG_RUNS, WATCHDOG_FREEZES };

struct part_watchdog {
  bool present;
  struct quantity clock; /* Hz, its own */
  uint32_t reload;       /* ticks, less one, until software says otherwise */
  const char *option;    /* "word.field" that may start it, or NULL ... */
  const char *when;      /* ... if it has the value of this name */
  enum watchdog_pause in_halt, in_deep_sleep;
};

/* The reset line, as the part has it. */
struct part_reset_line {
  struct quantity pull;             /* milliohm to the rail */
  struct quantity drive_resistance; /* milliohm, of its own driver */
  struct quantity drive;            /* ps that it pulls at least */
  struct quantity pulse;            /* ps: a shorter low is not seen */
  bool own_flag; /* its own pull sets the flag of the pin, too */
};

struct part_deep_sleep {
  bool present;
  bool by_sleepdeep;     /* else by the field of role sleep.deep */
  struct quantity clock; /* Hz of the timer that wakes */
};

#endif

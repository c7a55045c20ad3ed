/* What watches the part, and what wakes it. */
#include "describe/part_shape.h"

/* --- watchdog ------------------------------------------------------------ */

static const char *const pause_words[] = {
    [WATCHDOG_RUNS] = "runs", [WATCHDOG_FREEZES] = "freezes", NULL};

static const struct shape_row watchdog_rows[] = {
    {"clock", SHAPE_QUANTITY, SHAPE_REQUIRED,
     offsetof(struct part_watchdog, clock), .unit = UNIT_FREQUENCY, .min = 1,
     .max = 100000000, .sentence = "Its own clock."},
    {"reload", SHAPE_COUNT, SHAPE_REQUIRED,
     offsetof(struct part_watchdog, reload), .min = 1, .max = 0xffffffff,
     .sentence = "Ticks, less one, from a kick to the reset, until software "
                 "sets others."},
    {"option", SHAPE_TEXT, SHAPE_OPTIONAL,
     offsetof(struct part_watchdog, option),
     .sentence = "The option field, as \"word.field\", that starts it by "
                 "itself ..."},
    {"when", SHAPE_TEXT, SHAPE_OPTIONAL, offsetof(struct part_watchdog, when),
     .sentence = "... if it has the value of this name."},
    {"in_halt", SHAPE_CHOICE, SHAPE_OPTIONAL,
     offsetof(struct part_watchdog, in_halt), .words = pause_words,
     .initial = "runs",
     .sentence = "What it does while a probe halts the core; a field of role "
                 "\"watchdog.freeze\" may ask for more."},
    {"in_deep_sleep", SHAPE_CHOICE, SHAPE_OPTIONAL,
     offsetof(struct part_watchdog, in_deep_sleep), .words = pause_words,
     .initial = "runs", .sentence = "What it does in deep sleep."},
};

const struct shape part_watchdog_shape = {
    .what = "the watchdog", SHAPE_ROWS(watchdog_rows), .sourced = true};

/* --- deep sleep ---------------------------------------------------------- */

static const char *const entry_words[] = {"field", "sleepdeep", NULL};

static const struct shape_row deep_sleep_rows[] = {
    {"by", SHAPE_EITHER, SHAPE_REQUIRED,
     offsetof(struct part_deep_sleep, by_sleepdeep), .words = entry_words,
     .sentence = "What makes sleep deep: the core's SLEEPDEEP, or a field of "
                 "role \"sleep.deep\"."},
    {"clock", SHAPE_QUANTITY, SHAPE_OPTIONAL,
     offsetof(struct part_deep_sleep, clock), .unit = UNIT_FREQUENCY, .min = 1,
     .max = 100000000, .initial = "32kHz",
     .sentence = "Clock of the timer that wakes."},
};

const struct shape part_deep_sleep_shape = {
    .what = "deep sleep", SHAPE_ROWS(deep_sleep_rows), .sourced = true};

/* --- reset line ---------------------------------------------------------- */

static const struct shape_row reset_line_rows[] = {
    {"pull", SHAPE_QUANTITY, SHAPE_OPTIONAL,
     offsetof(struct part_reset_line, pull), .unit = UNIT_RESISTANCE,
     .initial = "40kohm", .min = MOHM_PER_OHM, .max = 10000000 * MOHM_PER_OHM,
     .sentence = "The part's own pull-up."},
    {"drive_resistance", SHAPE_QUANTITY, SHAPE_OPTIONAL,
     offsetof(struct part_reset_line, drive_resistance),
     .unit = UNIT_RESISTANCE, .initial = "30ohm", .min = MOHM_PER_OHM,
     .max = 100000 * MOHM_PER_OHM,
     .sentence = "Resistance of its driver, which pulls the line low in "
                 "resets that say so."},
    {"drive", SHAPE_QUANTITY, SHAPE_OPTIONAL,
     offsetof(struct part_reset_line, drive), .unit = UNIT_TIME,
     .initial = "0s", .max = MAX_WAIT,
     .sentence = "For how long it pulls at least."},
    {"pulse", SHAPE_QUANTITY, SHAPE_OPTIONAL,
     offsetof(struct part_reset_line, pulse), .unit = UNIT_TIME,
     .initial = "0s", .max = MAX_WAIT,
     .sentence = "The shortest low that it sees."},
    {"own_flag", SHAPE_FLAG, SHAPE_OPTIONAL,
     offsetof(struct part_reset_line, own_flag), .initial = "false",
     .sentence = "Whether a reset that pulls the line sets the flag of the "
                 "pin as well."},
};

const struct shape part_reset_line_shape = {
    .what = "the reset line", SHAPE_ROWS(reset_line_rows), .sourced = true};

/* What supply and resets do: power, boot sequence, reset table. */
#include "describe/part_shape.h"

#include <string.h>

#include "describe/names.h"

/* --- power -----------------------------------------------------------------
 */

static const struct shape_row on_rows[] = {
    {"rise", SHAPE_QUANTITY, SHAPE_OPTIONAL,
     offsetof(struct part_power, on_rise), .unit = UNIT_VOLTAGE,
     .initial = "1.60V", .min = UV_PER_V / 10, .max = 10 * UV_PER_V,
     .sentence = "Rising through this the rail lets the part start."},
    {"fall", SHAPE_QUANTITY, SHAPE_OPTIONAL,
     offsetof(struct part_power, on_fall), .unit = UNIT_VOLTAGE,
     .initial = "1.50V", .min = UV_PER_V / 10, .max = 10 * UV_PER_V,
     .sentence = "Falling through this the rail resets the part."},
};

static const struct shape on_shape = {
    .what = "the power-on thresholds", SHAPE_ROWS(on_rows), .sourced = true};

static const struct shape_row rearm_rows[] = {
    {"below", SHAPE_QUANTITY, SHAPE_OPTIONAL,
     offsetof(struct part_power, rearm_below), .unit = UNIT_VOLTAGE,
     .initial = "0.40V", .min = UV_PER_V / 1000, .max = 10 * UV_PER_V,
     .sentence = "The rail must fall below this ..."},
    {"for", SHAPE_QUANTITY, SHAPE_OPTIONAL,
     offsetof(struct part_power, rearm_for), .unit = UNIT_TIME,
     .initial = "20us", .max = MAX_WAIT,
     .sentence = "... for this long, or its next rise is no power-on."},
};

static const struct shape rearm_shape = {
    .what = "the re-arm condition", SHAPE_ROWS(rearm_rows), .sourced = true};

static const struct shape_row load_rows[] = {
    {"running", SHAPE_QUANTITY, SHAPE_OPTIONAL,
     offsetof(struct part_power, load_running), .unit = UNIT_CURRENT,
     .initial = "3mA", .max = 10 * NA_PER_A,
     .sentence = "Supply current while the core runs."},
    {"reset", SHAPE_QUANTITY, SHAPE_OPTIONAL,
     offsetof(struct part_power, load_reset), .unit = UNIT_CURRENT,
     .initial = "1mA", .max = 10 * NA_PER_A,
     .sentence = "Supply current in reset."},
    {"off", SHAPE_QUANTITY, SHAPE_OPTIONAL,
     offsetof(struct part_power, load_off), .unit = UNIT_CURRENT,
     .initial = "5uA", .max = 10 * NA_PER_A,
     .sentence = "Supply current below the power-on threshold."},
    {"start_up", SHAPE_QUANTITY, SHAPE_OPTIONAL,
     offsetof(struct part_power, load_start_up), .unit = UNIT_CURRENT,
     .initial = "1mA", .max = 10 * NA_PER_A,
     .sentence = "Supply current during the start-up time."},
    {"sleeping", SHAPE_QUANTITY, SHAPE_OPTIONAL,
     offsetof(struct part_power, load_sleeping), .unit = UNIT_CURRENT,
     .initial = "1mA", .max = 10 * NA_PER_A,
     .sentence = "Supply current while the core sleeps."},
    {"deep_sleep", SHAPE_QUANTITY, SHAPE_OPTIONAL,
     offsetof(struct part_power, load_deep_sleep), .unit = UNIT_CURRENT,
     .initial = "5uA", .max = 10 * NA_PER_A,
     .sentence = "Supply current in deep sleep."},
};

static const struct shape load_shape = {
    .what = "the supply current", SHAPE_ROWS(load_rows), .sourced = true};

/* --- brown-out detector ----------------------------------------------------
 */

static const struct shape_row level_rows[] = {
    {"level", SHAPE_NAME, SHAPE_REQUIRED,
     offsetof(struct part_brown_out_level, name),
     .sentence = "What the level is called; the option field's value of this "
                 "name puts it in force."},
    {"rise", SHAPE_QUANTITY, SHAPE_REQUIRED,
     offsetof(struct part_brown_out_level, rise), .unit = UNIT_VOLTAGE,
     .min = UV_PER_V / 10, .max = 10 * UV_PER_V,
     .sentence = "Rising through this the rail lets the part start."},
    {"fall", SHAPE_QUANTITY, SHAPE_REQUIRED,
     offsetof(struct part_brown_out_level, fall), .unit = UNIT_VOLTAGE,
     .min = UV_PER_V / 10, .max = 10 * UV_PER_V,
     .sentence = "Falling through this the rail resets the part."},
};

static const struct shape level_shape = {
    .what = "a brown-out level", SHAPE_ROWS(level_rows), .sourced = true};

static enum sim_status read_initial(struct shape_reader *r,
                                    const struct shape_row *row,
                                    const struct json *value, void *target)
{
  const struct part *part = r->user;
  const struct part_brown_out *b = &part->power.brown_out;
  for (uint32_t i = 0; i < b->level_count; i++) {
    if (strcmp(b->levels[i].name, value->text) != 0) continue;
    *(uint32_t *)target = i;
    return SIM_OK;
  }
  return shape_expected(r, value, SIM_REFERENCE, row->expected);
}

static const struct shape_row name_form = {.kind = SHAPE_NAME};

static const struct shape_row brown_out_rows[] = {
    {"levels", SHAPE_LIST, SHAPE_REQUIRED,
     offsetof(struct part_brown_out, levels), .min = 1, .max = PART_MAX_LEVELS,
     .stride = sizeof(struct part_brown_out_level),
     .counted = offsetof(struct part_brown_out, level_count),
     .of = &(const struct shape_row){.kind = SHAPE_OBJECT,
                                     .shape = &level_shape},
     .sentence = "Levels that it can have."},
    {"default", SHAPE_CUSTOM, SHAPE_REQUIRED,
     offsetof(struct part_brown_out, initial), .of = &name_form, .of_count = 1,
     .read = read_initial, .expected = "the name of one of the \"levels\"",
     .sentence = "The level in force from a power-on until option words are "
                 "loaded."},
    {"option", SHAPE_TEXT, SHAPE_OPTIONAL,
     offsetof(struct part_brown_out, option),
     .sentence = "The option field, as \"word.field\", whose value names the "
                 "level that is in force from then on; a value of another "
                 "name switches the detector off."},
};

static const struct shape brown_out_shape = {.what = "the brown-out detector",
                                             SHAPE_ROWS(brown_out_rows),
                                             .sourced = true};

static const struct shape_row power_rows[] = {
    {"on", SHAPE_OBJECT, SHAPE_OPTIONAL, 0, .shape = &on_shape,
     .sentence = "Thresholds of the power-on comparator."},
    {"ram_keep", SHAPE_QUANTITY, SHAPE_OPTIONAL,
     offsetof(struct part_power, ram_keep), .unit = UNIT_VOLTAGE,
     .initial = "0.90V", .max = 10 * UV_PER_V,
     .sentence = "Below this RAM content is lost."},
    {"rearm", SHAPE_OBJECT, SHAPE_OPTIONAL, 0, .shape = &rearm_shape,
     .sentence = "What must happen before a rise counts as a power-on "
                 "again."},
    {"start_up", SHAPE_QUANTITY, SHAPE_OPTIONAL,
     offsetof(struct part_power, start_up), .unit = UNIT_TIME,
     .initial = "300us", .max = MAX_WAIT,
     .sentence = "Time for which the part is held after the rail rose."},
    {"load", SHAPE_OBJECT, SHAPE_OPTIONAL, 0, .shape = &load_shape,
     .sentence = "What the part draws."},
    {"brown_out", SHAPE_OBJECT, SHAPE_OPTIONAL,
     offsetof(struct part_power, brown_out), .shape = &brown_out_shape,
     .sentence = "The brown-out detector; left out, there is none."},
};

const struct shape part_power_shape = {
    .what = "the power section", SHAPE_ROWS(power_rows), .sourced = true};

/* --- boot sequence ---------------------------------------------------------
 */

static const struct shape_row boot_rows[] = {
    {"option_load", SHAPE_QUANTITY, SHAPE_OPTIONAL,
     offsetof(struct part_boot, option_load), .unit = UNIT_CYCLES,
     .initial = "0 cycles", .max = MAX_CYCLES,
     .sentence = "Cycles to load the option words."},
    {"blank_check", SHAPE_QUANTITY, SHAPE_OPTIONAL,
     offsetof(struct part_boot, blank_check), .unit = UNIT_CYCLES,
     .initial = "0 cycles", .max = MAX_CYCLES,
     .sentence = "Cycles of the blank check."},
    {"strap_delay", SHAPE_QUANTITY, SHAPE_OPTIONAL,
     offsetof(struct part_boot, strap_delay), .unit = UNIT_CYCLES,
     .initial = "0 cycles", .max = MAX_CYCLES,
     .sentence = "Cycles from the reset line being high to the straps being "
                 "sampled."},
    {"vector_fetch", SHAPE_QUANTITY, SHAPE_OPTIONAL,
     offsetof(struct part_boot, vector_fetch), .unit = UNIT_CYCLES,
     .initial = "4 cycles", .max = MAX_CYCLES,
     .sentence = "Cycles from the choice of the start to the first fetch."},
    {"in_reset", SHAPE_FLAG, SHAPE_OPTIONAL,
     offsetof(struct part_boot, in_reset), .initial = "false",
     .sentence = "Whether options are loaded and the latch is sampled while "
                 "the reset line is still low."},
};

const struct shape part_boot_shape = {
    .what = "the boot sequence", SHAPE_ROWS(boot_rows), .sourced = true};

#define X(name, key, yes, no, sentence)                                       \
  static const char *const name##_words[] = {no, yes, NULL};
#include "describe/reset_columns.def"
#undef X

static const struct shape_row reset_rows[] = {
    {"cause", SHAPE_CHOICE, SHAPE_REQUIRED,
     offsetof(struct part_reset_row, cause), .words = cause_words,
     .sentence = "Why the reset happens."},
#define X(name, column, yes, no, what)                                        \
  {column,                                                                    \
   SHAPE_EITHER,                                                              \
   SHAPE_REQUIRED,                                                            \
   offsetof(struct part_reset_row, reset.does) + RESET_##name * sizeof(bool), \
   .words = name##_words,                                                     \
   .sentence = "Whether " what "."},
#include "describe/reset_columns.def"
#undef X
    {"flag", SHAPE_FLAG, SHAPE_REQUIRED,
     offsetof(struct part_reset_row, reset.flag),
     .sentence = "Whether this cause sets its flag."},
};

const struct shape part_reset_shape = {.what = "a row of the reset table",
                                       SHAPE_ROWS(reset_rows),
                                       .sourced = true,
                                       .fact = true};

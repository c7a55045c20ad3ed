/* The forms of a step: which keys may stand beside a verb, by what the verb
 * says. Writes are in case_write.c. */
#include "describe/case_forms.h"
#include "describe/case_shape.h"
#include "describe/names.h"

_Static_assert(CAUSE_POWER_ON == 0, "no step makes the first row happen");

static const struct shape_row step_rows[] = {
    {"label", SHAPE_TEXT, SHAPE_OPTIONAL, offsetof(struct step, label),
     .sentence = "What reports call the step."},
};

const struct shape case_step_shape = {.what = "a step", SHAPE_ROWS(step_rows)};

/* --- power, run, drive --------------------------------------------------- */

static const char *const switch_words[] = {"on", "off", NULL};
static const char *const dip_words[] = {"dip", NULL};
_Static_assert(POWER_ON == 0 && POWER_OFF == 1, "the order of switch_words");

static const struct shape_row power_rows[] = {
    {"power", SHAPE_CHOICE, SHAPE_REQUIRED, offsetof(struct step, power),
     .words = switch_words, .sentence = "Switch the supply on or off."},
    {"ramp", SHAPE_AMOUNT, SHAPE_OPTIONAL, offsetof(struct step, ramp),
     .has = offsetof(struct step, has_ramp), .unit = UNIT_TIME,
     .max = 100 * PS_PER_S,
     .sentence = "Time from 0 to the full voltage, instead of the board's; "
                 "off: the source goes down to 0 in this time, and takes the "
                 "rail along; left out, it is open at once."},
    {"for", SHAPE_AMOUNT, SHAPE_OPTIONAL, offsetof(struct step, lasts),
     .unit = UNIT_TIME, .max = CASE_MAX_TIME, .initial = "0s",
     .sentence = "Time that passes after it."},
};

const struct shape case_power_shape = {.what = "a \"power\" step",
                                       SHAPE_ROWS(power_rows),
                                       .also = &case_step_shape};

static const struct shape_row dip_rows[] = {
    {"power", SHAPE_CHOICE, SHAPE_REQUIRED, offsetof(struct step, power),
     .words = dip_words, .min = POWER_DIP,
     .sentence = "The source sags and comes back."},
    {"to", SHAPE_AMOUNT, SHAPE_REQUIRED, offsetof(struct step, dip_uv),
     .unit = UNIT_VOLTAGE, .max = 10000000,
     .sentence = "Open-circuit voltage in the dip."},
    {"for", SHAPE_AMOUNT, SHAPE_REQUIRED, offsetof(struct step, lasts),
     .unit = UNIT_TIME, .max = CASE_MAX_TIME,
     .sentence = "How long it stays there."},
    {"ramp", SHAPE_AMOUNT, SHAPE_OPTIONAL, offsetof(struct step, ramp),
     .unit = UNIT_TIME, .max = 100 * PS_PER_S, .initial = "0s",
     .sentence = "Time of the way down, and of that up again."},
};

const struct shape case_power_dip_shape = {.what = "a dip of the supply",
                                           SHAPE_ROWS(dip_rows),
                                           .also = &case_step_shape};

static const struct shape_row run_rows[] = {
    {"run", SHAPE_AMOUNT, SHAPE_REQUIRED, offsetof(struct step, lasts),
     .unit = UNIT_TIME, .min = 1, .max = CASE_MAX_TIME,
     .sentence = "Let this much time pass."},
    {"until", SHAPE_TEXT, SHAPE_OPTIONAL, offsetof(struct step, until),
     .sentence = "A symbol, or an address such as \"0x04000100\": entering "
                 "it ends the step earlier."},
};

const struct shape case_run_shape = {
    .what = "a \"run\" step", SHAPE_ROWS(run_rows), .also = &case_step_shape};

static const struct shape_row drive_rows[] = {
    {"drive", SHAPE_NAME, SHAPE_REQUIRED, offsetof(struct step, pin),
     .sentence = "Drive this pin of the part from outside."},
    {"level", SHAPE_CHOICE, SHAPE_REQUIRED, offsetof(struct step, level),
     .words = drive_words, .sentence = "To which level, or let it go."},
};

const struct shape case_drive_shape = {.what = "a \"drive\" step",
                                       SHAPE_ROWS(drive_rows),
                                       .also = &case_step_shape};

/* --- reset and reload ---------------------------------------------------- */

static const char *const pin_words[] = {"pin", NULL};
static const char *const hold_words[] = {"hold", "release", NULL};
const char *const case_reload_words[] = {"options", NULL};
static const char *const by_probe_words[] = {"probe", NULL};

static const struct shape_row reset_pin_rows[] = {
    {"reset", SHAPE_CHOICE, SHAPE_REQUIRED, offsetof(struct step, cause),
     .words = pin_words, .min = CAUSE_PIN,
     .sentence = "Pull the reset line low and let it go."},
    {"hold", SHAPE_AMOUNT, SHAPE_OPTIONAL, offsetof(struct step, lasts),
     .unit = UNIT_TIME, .min = 1, .max = CASE_MAX_TIME, .initial = "20us",
     .sentence = "For how long it is low."},
};

const struct shape case_reset_pin_shape = {.what = "a \"reset\": \"pin\"",
                                           SHAPE_ROWS(reset_pin_rows),
                                           .also = &case_step_shape};

static const struct shape_row reset_line_rows[] = {
    {"reset", SHAPE_CHOICE, SHAPE_REQUIRED, offsetof(struct step, reset),
     .words = hold_words, .min = RESET_HOLD,
     .sentence = "Pull the reset line low, or let it go."},
};

const struct shape case_reset_line_shape = {.what = "a held reset line",
                                            SHAPE_ROWS(reset_line_rows),
                                            .also = &case_step_shape};

static const struct shape_row reset_cause_rows[] = {
    {"reset", SHAPE_CHOICE, SHAPE_REQUIRED, offsetof(struct step, cause),
     .words = cause_words + CAUSE_POWER_ON + 1, .min = CAUSE_POWER_ON + 1,
     .sentence = "Have a reset of this cause happen."},
};

const struct shape case_reset_cause_shape = {.what = "a reset by its cause",
                                             SHAPE_ROWS(reset_cause_rows),
                                             .also = &case_step_shape};

static const struct shape_row reload_rows[] = {
    {"reload", SHAPE_CHOICE, SHAPE_REQUIRED, offsetof(struct step, target),
     .words = case_reload_words, .min = WRITE_OPTIONS,
     .sentence = "Have the option words loaded again, with a reset."},
    {"by", SHAPE_CHOICE, SHAPE_OPTIONAL, offsetof(struct step, by),
     .words = by_probe_words, .min = BY_PROBE,
     .sentence = "Who asks for it; left out, the attached probe."},
};

const struct shape case_reload_shape = {.what = "a \"reload\" step",
                                        SHAPE_ROWS(reload_rows),
                                        .also = &case_step_shape};

/* --- expect -------------------------------------------------------------- */

static const struct shape_row within_rows[] = {
    {"within", SHAPE_AMOUNT, SHAPE_OPTIONAL, offsetof(struct step, within),
     .unit = UNIT_TIME, .max = CASE_MAX_TIME, .initial = "10ms",
     .sentence = "How long to wait for it at most."},
};

static const struct shape what_shape = {.what = "an expectation",
                                        SHAPE_ROWS(within_rows),
                                        .also = &case_expectation_shape,
                                        .also_at =
                                            offsetof(struct step, expect)};

static const struct shape_row expect_rows[] = {
    {"expect", SHAPE_OBJECT, SHAPE_REQUIRED, 0, .shape = &what_shape,
     .sentence = "Wait until all of this is true of the last start."},
    {"on", SHAPE_MAP, SHAPE_OPTIONAL, offsetof(struct step, on), .min = 1,
     .max = CASE_MAX_PARTS, .stride = sizeof(struct expectation_on),
     .keyed = true, .key_at = offsetof(struct expectation_on, part),
     .counted = offsetof(struct step, on_count),
     .of =
         &(const struct shape_row){.kind = SHAPE_OBJECT,
                                   .at = offsetof(struct expectation_on, what),
                                   .shape = &case_expectation_shape},
     .sentence = "What is expected instead, by the name of the part."},
};

const struct shape case_expect_shape = {.what = "an \"expect\" step",
                                        SHAPE_ROWS(expect_rows),
                                        .also = &case_step_shape};

/* The tables of a case file, all but its steps. */
#include "describe/case_shape.h"

#include <string.h>

#include "base/file.h"
#include "describe/case_forms.h"
#include "describe/names.h"
#include "describe/shape_text.h"
#include "describe/shape_value.h"

/* --- images -------------------------------------------------------------- */

#define CHANGE(field) offsetof(struct case_image, change.field)

static const struct shape_row patch_rows[] = {
    {"at", SHAPE_HEX, SHAPE_REQUIRED, offsetof(struct case_patch, at),
     .multiple = 4, .sentence = "Address of a word of the image."},
    {"word", SHAPE_HEX, SHAPE_REQUIRED, offsetof(struct case_patch, word),
     .sentence = "What stands there."},
};

static const struct shape patch_shape = {.what = "a patch",
                                         SHAPE_ROWS(patch_rows)};

static const struct shape_row image_rows[] = {
    {"file", SHAPE_TEXT, SHAPE_REQUIRED, offsetof(struct case_image, path),
     .sentence = "Path of the firmware file, seen from this file."},
    {"base", SHAPE_HEX, SHAPE_OPTIONAL, offsetof(struct case_image, base),
     .has = offsetof(struct case_image, has_base),
     .sentence = "Where a raw binary goes."},
    {"offset", SHAPE_BYTES, SHAPE_OPTIONAL, CHANGE(offset), .multiple = 4,
     .sentence = "It is put this much higher than the file says."},
    {"without", SHAPE_BYTES, SHAPE_OPTIONAL, CHANGE(without), .multiple = 4,
     .sentence = "So many of its first bytes are left out."},
    {"keep", SHAPE_BYTES, SHAPE_OPTIONAL, CHANGE(keep), .multiple = 4,
     .sentence = "Only so many of its first bytes are written."},
    {"patch", SHAPE_LIST, SHAPE_OPTIONAL, CHANGE(patches), .min = 1,
     .max = CASE_MAX_PATCHES, .stride = sizeof(struct case_patch),
     .counted = CHANGE(patch_count),
     .of = &(const struct shape_row){.kind = SHAPE_OBJECT,
                                     .shape = &patch_shape},
     .sentence = "Words that stand there instead of the file's."},
};

static const struct shape image_shape = {.what = "an image",
                                         SHAPE_ROWS(image_rows)};

/* Words that "write" takes for something else. */
static const char *const taken_names[] = {"latch", "options", "blank", NULL};

static enum sim_status check_image_name(struct shape_reader *r,
                                        const struct json *value)
{
  for (size_t i = 0; taken_names[i]; i++) {
    if (strcmp(value->key, taken_names[i]) != 0) continue;
    return json_fail_key(value, SIM_KEY, r->err,
                         "is a word with a meaning of its own; expected "
                         "another name for an image");
  }
  if (strncmp(value->key, "0x", 2) == 0) {
    return json_fail_key(value, SIM_KEY, r->err,
                         "looks like an address; expected a name for an "
                         "image that does not begin with 0x");
  }
  if (!shape_is_name(value->key)) {
    return json_fail_key(value, SIM_KEY, r->err,
                         "is no name; expected letters, digits, '_', '-' "
                         "and '+'");
  }
  return SIM_OK;
}

static enum sim_status read_image(struct shape_reader *r,
                                  const struct shape_row *row,
                                  const struct json *value, void *target)
{
  const struct case_script *script = r->user;
  struct case_image *image = target;
  enum sim_status status = check_image_name(r, value);
  if (status != SIM_OK) return status;
  if (value->type == JSON_OBJECT) {
    status = shape_read(r, row->of[1].shape, value, image);
  } else {
    status = shape_read_value(r, &row->of[0], value, &image->path);
  }
  if (status != SIM_OK) return status;
  image->path = file_beside(r->arena, script->file, image->path);
  return SIM_OK;
}

static const struct shape_row image_forms[] = {
    {.kind = SHAPE_TEXT}, {.kind = SHAPE_OBJECT, .shape = &image_shape}};

static const struct shape_row image_row = {
    .kind = SHAPE_CUSTOM,
    .of = image_forms,
    .of_count = 2,
    .read = read_image,
    .expected = "the path of a file, or an object with \"file\" and \"base\""};

/* --- board --------------------------------------------------------------- */

static const struct shape_row supply_rows[] = {
    {"source", SHAPE_AMOUNT, SHAPE_OPTIONAL,
     offsetof(struct case_supply, source_uv), .unit = UNIT_VOLTAGE,
     .min = 100000, .max = 10000000, .initial = "3.0V",
     .sentence = "Open-circuit voltage of the supply."},
    {"source_resistance", SHAPE_AMOUNT, SHAPE_OPTIONAL,
     offsetof(struct case_supply, resistance_mohm), .unit = UNIT_RESISTANCE,
     .max = 1000000000, .initial = "0ohm",
     .sentence = "Resistance of the supply and its wiring."},
    {"bulk", SHAPE_AMOUNT, SHAPE_OPTIONAL,
     offsetof(struct case_supply, bulk_pf), .unit = UNIT_CAPACITANCE, .min = 1,
     .max = 1000000000000, .initial = "10uF",
     .sentence = "Capacitance on the rail."},
    {"ramp", SHAPE_AMOUNT, SHAPE_OPTIONAL,
     offsetof(struct case_supply, ramp_ps), .unit = UNIT_TIME,
     .max = 100 * PS_PER_S, .initial = "100us",
     .sentence = "Time from 0 to the full voltage when switched on."},
    {"load", SHAPE_AMOUNT, SHAPE_OPTIONAL,
     offsetof(struct case_supply, load_na), .unit = UNIT_CURRENT,
     .max = 10000000000, .initial = "0nA",
     .sentence = "Current of the rest of the board."},
    {"removable", SHAPE_FLAG, SHAPE_OPTIONAL,
     offsetof(struct case_supply, removable), .initial = "true",
     .sentence = "Whether the supply can be switched off at all; a battery "
                 "that is soldered in can't."},
};

static const struct shape supply_shape = {.what = "the supply",
                                          SHAPE_ROWS(supply_rows)};

static const struct shape_row signal_rows[] = {
    {"level", SHAPE_AMOUNT, SHAPE_OPTIONAL,
     offsetof(struct case_signals, level_uv), .unit = UNIT_VOLTAGE,
     .min = 100000, .max = 10000000,
     .sentence =
         "Voltage of a signal that is driven high by what has a supply "
         "of its own; left out, signals come from the rail, as by a "
         "jumper, and feed nothing."},
    {"through", SHAPE_AMOUNT, SHAPE_OPTIONAL,
     offsetof(struct case_signals, through_mohm), .unit = UNIT_RESISTANCE,
     .max = 100000000, .initial = "50ohm",
     .sentence = "Resistance of what drives it."},
    {"probe", SHAPE_FLAG, SHAPE_OPTIONAL, offsetof(struct case_signals, probe),
     .initial = "false",
     .sentence = "Whether an attached probe holds the debug pins high, supply "
                 "or not."},
    {"host", SHAPE_FLAG, SHAPE_OPTIONAL, offsetof(struct case_signals, host),
     .initial = "false",
     .sentence = "Whether the line of the serial host idles high, supply or "
                 "not."},
};

static const char *const line_host_words[] = {"open-drain", "push-pull", NULL};

static const struct shape_row reset_line_rows[] = {
    {"pull", SHAPE_AMOUNT, SHAPE_OPTIONAL,
     offsetof(struct case_reset_line, pull_mohm), .unit = UNIT_RESISTANCE,
     .max = 100000000000, .initial = "0ohm",
     .sentence = "Pull-up on the board; 0ohm: there is none."},
    {"capacitor", SHAPE_AMOUNT, SHAPE_OPTIONAL,
     offsetof(struct case_reset_line, capacitor_pf), .unit = UNIT_CAPACITANCE,
     .max = 1000000000, .initial = "0pF", .sentence = "Capacitor to ground."},
    {"host", SHAPE_EITHER, SHAPE_OPTIONAL,
     offsetof(struct case_reset_line, push_pull), .words = line_host_words,
     .initial = "open-drain",
     .sentence = "What pulls it from the bench: one that lets go, or one that "
                 "drives it high otherwise."},
    {"host_resistance", SHAPE_AMOUNT, SHAPE_OPTIONAL,
     offsetof(struct case_reset_line, host_mohm), .unit = UNIT_RESISTANCE,
     .min = 1, .max = 100000000000, .initial = "30ohm",
     .sentence = "Resistance of the drivers of bench and probe."},
};

static const struct shape reset_line_shape = {.what = "the reset line",
                                              SHAPE_ROWS(reset_line_rows)};

static const struct shape signal_shape = {.what = "the signals from outside",
                                          SHAPE_ROWS(signal_rows)};

/* Kept the other way round: a script that says nothing of it has one. */
static const struct shape_row flag_form = {.kind = SHAPE_FLAG};

static enum sim_status read_reset_line(struct shape_reader *r,
                                       const struct shape_row *row,
                                       const struct json *value, void *target)
{
  bool there;
  enum sim_status status = shape_read_value(r, row->of, value, &there);
  if (status == SIM_OK) *(bool *)target = !there;
  return status;
}

static const struct shape_row probe_rows[] = {
    {"reset_line", SHAPE_CUSTOM, SHAPE_OPTIONAL,
     offsetof(struct case_script, no_reset_line), .of = &flag_form,
     .of_count = 1, .read = read_reset_line,
     .sentence = "Whether the probe is wired to the reset line; left out, it "
                 "is."},
};

static const struct shape probe_shape = {.what = "the board's probe",
                                         SHAPE_ROWS(probe_rows)};

static const struct shape_row board_rows[] = {
    {"supply", SHAPE_OBJECT, SHAPE_OPTIONAL,
     offsetof(struct case_script, supply), .shape = &supply_shape,
     .sentence = "What feeds the rail."},
    {"probe", SHAPE_OBJECT, SHAPE_OPTIONAL, 0, .shape = &probe_shape,
     .sentence = "What the debug probe is wired to."},
    {"reset_line", SHAPE_OBJECT, SHAPE_OPTIONAL,
     offsetof(struct case_script, reset_line), .shape = &reset_line_shape,
     .sentence = "What is on the reset line."},
    {"signals", SHAPE_OBJECT, SHAPE_OPTIONAL,
     offsetof(struct case_script, signals), .shape = &signal_shape,
     .sentence = "What drives the part's pins from outside; a signal that is "
                 "high feeds a rail that is lower."},
    {"nets", SHAPE_LIST, SHAPE_OPTIONAL, offsetof(struct case_script, nets),
     .max = CASE_MAX_NETS, .stride = sizeof(struct case_net),
     .counted = offsetof(struct case_script, net_count), .of = &case_net_row,
     .sentence = "What the part's pins are wired to."},
    {"host", SHAPE_CUSTOM, SHAPE_OPTIONAL, offsetof(struct case_script, host),
     .of = &case_host_form, .of_count = 1, .read = case_read_host,
     .sentence = "A computer on a serial line that talks to the boot ROM."},
    {"neighbours", SHAPE_LIST, SHAPE_OPTIONAL,
     offsetof(struct case_script, neighbours), .max = CASE_MAX_NEIGHBOURS,
     .stride = sizeof(struct case_neighbour),
     .counted = offsetof(struct case_script, neighbour_count),
     .of = &case_neighbour_row,
     .sentence = "Other chips that talk on serial lines."},
};

static const struct shape board_shape = {.what = "a board",
                                         SHAPE_ROWS(board_rows)};

/* --- expectations -------------------------------------------------------- */

#define AT(field)  offsetof(struct expectation, field)
#define MAX_NUMBER (INT64_C(1) << 53) /* json_integer */

static const struct shape_row expectation_rows[] = {
    {"region", SHAPE_TEXT, SHAPE_OPTIONAL, AT(region),
     .sentence =
         "The memory region in which the start began, by its name; where no "
         "region of the part is called so, by its kind: \"flash\" is "
         "any bank."},
    {"landing", SHAPE_TEXT, SHAPE_OPTIONAL, AT(landing),
     .sentence = "The region where execution went after the boot ROM."},
    {"rule", SHAPE_TEXT, SHAPE_OPTIONAL, AT(rule),
     .sentence = "The start rule that decided."},
    {"symbol", SHAPE_TEXT, SHAPE_OPTIONAL, AT(symbol),
     .sentence = "Symbol of the first instruction."},
    {"reaches", SHAPE_TEXT, SHAPE_OPTIONAL, AT(reaches),
     .sentence = "A symbol, or an address such as \"0x04000100\", that is "
                 "entered."},
    {"cause", SHAPE_CHOICE, SHAPE_OPTIONAL, AT(cause), .has = AT(has_cause),
     .words = cause_words, .sentence = "The reset that the start followed."},
    {"outcome", SHAPE_CHOICE, SHAPE_OPTIONAL, AT(outcome),
     .has = AT(has_outcome), .words = outcome_words,
     .sentence = "How the start goes on."},
    {"latch", SHAPE_EITHER, SHAPE_OPTIONAL, AT(latch_programmed),
     .has = AT(has_latch), .words = latch_words,
     .sentence = "What the blank latch says."},
    {"stale", SHAPE_FLAG, SHAPE_OPTIONAL, AT(stale), .has = AT(has_stale),
     .sentence = "Whether a fresh check would say otherwise."},
    {"sp", SHAPE_HEX, SHAPE_OPTIONAL, AT(sp), .has = AT(has_sp),
     .sentence = "The stack pointer that the start began with."},
    {"pc", SHAPE_HEX, SHAPE_OPTIONAL, AT(pc), .has = AT(has_pc),
     .sentence = "Address of the first instruction."},
    {"rom_instructions", SHAPE_WIDE, SHAPE_OPTIONAL, AT(rom_instructions),
     .has = AT(has_rom_instructions), .max = MAX_NUMBER,
     .sentence = "Instructions of the boot ROM executed since it began."},
    {"pins_driven", SHAPE_WIDE, SHAPE_OPTIONAL, AT(pins_driven),
     .has = AT(has_pins_driven), .max = PART_MAX_PINS,
     .sentence = "Pins that the part has driven since it began."},
    {"read", SHAPE_HEX, SHAPE_OPTIONAL, AT(read), .has = AT(has_read),
     .sentence = "The last word that the probe or the host read."},
    {"host", SHAPE_CHOICE, SHAPE_OPTIONAL, AT(host), .has = AT(has_host),
     .words = reply_words,
     .sentence = "How it ended, what the host did last."},
    {"exit_status", SHAPE_WIDE, SHAPE_OPTIONAL, AT(exit_status),
     .has = AT(has_exit_status), .max = UINT32_MAX,
     .sentence = "The status with which the program ended itself by a call of "
                 "the host (semihosting)."},
};

const struct shape case_expectation_shape = {.what = "an expectation",
                                             SHAPE_ROWS(expectation_rows)};

/* --- what was seen ------------------------------------------------------- */

static const struct shape_row sight_form = {.kind = SHAPE_TEXT};

static enum sim_status read_sight(struct shape_reader *r,
                                  const struct shape_row *row,
                                  const struct json *value, void *target)
{
  struct case_sight *sight = target;
  sight->line = value->line;
  sight->column = value->column;
  return shape_read_value(r, row->of, value, &sight->value);
}

static const struct shape_row sight_row = {.kind = SHAPE_CUSTOM,
                                           .of = &sight_form,
                                           .of_count = 1,
                                           .read = read_sight};

/* --- the case ------------------------------------------------------------ */

#define MAX_STEPS 10000

static const struct shape_row rows[] = {
    {"case", SHAPE_TEXT, SHAPE_REQUIRED, offsetof(struct case_script, title),
     .sentence = "What the case shows, in one sentence."},
    {"goal", SHAPE_TEXT, SHAPE_OPTIONAL, offsetof(struct case_script, goal),
     .sentence = "What a reader learns from it, in a sentence or two."},
    {"part", SHAPE_TEXT, SHAPE_REQUIRED, offsetof(struct case_script, part),
     .sentence = "Name of a part in models/, or the path of a part file."},
    {"images", SHAPE_MAP, SHAPE_OPTIONAL, offsetof(struct case_script, images),
     .max = CASE_MAX_IMAGES, .stride = sizeof(struct case_image),
     .keyed = true, .key_at = offsetof(struct case_image, name),
     .counted = offsetof(struct case_script, image_count), .of = &image_row,
     .sentence = "Firmware files by name."},
    {"board", SHAPE_OBJECT, SHAPE_OPTIONAL, 0, .shape = &board_shape,
     .sentence = "What is around the part."},
    {"never", SHAPE_LIST, SHAPE_OPTIONAL, offsetof(struct case_script, never),
     .max = CASE_MAX_NEVERS, .stride = sizeof(struct case_never),
     .pointed = true, .counted = offsetof(struct case_script, never_count),
     .of = &case_never_row, .sentence = "What may not happen at any time."},
    {"measure", SHAPE_LIST, SHAPE_OPTIONAL,
     offsetof(struct case_script, measures), .max = CASE_MAX_MEASURES,
     .stride = sizeof(struct case_measure), .pointed = true,
     .counted = offsetof(struct case_script, measure_count),
     .of = &case_measure_row,
     .sentence = "How long it takes from one instant to another."},
    {"never_from", SHAPE_TEXT, SHAPE_OPTIONAL,
     offsetof(struct case_script, never_from),
     .sentence = "Label of the step from which on \"never\" is watched; left "
                 "out, the first."},
    {"steps", SHAPE_LIST, SHAPE_REQUIRED, offsetof(struct case_script, steps),
     .min = 1, .max = MAX_STEPS, .stride = sizeof(struct step),
     .pointed = true, .counted = offsetof(struct case_script, step_count),
     .of = &case_step_row, .sentence = "What is done, one after the other."},
    {"seen", SHAPE_MAP, SHAPE_OPTIONAL, offsetof(struct case_script, seen),
     .max = CASE_MAX_SEEN, .stride = sizeof(struct case_sight), .keyed = true,
     .key_at = offsetof(struct case_sight, key),
     .counted = offsetof(struct case_script, seen_count), .of = &sight_row,
     .pattern = "^[a-z_]+([.].+)?$",
     .sentence = "For the command why: what was seen on the bench after the "
                 "steps, such as \"region\": \"rom\"."},
};

const struct shape case_shape = {
    .what = "a case", SHAPE_ROWS(rows), .also = &case_route_shape};

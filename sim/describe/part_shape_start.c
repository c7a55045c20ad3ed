/* What decides where a start begins: options, straps, blank check, rules. */
#include "describe/part_shape.h"

#include "describe/names.h"

#define NAME_PART "[A-Za-z0-9_][A-Za-z0-9_+-]*"

/* --- option words ----------------------------------------------------------
 */

_Static_assert(offsetof(struct part_option_field, width) ==
                   offsetof(struct part_option_field, lsb) + sizeof(uint32_t),
               "SHAPE_BITS");

static const struct shape_row factory_forms[] = {{.kind = SHAPE_NAME},
                                                 {.kind = SHAPE_COUNT}};

static const struct shape_row option_field_rows[] = {
    {"name", SHAPE_NAME, SHAPE_REQUIRED,
     offsetof(struct part_option_field, name),
     .sentence = "What the field is called."},
    {"bits", SHAPE_BITS, SHAPE_REQUIRED,
     offsetof(struct part_option_field, lsb),
     .sentence = "Where it stands in the word."},
    {"values", SHAPE_MAP, SHAPE_OPTIONAL,
     offsetof(struct part_option_field, values), .max = PART_MAX_VALUES,
     .stride = sizeof(struct part_option_value), .keyed = true,
     .key_at = offsetof(struct part_option_value, name),
     .counted = offsetof(struct part_option_field, value_count),
     .of = &(const struct shape_row){.kind = SHAPE_COUNT,
                                     .at = offsetof(struct part_option_value,
                                                    value)},
     .sentence = "Names of its values."},
    {"factory", SHAPE_CUSTOM, SHAPE_REQUIRED, 0, .of = factory_forms,
     .of_count = 2, .read = part_read_factory,
     .expected = "the name of a value, or an integer",
     .sentence = "Its value in a part that nobody has written to."},
    {"fallback", SHAPE_CUSTOM, SHAPE_OPTIONAL, 0, .of = factory_forms,
     .of_count = 2, .read = part_read_fallback,
     .expected = "the name of a value, or an integer",
     .sentence = "Its value where the cells fail their check; left out, 0."},
};

static const struct shape option_field_shape = {.what = "an option field",
                                                SHAPE_ROWS(option_field_rows),
                                                .sourced = true,
                                                .fact = true};

static const struct shape_row option_word_rows[] = {
    {"name", SHAPE_NAME, SHAPE_REQUIRED,
     offsetof(struct part_option_word, name),
     .sentence = "What the word is called."},
    {"fields", SHAPE_LIST, SHAPE_REQUIRED,
     offsetof(struct part_option_word, fields), .min = 1,
     .max = PART_MAX_FIELDS, .stride = sizeof(struct part_option_field),
     .counted = offsetof(struct part_option_word, field_count),
     .of = &(const struct shape_row){.kind = SHAPE_OBJECT,
                                     .shape = &option_field_shape},
     .sentence = "What its bits mean."},
};

static const struct shape option_word_shape = {
    .what = "an option word", SHAPE_ROWS(option_word_rows), .sourced = true};

static const struct shape_row options_rows[] = {
    {"integrity", SHAPE_CHOICE, SHAPE_OPTIONAL,
     offsetof(struct part_options, integrity), .initial = "none",
     .words = integrity_words,
     .sentence = "How the cells are checked when they are loaded: by a "
                 "complement of each word, or by one checksum over all."},
    {"words", SHAPE_LIST, SHAPE_REQUIRED, offsetof(struct part_options, words),
     .min = 1, .max = PART_MAX_WORDS,
     .stride = sizeof(struct part_option_word),
     .counted = offsetof(struct part_options, word_count),
     .of = &(const struct shape_row){.kind = SHAPE_OBJECT,
                                     .shape = &option_word_shape},
     .sentence = "Non-volatile settings of 32 bits each."},
};

const struct shape part_options_shape = {
    .what = "the option words", SHAPE_ROWS(options_rows), .sourced = true};

/* --- pins and straps -------------------------------------------------------
 */

static const struct shape_row name_form = {.kind = SHAPE_NAME};

static const struct shape_row serial_rows[] = {
    {"transmit", SHAPE_CUSTOM, SHAPE_REQUIRED,
     offsetof(struct part_pins, serial_transmit), .of = &name_form,
     .of_count = 1, .read = part_read_pin, .expected = "the name of a pin",
     .sentence = "The pin that the boot ROM's serial port drives."},
    {"receive", SHAPE_CUSTOM, SHAPE_REQUIRED,
     offsetof(struct part_pins, serial_receive), .of = &name_form,
     .of_count = 1, .read = part_read_pin, .expected = "the name of a pin",
     .sentence = "The pin that it listens to."},
    {"baud", SHAPE_COUNT, SHAPE_OPTIONAL,
     offsetof(struct part_pins, serial_baud), .min = 50, .max = 10000000,
     .initial = "115200",
     .sentence = "Bits a second, where no register divides the clock."},
};

static const struct shape serial_shape = {.what = "the serial port's pins",
                                          SHAPE_ROWS(serial_rows)};

static const char *const below_words[] = {"released", "undefined", NULL};

static const struct shape_row pin_in_mask = {.kind = SHAPE_CUSTOM,
                                             .of = &name_form,
                                             .of_count = 1,
                                             .read = part_read_pin_in_mask,
                                             .expected = "the name of a pin"};

static const struct shape_row more_rows[] = {
    {"transmit", SHAPE_CUSTOM, SHAPE_REQUIRED,
     offsetof(struct part_pins, more_transmit), .of = &name_form,
     .of_count = 1, .read = part_read_pin, .expected = "the name of a pin",
     .sentence = "The pin that the second serial port drives."},
    {"receive", SHAPE_CUSTOM, SHAPE_REQUIRED,
     offsetof(struct part_pins, more_receive), .of = &name_form, .of_count = 1,
     .read = part_read_pin, .expected = "the name of a pin",
     .sentence = "The pin that it listens to."},
};

static const struct shape more_shape = {.what = "the second port's pins",
                                        SHAPE_ROWS(more_rows)};

static const struct shape_row clamp_rows[] = {
    {"drop", SHAPE_QUANTITY, SHAPE_OPTIONAL,
     offsetof(struct part_pins, clamp_drop), .unit = UNIT_VOLTAGE,
     .initial = "0.40V", .max = 10 * UV_PER_V,
     .sentence = "Voltage between pin and rail at which it conducts."},
    {"resistance", SHAPE_QUANTITY, SHAPE_OPTIONAL,
     offsetof(struct part_pins, clamp_resistance), .unit = UNIT_RESISTANCE,
     .initial = "50ohm", .min = MOHM_PER_OHM, .max = 100000 * MOHM_PER_OHM,
     .sentence = "Resistance on that way."},
};

static const struct shape clamp_shape = {
    .what = "the clamp of the pins", SHAPE_ROWS(clamp_rows), .sourced = true};

static const struct shape_row pins_rows[] = {
    {"names", SHAPE_LIST, SHAPE_REQUIRED, offsetof(struct part_pins, names),
     .min = 1, .max = PART_MAX_PINS, .stride = sizeof(const char *),
     .counted = offsetof(struct part_pins, count), .of = &name_form,
     .sentence = "Names of the pins, in the order of their bits in "
                 "registers."},
    {"debug", SHAPE_LIST, SHAPE_REQUIRED, offsetof(struct part_pins, debug),
     .max = PART_MAX_PINS, .of = &pin_in_mask,
     .sentence = "Pins that belong to the debug port and stay alive in "
                 "reset."},
    {"drive_resistance", SHAPE_QUANTITY, SHAPE_REQUIRED,
     offsetof(struct part_pins, drive_resistance), .unit = UNIT_RESISTANCE,
     .min = MOHM_PER_OHM, .max = 10000 * MOHM_PER_OHM,
     .sentence = "Resistance of an output that drives."},
    {"current_limit", SHAPE_QUANTITY, SHAPE_REQUIRED,
     offsetof(struct part_pins, current_limit), .unit = UNIT_CURRENT,
     .min = NA_PER_A / 1000000, .max = NA_PER_A,
     .sentence = "Current that a pin may carry."},
    {"total_limit", SHAPE_QUANTITY, SHAPE_OPTIONAL,
     offsetof(struct part_pins, total_limit), .unit = UNIT_CURRENT,
     .initial = "100mA", .min = NA_PER_A / 1000000, .max = 10 * NA_PER_A,
     .sentence = "Current that all pins together may carry."},
    {"pulled_up", SHAPE_LIST, SHAPE_OPTIONAL,
     offsetof(struct part_pins, pulled_up), .max = PART_MAX_PINS,
     .of = &pin_in_mask,
     .sentence = "Pins that the part pulls up from reset on, while nothing "
                 "drives them."},
    {"pulled_down", SHAPE_LIST, SHAPE_OPTIONAL,
     offsetof(struct part_pins, pulled_down), .max = PART_MAX_PINS,
     .of = &pin_in_mask, .sentence = "Pins that it pulls down."},
    {"below_power_on", SHAPE_EITHER, SHAPE_OPTIONAL,
     offsetof(struct part_pins, undefined_below), .words = below_words,
     .initial = "released",
     .sentence = "What the outputs do while the rail is below power-on."},
    {"clamp", SHAPE_OBJECT, SHAPE_OPTIONAL, 0, .shape = &clamp_shape,
     .sentence = "The clamp from each pin to the rail, which a signal feeds "
                 "the part through while its supply is lower."},
    {"serial", SHAPE_OBJECT, SHAPE_OPTIONAL, 0, .shape = &serial_shape,
     .sentence = "Pins of the serial port."},
    {"serial_2", SHAPE_OBJECT, SHAPE_OPTIONAL, 0, .shape = &more_shape,
     .sentence = "Pins of a second one."},
};

const struct shape part_pins_shape = {
    .what = "the pins", SHAPE_ROWS(pins_rows), .sourced = true};

static const char *const pull_words[] = {"down", "none", "up", NULL};

static const struct shape_row strap_rows[] = {
    {"name", SHAPE_NAME, SHAPE_REQUIRED, offsetof(struct part_strap, name),
     .sentence = "What the strap is called."},
    {"pin", SHAPE_CUSTOM, SHAPE_REQUIRED, offsetof(struct part_strap, pin),
     .of = &name_form, .of_count = 1, .read = part_read_pin,
     .expected = "the name of a pin", .sentence = "The pin that is sampled."},
    {"pull", SHAPE_CHOICE, SHAPE_REQUIRED, offsetof(struct part_strap, pull),
     .words = pull_words, .min = -1,
     .sentence = "What the part pulls it to while it is sampled."},
};

const struct shape part_strap_shape = {
    .what = "a strap", SHAPE_ROWS(strap_rows), .sourced = true, .fact = true};

/* --- blank check -----------------------------------------------------------
 */

static const struct shape_row term_forms[] = {{.kind = SHAPE_NAME},
                                              {.kind = SHAPE_COUNT}};

static const struct shape_row term_form = {
    .kind = SHAPE_CUSTOM,
    .of = term_forms,
    .of_count = 2,
    .read = part_read_term,
    .expected = "the name of a value, or an integer"};

#define OPTION_TERMS "^option\\." NAME_PART "\\." NAME_PART "$"

static const struct shape_row place_form = {
    .kind = SHAPE_TEXT,
    .pattern = "^" NAME_PART "\\+(0x[0-9A-Fa-f]+|[0-9]+)$"};

static const struct shape_row read_rows[] = {
    {"at", SHAPE_CUSTOM, SHAPE_REQUIRED, 0, .of = &place_form, .of_count = 1,
     .read = part_read_place,
     .expected = "a flash region and an offset, such as \"flash+0\"",
     .sentence = "Where it reads: a flash region and an offset."},
    {"bytes", SHAPE_COUNT, SHAPE_REQUIRED, offsetof(struct part_span, bytes),
     .min = 4, .max = 4096, .multiple = 4,
     .sentence = "How many bytes it reads there."},
    {"when", SHAPE_MAP, SHAPE_OPTIONAL, offsetof(struct part_span, terms),
     .max = PART_MAX_TERMS, .stride = sizeof(struct part_term),
     .counted = offsetof(struct part_span, term_count),
     .pattern = OPTION_TERMS, .of = &term_form,
     .sentence = "Option fields that make it count, all of them: a bank that "
                 "is selected."},
};

static const struct shape read_shape = {.what = "a read of the blank check",
                                        SHAPE_ROWS(read_rows)};

static const char *const takes_words[] = {"programmed", "blank", NULL};

static const struct shape_row blank_check_rows[] = {
    {"held", SHAPE_CHOICE, SHAPE_REQUIRED,
     offsetof(struct part_blank_check, held), .words = blank_held_words,
     .sentence = "Whether the outcome is kept in a latch, found afresh at "
                 "every reset, or no check is made."},
    {"reads", SHAPE_LIST, SHAPE_OPTIONAL,
     offsetof(struct part_blank_check, reads), .max = PART_MAX_READS,
     .stride = sizeof(struct part_span),
     .counted = offsetof(struct part_blank_check, read_count),
     .of =
         &(const struct shape_row){.kind = SHAPE_OBJECT, .shape = &read_shape},
     .sentence = "What it reads; blank is when all of it is all ones."},
    {"bad_reads", SHAPE_EITHER, SHAPE_OPTIONAL,
     offsetof(struct part_blank_check, bad_is_blank), .words = takes_words,
     .initial = "programmed",
     .sentence = "What it takes a read for that ECC can't correct."},
    {"programmed_ones", SHAPE_EITHER, SHAPE_OPTIONAL,
     offsetof(struct part_blank_check, ones_are_blank), .words = takes_words,
     .initial = "programmed",
     .sentence = "What it takes all ones for that were programmed, which ECC "
                 "tells from erased cells."},
};

const struct shape part_blank_check_shape = {.what = "the blank check",
                                             SHAPE_ROWS(blank_check_rows),
                                             .sourced = true,
                                             .fact = true};

/* --- protection ------------------------------------------------------------
 */

static const struct shape_row page_rows[] = {
    {"at", SHAPE_CUSTOM, SHAPE_REQUIRED, 0, .of = &place_form, .of_count = 1,
     .read = part_read_place,
     .expected = "a flash region and an offset, such as \"flash+0\"",
     .sentence = "Where it begins: a flash region and an offset."},
    {"size", SHAPE_BYTES, SHAPE_REQUIRED, offsetof(struct part_span, bytes),
     .min = 16, .max = 16 * MIB, .multiple = 16,
     .sentence = "How many bytes are protected."},
    {"when", SHAPE_MAP, SHAPE_REQUIRED, offsetof(struct part_span, terms),
     .max = PART_MAX_TERMS, .stride = sizeof(struct part_term),
     .counted = offsetof(struct part_span, term_count),
     .pattern = OPTION_TERMS, .of = &term_form,
     .sentence = "Option fields that protect it, all of them."},
};

static const struct shape page_shape = {.what = "a protected range",
                                        SHAPE_ROWS(page_rows)};

static const struct shape_row readout_rows[] = {
    {"when", SHAPE_MAP, SHAPE_REQUIRED,
     offsetof(struct part_protection, readout), .min = 1,
     .max = PART_MAX_TERMS, .stride = sizeof(struct part_term),
     .counted = offsetof(struct part_protection, readout_count),
     .pattern = OPTION_TERMS, .of = &term_form,
     .sentence = "Option fields that lock it, all of them."},
    {"debug", SHAPE_FLAG, SHAPE_OPTIONAL,
     offsetof(struct part_protection, denies_debug), .initial = "true",
     .sentence = "Whether the debug port then can neither read nor change "
                 "flash, but erase all of it."},
    {"starts", SHAPE_FLAG, SHAPE_OPTIONAL,
     offsetof(struct part_protection, denies_starts), .initial = "true",
     .sentence = "Whether flash then reads as zeros to a start from ROM or "
                 "RAM."},
};

static const struct shape readout_shape = {.what = "a readout lock",
                                           SHAPE_ROWS(readout_rows)};

static const struct shape_row protection_rows[] = {
    {"pages", SHAPE_LIST, SHAPE_OPTIONAL,
     offsetof(struct part_protection, pages), .max = PART_MAX_PROTECTED,
     .stride = sizeof(struct part_span),
     .counted = offsetof(struct part_protection, page_count),
     .of =
         &(const struct shape_row){.kind = SHAPE_OBJECT, .shape = &page_shape},
     .sentence = "Ranges of flash in which every order is refused."},
    {"readout", SHAPE_OBJECT, SHAPE_OPTIONAL, 0, .shape = &readout_shape,
     .sentence = "What keeps flash from being read. An option write that "
                 "lifts it erases all flash first."},
};

const struct shape part_protection_shape = {.what = "protection by options",
                                            SHAPE_ROWS(protection_rows)};

/* --- start rules -----------------------------------------------------------
 */

static const struct shape_row rule_rows[] = {
    {"rule", SHAPE_NAME, SHAPE_REQUIRED, offsetof(struct part_rule, name),
     .sentence = "What the rule is called in reports."},
    {"about", SHAPE_TEXT, SHAPE_OPTIONAL, offsetof(struct part_rule, about),
     .sentence = "Why it decides, in a sentence for those who know the part; "
                 "left out, its conditions are told."},
    {"newcomer", SHAPE_TEXT, SHAPE_OPTIONAL,
     offsetof(struct part_rule, newcomer),
     .sentence = "The same for those who have never heard of it."},
    {"when", SHAPE_MAP, SHAPE_OPTIONAL, offsetof(struct part_rule, terms),
     .max = PART_MAX_TERMS, .stride = sizeof(struct part_term),
     .counted = offsetof(struct part_rule, term_count),
     .pattern = "^(latch|strap\\." NAME_PART "|option\\." NAME_PART
                "\\." NAME_PART ")$",
     .of = &term_form,
     .sentence = "What must hold, all of it: \"latch\", \"strap.NAME\", "
                 "\"option.WORD.FIELD\"; with nothing in it, the rule always "
                 "holds."},
    {"start", SHAPE_CUSTOM, SHAPE_REQUIRED, offsetof(struct part_rule, memory),
     .of = &name_form, .of_count = 1, .read = part_read_region,
     .expected = "the name of a memory region",
     .sentence = "The region that is then seen at address 0, and started."},
};

const struct shape part_rule_shape = {.what = "a start rule",
                                      SHAPE_ROWS(rule_rows),
                                      .sourced = true,
                                      .fact = true};

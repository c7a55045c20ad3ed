/* The forms of a "probe" step, by what the probe does. */
#include "describe/case_forms.h"
#include "describe/names.h"
#include "describe/shape_value.h"

#define WORD(name, word) static const char *const name[] = {word, NULL}
WORD(probe_attach, "attach");
WORD(probe_detach, "detach");
WORD(probe_read, "read");
WORD(probe_erase, "erase");
WORD(probe_step, "step");
WORD(probe_set, "set");
WORD(probe_registers, "registers");
WORD(probe_reset, "reset");
WORD(probe_start, "start");
static const char *const probe_others[] = {"halt", "go", NULL};
_Static_assert(PROBE_GO == PROBE_HALT + 1, "the order of probe_others");

#define PROBE(list, first, text)                                              \
  {                                                                           \
    "probe", SHAPE_CHOICE, SHAPE_REQUIRED, offsetof(struct step, probe),      \
        .words = list, .min = first, .sentence = text                         \
  }
#define FORM(name, rows, text)                                                \
  const struct shape name = {                                                 \
      .what = text, SHAPE_ROWS(rows), .also = &case_step_shape}

/* --- attach and detach --------------------------------------------------- */

static const struct shape_row attach_rows[] = {
    PROBE(probe_attach, PROBE_ATTACH, "Attach the probe and halt the core."),
    {"reset", SHAPE_CHOICE, SHAPE_OPTIONAL, offsetof(struct step, attach),
     .words = attach_words, .initial = "running",
     .sentence = "\"held\": pull the reset line first, and halt at the "
                 "vector; \"pulsed\": pull it and let it go first; "
                 "\"running\": leave it alone."},
    {"after", SHAPE_AMOUNT, SHAPE_OPTIONAL, offsetof(struct step, after),
     .unit = UNIT_TIME, .max = CASE_MAX_TIME, .initial = "0s",
     .sentence = "Time that passes before it attaches, behind a pulse of the "
                 "reset line; a person's hand, or a slow probe."},
};
FORM(case_attach_shape, attach_rows, "attaching the probe");

static const char *const leaves_words[] = {"debug", "nothing", NULL};

static const struct shape_row detach_rows[] = {
    PROBE(probe_detach, PROBE_DETACH,
          "Detach the probe; a halted core goes on."),
    {"leaves", SHAPE_EITHER, SHAPE_OPTIONAL, offsetof(struct step, cleans),
     .words = leaves_words, .initial = "debug",
     .sentence = "What stays behind: debug enable, as with most probes, or "
                 "nothing."},
};
FORM(case_detach_shape, detach_rows, "detaching the probe");

/* --- words and registers ------------------------------------------------- */

static const struct shape_row read_rows[] = {
    PROBE(probe_read, PROBE_READ, "Have the probe read a word."),
    {"at", SHAPE_HEX, SHAPE_OPTIONAL, offsetof(struct step, at),
     .has = offsetof(struct step, has_at), .multiple = 4,
     .sentence = "Where; or else \"register\"."},
    {"register", SHAPE_CHOICE, SHAPE_OPTIONAL, offsetof(struct step, reg),
     .has = offsetof(struct step, has_reg), .words = core_register_words,
     .sentence = "Of the core, which must be halted."},
};
FORM(case_probe_read_shape, read_rows, "a read by the probe");

static const struct shape_row registers_rows[] = {
    PROBE(probe_registers, PROBE_REGISTERS,
          "Have the probe read all registers of a halted core."),
};
FORM(case_probe_registers_shape, registers_rows, "a look at the registers");

static const struct shape_row set_rows[] = {
    PROBE(probe_set, PROBE_SET,
          "Have the probe set a register of a halted core."),
    {"register", SHAPE_CHOICE, SHAPE_REQUIRED, offsetof(struct step, reg),
     .has = offsetof(struct step, has_reg), .words = core_register_words,
     .sentence = "Which."},
    {"value", SHAPE_HEX, SHAPE_REQUIRED, offsetof(struct step, value),
     .sentence = "To what."},
};
FORM(case_probe_set_shape, set_rows, "a register that the probe sets");

static const struct shape_row erase_rows[] = {
    PROBE(probe_erase, PROBE_ERASE, "Have the probe erase flash."),
    {"at", SHAPE_HEX, SHAPE_OPTIONAL, offsetof(struct step, at),
     .has = offsetof(struct step, has_at),
     .sentence = "An address in the page to erase; left out, everything."},
};
FORM(case_probe_erase_shape, erase_rows, "an erase by the probe");

/* --- the core goes and stops --------------------------------------------- */

static const struct shape_row others_rows[] = {
    PROBE(probe_others, PROBE_HALT, "Halt the core, or let it go."),
};
FORM(case_probe_shape, others_rows, "a \"probe\" step");

static const struct shape_row step_rows[] = {
    PROBE(probe_step, PROBE_STEP,
          "Let a halted core execute one instruction, or some."),
    {"count", SHAPE_COUNT, SHAPE_OPTIONAL, offsetof(struct step, count),
     .min = 1, .max = 10000, .initial = "1", .sentence = "How many."},
};
FORM(case_probe_step_shape, step_rows, "a single step");

static const struct shape_row reset_rows[] = {
    PROBE(probe_reset, PROBE_RESET, "Have the probe reset the part."),
    {"by", SHAPE_CHOICE, SHAPE_OPTIONAL, offsetof(struct step, way),
     .words = reset_way_words, .initial = "line",
     .sentence = "Through the reset line, through a request to the part "
                 "(AIRCR), or of the core alone."},
    {"catch", SHAPE_FLAG, SHAPE_OPTIONAL, offsetof(struct step, catch),
     .initial = "false",
     .sentence = "Halt at the vector, before the first instruction."},
    {"hold", SHAPE_AMOUNT, SHAPE_OPTIONAL, offsetof(struct step, lasts),
     .unit = UNIT_TIME, .min = 1, .max = CASE_MAX_TIME, .initial = "20us",
     .sentence = "For how long the line is low."},
};
FORM(case_probe_reset_shape, reset_rows, "a reset by the probe");

static const struct shape_row image_form = {.kind = SHAPE_NAME};

static enum sim_status read_image(struct shape_reader *r,
                                  const struct shape_row *row,
                                  const struct json *value, void *target)
{
  (void)row;
  return case_find_image(r, value, target);
}

static const struct shape_row start_rows[] = {
    PROBE(probe_start, PROBE_START,
          "Have the probe set stack pointer, program counter and vector base "
          "from a vector table, and let the core go: load and go."),
    {"image", SHAPE_CUSTOM, SHAPE_OPTIONAL, offsetof(struct step, image),
     .has = offsetof(struct step, has_image), .of = &image_form, .of_count = 1,
     .read = read_image, .expected = "the name of an image",
     .sentence = "Whose table, at its first byte; or else \"at\"."},
    {"at", SHAPE_HEX, SHAPE_OPTIONAL, offsetof(struct step, at),
     .has = offsetof(struct step, has_at), .multiple = 4,
     .sentence = "Where the table is."},
};
FORM(case_probe_start_shape, start_rows, "a start by the probe");

/* The forms of a "send" step, by what is sent; the host and the neighbours of
 * the board. */
#include <string.h>

#include "describe/case_forms.h"
#include "describe/case_shape.h"
#include "describe/names.h"
#include "describe/shape_value.h"

#define MAX_BAUD 10000000

/* --- octets -------------------------------------------------------------- */

static const struct shape_row text_form = {.kind = SHAPE_TEXT,
                                           .pattern = "^([0-9a-fA-F]{2})+$"};

static int digit(char c)
{
  static const char digits[] = "0123456789abcdef";
  const char *at = c == '\0' ? NULL : strchr(digits, c | 0x20);
  return at == NULL ? -1 : (int)(at - digits);
}

static enum sim_status read_octets(struct shape_reader *r,
                                   const struct shape_row *row,
                                   const struct json *value, void *target)
{
  struct case_octets *octets = target;
  size_t length = strlen(value->text);
  size_t good = 0;
  while (good < length && digit(value->text[good]) >= 0)
    good++;
  if (good != length || length == 0 || length % 2 != 0 ||
      length > 2 * CASE_MAX_OCTETS)
    return shape_expected(r, value, SIM_RANGE, row->expected);
  uint8_t *at = arena_array(r->arena, (uint32_t)length / 2, 1);
  for (size_t i = 0; i < length; i += 2)
    at[i / 2] =
        (uint8_t)(digit(value->text[i]) << 4 | digit(value->text[i + 1]));
  *octets = (struct case_octets){at, (uint32_t)length / 2};
  return SIM_OK;
}

#define OCTETS_EXPECTED                                                       \
  "1 to 512 octets, each two hexadecimal digits, such as \"7ec201\""

/* --- the board's host and neighbours ------------------------------------- */

static const struct shape_row host_rows[] = {
    {"to", SHAPE_NAME, SHAPE_OPTIONAL, offsetof(struct case_host, to),
     .sentence = "The pin of the part that it drives; left out, the first "
                 "serial port's receive pin."},
    {"from", SHAPE_NAME, SHAPE_OPTIONAL, offsetof(struct case_host, from),
     .sentence = "The pin of the part that it hears; left out, the first "
                 "serial port's transmit pin."},
    {"baud", SHAPE_COUNT, SHAPE_OPTIONAL, offsetof(struct case_host, baud),
     .min = 50, .max = MAX_BAUD, .initial = "115200",
     .sentence = "Bits a second."},
    {"timeout", SHAPE_AMOUNT, SHAPE_OPTIONAL,
     offsetof(struct case_host, timeout), .unit = UNIT_TIME, .min = PS_PER_US,
     .max = 100 * PS_PER_S, .initial = "100ms",
     .sentence = "How long it waits for an answer."},
    {"retries", SHAPE_COUNT, SHAPE_OPTIONAL,
     offsetof(struct case_host, retries), .max = 100, .initial = "1",
     .sentence = "How often it asks again where none comes."},
    {"attached", SHAPE_FLAG, SHAPE_OPTIONAL,
     offsetof(struct case_host, attached), .initial = "true",
     .sentence = "Whether it is plugged in when the script begins."},
};

static const struct shape host_shape = {.what = "the host",
                                        SHAPE_ROWS(host_rows)};

const struct shape_row case_host_form = {.kind = SHAPE_OBJECT,
                                         .shape = &host_shape};

enum sim_status case_read_host(struct shape_reader *r,
                               const struct shape_row *row,
                               const struct json *value, void *target)
{
  struct case_host *host = target;
  host->present = true;
  host->line = value->line;
  return shape_read(r, row->of->shape, value, host);
}

static const struct shape_row neighbour_rows[] = {
    {"name", SHAPE_NAME, SHAPE_REQUIRED, offsetof(struct case_neighbour, name),
     .sentence = "What it is called."},
    {"to", SHAPE_NAME, SHAPE_REQUIRED, offsetof(struct case_neighbour, to),
     .sentence = "The pin of the part that it drives."},
    {"baud", SHAPE_COUNT, SHAPE_OPTIONAL,
     offsetof(struct case_neighbour, baud), .min = 50, .max = MAX_BAUD,
     .initial = "9600", .sentence = "Bits a second."},
    {"bytes", SHAPE_CUSTOM, SHAPE_REQUIRED,
     offsetof(struct case_neighbour, octets), .of = &text_form, .of_count = 1,
     .read = read_octets, .expected = OCTETS_EXPECTED,
     .sentence = "What it says each time, in hexadecimal digits."},
    {"every", SHAPE_AMOUNT, SHAPE_REQUIRED,
     offsetof(struct case_neighbour, every), .unit = UNIT_TIME,
     .min = PS_PER_US, .max = CASE_MAX_TIME,
     .sentence = "How often it says it, from begin to begin."},
};

static const struct shape neighbour_shape = {.what = "a neighbour",
                                             SHAPE_ROWS(neighbour_rows)};

static const struct shape_row neighbour_form = {.kind = SHAPE_OBJECT,
                                                .shape = &neighbour_shape};

static enum sim_status read_neighbour(struct shape_reader *r,
                                      const struct shape_row *row,
                                      const struct json *value, void *target)
{
  struct case_neighbour *neighbour = target;
  neighbour->line = value->line;
  return shape_read(r, row->of->shape, value, neighbour);
}

const struct shape_row case_neighbour_row = {.kind = SHAPE_CUSTOM,
                                             .of = &neighbour_form,
                                             .of_count = 1,
                                             .read = read_neighbour};

/* --- send ---------------------------------------------------------------- */

const char *const case_send_words[] = {"hello",   "wipe",   "put",   "get",
                                       "compare", "launch", "bytes", "attach",
                                       "detach",  NULL};
static const char *const hello_words[] = {"hello", NULL};
static const char *const wipe_words[] = {"wipe", NULL};
static const char *const put_words[] = {"put", NULL};
static const char *const get_words[] = {"get", NULL};
static const char *const compare_words[] = {"compare", NULL};
static const char *const launch_words[] = {"launch", NULL};
static const char *const bytes_words[] = {"bytes", NULL};
static const char *const cable_words[] = {"attach", "detach", NULL};
_Static_assert(REQUEST_DETACH == REQUEST_ATTACH + 1, "order of cable_words");

static enum sim_status read_image_name(struct shape_reader *r,
                                       const struct shape_row *row,
                                       const struct json *value, void *target)
{
  (void)row;
  return case_find_image(r, value, target);
}

static const struct shape_row name_form = {.kind = SHAPE_NAME};

#define SENDS(list, first, text)                                              \
  {                                                                           \
    "send", SHAPE_CHOICE, SHAPE_REQUIRED, offsetof(struct step, request),     \
        .words = (list), .min = (first), .sentence = (text)                   \
  }
#define IMAGE(text)                                                           \
  {                                                                           \
    "image", SHAPE_CUSTOM, SHAPE_REQUIRED, offsetof(struct step, image),      \
        .of = &name_form, .of_count = 1, .read = read_image_name,             \
        .expected = "the name of an image", .sentence = (text)                \
  }
#define SEND_SHAPE(name, text)                                                \
  const struct shape case_##name##_shape = {                                  \
      .what = (text), SHAPE_ROWS(name##_rows), .also = &case_step_shape}

/* Words that take nothing beside them. */
static const struct shape_row plain_forms[] = {
    {.kind = SHAPE_CHOICE, .words = hello_words, .min = REQUEST_HELLO},
    {.kind = SHAPE_CHOICE, .words = cable_words, .min = REQUEST_ATTACH}};

static enum sim_status read_plain(struct shape_reader *r,
                                  const struct shape_row *row,
                                  const struct json *value, void *target)
{
  bool hello = strcmp(value->text, hello_words[0]) == 0;
  return shape_read_word(r, &row->of[hello ? 0 : 1], value, target);
}

static const struct shape_row send_rows[] = {
    {"send", SHAPE_CUSTOM, SHAPE_REQUIRED, offsetof(struct step, request),
     .of = plain_forms, .of_count = 2, .read = read_plain,
     .expected = "\"hello\", \"attach\" or \"detach\"",
     .sentence = "Ask the boot ROM who it is; plug the host in; unplug it."},
};
SEND_SHAPE(send, "a \"send\" step");

static const struct shape_row send_wipe_rows[] = {
    SENDS(wipe_words, REQUEST_WIPE, "Have flash erased."),
    {"at", SHAPE_HEX, SHAPE_OPTIONAL, offsetof(struct step, at),
     .has = offsetof(struct step, has_at),
     .sentence = "Where the first page begins; left out, everything is "
                 "erased."},
    {"pages", SHAPE_COUNT, SHAPE_OPTIONAL, offsetof(struct step, pages),
     .min = 1, .max = 65534, .initial = "1",
     .sentence = "How many pages from there."},
};
SEND_SHAPE(send_wipe, "a wipe by the host");

static const struct shape_row send_put_rows[] = {
    SENDS(put_words, REQUEST_PUT, "Have an image programmed."),
    IMAGE("Which one; nothing is erased before."),
};
SEND_SHAPE(send_put, "a put by the host");

static const struct shape_row send_compare_rows[] = {
    SENDS(compare_words, REQUEST_COMPARE,
          "Have what is in flash compared with an image."),
    IMAGE("Which one."),
};
SEND_SHAPE(send_compare, "a compare by the host");

static const struct shape_row send_get_rows[] = {
    SENDS(get_words, REQUEST_GET, "Read a word."),
    {"at", SHAPE_HEX, SHAPE_REQUIRED, offsetof(struct step, at),
     .has = offsetof(struct step, has_at), .sentence = "Where."},
};
SEND_SHAPE(send_get, "a get by the host");

static const struct shape_row send_launch_rows[] = {
    SENDS(launch_words, REQUEST_LAUNCH,
          "Have a program started, without a reset."),
    {"at", SHAPE_HEX, SHAPE_OPTIONAL, offsetof(struct step, at),
     .has = offsetof(struct step, has_at),
     .sentence = "Where its vector table is; left out, at the base of "
                 "flash."},
};
SEND_SHAPE(send_launch, "a launch by the host");

static const struct shape_row send_bytes_rows[] = {
    SENDS(bytes_words, REQUEST_BYTES,
          "Send octets as they are, and listen for an answer."),
    {"bytes", SHAPE_CUSTOM, SHAPE_REQUIRED, offsetof(struct step, octets),
     .of = &text_form, .of_count = 1, .read = read_octets,
     .expected = OCTETS_EXPECTED, .sentence = "In hexadecimal digits."},
};
SEND_SHAPE(send_bytes, "bytes from the host");

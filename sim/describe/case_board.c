/* The nets of a case's board. */
#include <inttypes.h>
#include <string.h>

#include "describe/case_shape.h"
#include "describe/names.h"

#define UV       INT64_C(1000000) /* per volt */
#define OHM      INT64_C(1000)    /* milliohm */
#define MAX_MOHM (100000000 * OHM)

/* --- what is on a net ---------------------------------------------------- */

static const struct shape_row led_rows[] = {
    {"to", SHAPE_CHOICE, SHAPE_REQUIRED, offsetof(struct case_led, to),
     .words = net_level_words,
     .sentence = "Where its other end is: at ground it lights when the net is "
                 "high, at the supply when it is low."},
    {"drop", SHAPE_AMOUNT, SHAPE_OPTIONAL, offsetof(struct case_led, drop_uv),
     .unit = UNIT_VOLTAGE, .max = 10 * UV, .initial = "1.8V",
     .sentence = "Its forward voltage."},
    {"through", SHAPE_AMOUNT, SHAPE_REQUIRED,
     offsetof(struct case_led, through_mohm), .unit = UNIT_RESISTANCE,
     .min = OHM, .max = MAX_MOHM,
     .sentence = "The resistor in series with it."},
};

static const struct shape led_shape = {.what = "a light-emitting diode",
                                       SHAPE_ROWS(led_rows)};

static const struct shape_row led_form = {.kind = SHAPE_OBJECT,
                                          .shape = &led_shape};

/* Custom, so that a net without one has no values of it. */
static enum sim_status read_led(struct shape_reader *r,
                                const struct shape_row *row,
                                const struct json *value, void *target)
{
  return shape_read(r, row->of->shape, value, target);
}

static const struct shape_row driver_rows[] = {
    {"driver", SHAPE_NAME, SHAPE_REQUIRED, offsetof(struct case_driver, name),
     .sentence = "What it is called; a \"drive\" step may name it."},
    {"kind", SHAPE_EITHER, SHAPE_OPTIONAL,
     offsetof(struct case_driver, open_drain), .words = driver_kind_words,
     .initial = "push-pull",
     .sentence = "Whether it drives both levels, or only ever pulls low."},
    {"resistance", SHAPE_AMOUNT, SHAPE_OPTIONAL,
     offsetof(struct case_driver, resistance_mohm), .unit = UNIT_RESISTANCE,
     .min = OHM, .max = MAX_MOHM, .initial = "40ohm",
     .sentence = "Resistance of its output."},
    {"level", SHAPE_CHOICE, SHAPE_OPTIONAL,
     offsetof(struct case_driver, level), .words = drive_words,
     .initial = "release", .sentence = "What it does when the script begins."},
};

static const struct shape driver_shape = {.what = "a driver",
                                          SHAPE_ROWS(driver_rows)};

static const struct shape_row driver_form = {.kind = SHAPE_OBJECT,
                                             .shape = &driver_shape};

static enum sim_status read_driver(struct shape_reader *r,
                                   const struct shape_row *row,
                                   const struct json *value, void *target)
{
  struct case_driver *driver = target;
  driver->line = value->line;
  return shape_read(r, row->of->shape, value, driver);
}

/* --- a net --------------------------------------------------------------- */

#define PULL .unit = UNIT_RESISTANCE, .min = OHM, .max = MAX_MOHM

static const struct shape_row net_rows[] = {
    {"net", SHAPE_NAME, SHAPE_REQUIRED, offsetof(struct case_net, name),
     .sentence = "What the net is called."},
    {"pins", SHAPE_LIST, SHAPE_REQUIRED, offsetof(struct case_net, pins),
     .min = 1, .max = 8, .stride = sizeof(const char *),
     .counted = offsetof(struct case_net, pin_count),
     .of = &(const struct shape_row){.kind = SHAPE_NAME},
     .sentence = "Pins of the part that it joins."},
    {"series", SHAPE_AMOUNT, SHAPE_OPTIONAL,
     offsetof(struct case_net, series_mohm), .unit = UNIT_RESISTANCE,
     .max = MAX_MOHM, .initial = "0ohm",
     .sentence = "Resistance between each of these pins and the net."},
    {"to", SHAPE_CHOICE, SHAPE_OPTIONAL, offsetof(struct case_net, to),
     .has = offsetof(struct case_net, fixed), .words = net_level_words,
     .sentence = "The level that the board ties it to."},
    {"through", SHAPE_AMOUNT, SHAPE_OPTIONAL,
     offsetof(struct case_net, through_mohm), .unit = UNIT_RESISTANCE,
     .max = MAX_MOHM, .initial = "0ohm",
     .sentence = "Resistance on the way to that level."},
    {"pull_up", SHAPE_AMOUNT, SHAPE_OPTIONAL,
     offsetof(struct case_net, pull_up_mohm), PULL,
     .sentence = "A resistor to the supply."},
    {"pull_down", SHAPE_AMOUNT, SHAPE_OPTIONAL,
     offsetof(struct case_net, pull_down_mohm), PULL,
     .sentence = "A resistor to ground."},
    {"led", SHAPE_CUSTOM, SHAPE_OPTIONAL, offsetof(struct case_net, led),
     .has = offsetof(struct case_net, has_led), .of = &led_form, .of_count = 1,
     .read = read_led,
     .sentence = "A light-emitting diode with its resistor."},
    {"drivers", SHAPE_LIST, SHAPE_OPTIONAL, offsetof(struct case_net, drivers),
     .max = CASE_MAX_DRIVERS, .stride = sizeof(struct case_driver),
     .counted = offsetof(struct case_net, driver_count),
     .of = &(const struct shape_row){.kind = SHAPE_CUSTOM,
                                     .of = &driver_form,
                                     .of_count = 1,
                                     .read = read_driver},
     .sentence = "Outputs of other chips on it."},
};

static const struct shape net_shape = {.what = "a net", SHAPE_ROWS(net_rows)};

static const struct shape_row net_form = {.kind = SHAPE_OBJECT,
                                          .shape = &net_shape};

static enum sim_status read_net(struct shape_reader *r,
                                const struct shape_row *row,
                                const struct json *value, void *target)
{
  struct case_net *net = target;
  net->line = value->line;
  return shape_read(r, row->of->shape, value, net);
}

const struct shape_row case_net_row = {
    .kind = SHAPE_CUSTOM, .of = &net_form, .of_count = 1, .read = read_net};

/* --- what its reader can't see ------------------------------------------- */

/* A pin is on one net, and a net has a name of its own. */
static enum sim_status check_twice(const struct json *value,
                                   const struct json *other,
                                   struct sim_error *err)
{
  if (strcmp(value->text, other->text) != 0) return SIM_OK;
  return json_fail(value, SIM_KEY, err,
                   "is \"%s\", as in line %" PRIu32 "; expected each %s once",
                   value->text, other->line, value->key ? value->key : "pin");
}

static enum sim_status check_pin(const struct json *nets,
                                 const struct json *pin, struct sim_error *err)
{
  for (const struct json *n = nets->child; n; n = n->next) {
    for (const struct json *p = json_get(n, "pins")->child; p; p = p->next) {
      if (p == pin) return SIM_OK;
      enum sim_status status = check_twice(pin, p, err);
      if (status != SIM_OK) return status;
    }
  }
  return SIM_OK;
}

/* Drivers are known by name over the whole board. */
static enum sim_status check_driver(const struct json *nets,
                                    const struct json *driver,
                                    struct sim_error *err)
{
  for (const struct json *n = nets->child; n; n = n->next) {
    const struct json *list = json_get(n, "drivers");
    for (const struct json *d = list ? list->child : NULL; d; d = d->next) {
      if (d == driver) return SIM_OK;
      enum sim_status status =
          check_twice(json_get(driver, "driver"), json_get(d, "driver"), err);
      if (status != SIM_OK) return status;
    }
  }
  return SIM_OK;
}

static enum sim_status check_drivers(const struct json *nets,
                                     const struct json *net,
                                     struct sim_error *err)
{
  const struct json *list = json_get(net, "drivers");
  for (const struct json *d = list ? list->child : NULL; d; d = d->next) {
    enum sim_status status = check_driver(nets, d, err);
    if (status != SIM_OK) return status;
  }
  return SIM_OK;
}

static enum sim_status check_net(const struct json *nets,
                                 const struct json *net, struct sim_error *err)
{
  for (const struct json *n = nets->child; n != net; n = n->next) {
    enum sim_status status =
        check_twice(json_get(net, "net"), json_get(n, "net"), err);
    if (status != SIM_OK) return status;
  }
  for (const struct json *p = json_get(net, "pins")->child; p; p = p->next) {
    enum sim_status status = check_pin(nets, p, err);
    if (status != SIM_OK) return status;
  }
  const struct json *through = json_get(net, "through");
  if (through && !json_get(net, "to")) {
    return json_fail_key(through, SIM_KEY, err,
                         "stands alone; expected \"to\" beside it: the level "
                         "at the other end");
  }
  return check_drivers(nets, net, err);
}

enum sim_status case_check_nets(const struct json *root, struct sim_error *err)
{
  const struct json *board = json_get(root, "board");
  const struct json *nets = board ? json_get(board, "nets") : NULL;
  if (!nets) return SIM_OK;
  for (const struct json *n = nets->child; n; n = n->next) {
    enum sim_status status = check_net(nets, n, err);
    if (status != SIM_OK) return status;
  }
  return SIM_OK;
}

/* A board around five pins, its trace kept. */
#ifndef NETS_FIXTURE_H
#define NETS_FIXTURE_H

#include <string.h>

#include "board/nets.h"
#include "chip_fixture.h"
#include "rows.h"

#define OHM  INT64_C(1000) /* milliohm */
#define KOHM INT64_C(1000000)
#define MA   INT64_C(1000000) /* nA */

/* Outputs of 35 ohm that may carry 20 mA. */
static const struct part part = {
    .name = "plain",
    .pins = {.names = {"P0", "P1", "P2", "P3", "P4"},
             .count = 5,
             .drive_resistance = EXACTLY(35 * OHM),
             .current_limit = EXACTLY(20 * MA)},
};

struct board {
  struct pins pins;
  struct trace trace;
  struct nets nets;
};

static inline enum sim_status
set_up(struct board *b, const struct case_script *s, struct sim_error *err)
{
  memset(b, 0, sizeof *b);
  kept_init(&b->trace);
  pins_init(&b->pins, &part);
  enum sim_status status =
      nets_init(&b->nets, s, &part, &b->pins, &b->trace, err);
  if (status == SIM_OK) nets_connect(&b->nets);
  return status;
}

static inline struct moment at(ps_t ps)
{
  return (struct moment){ps, ps / PS_PER_US};
}

static inline void output(struct board *b, uint32_t pin, bool on, bool high,
                          ps_t ps)
{
  uint64_t bit = UINT64_C(1) << pin;
  pins_level(&b->pins, bit, high ? bit : 0, at(ps), &b->trace);
  pins_output(&b->pins, bit, on ? bit : 0, at(ps), &b->trace);
}

#endif

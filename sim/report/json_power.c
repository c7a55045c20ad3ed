#include "report/json_power.h"

#include <inttypes.h>

static void put_number(struct json_out *to, const char *key, bool is_there,
                       int64_t value)
{
  if (is_there)
    json_add_format(to, key, "%" PRId64, value);
  else
    json_add_null(to, key);
}

static void put_cycle(struct json_out *list, const struct power_cycle *c)
{
  struct json_out *to = json_add_object(list, NULL);
  bool reset =
      c->answer == POWER_CYCLE_POWER_ON || c->answer == POWER_CYCLE_BROWN_OUT;
  json_add_integer(to, "step", c->step);
  json_add_text(to, "kind", c->dip ? "dip" : "off");
  json_add_format(to, "at_ps", "%" PRId64, c->at);
  put_number(to, "back_ps", c->came_back, c->back);
  json_add_text(to, "answer", power_cycle_word(c->answer));
  put_number(to, "lowest_uv", c->came_back, c->lowest);
  put_number(to, "below_rearm_ps", reset, c->below_rearm);
  if (c->missed != NULL)
    json_add_text(to, "missed", c->missed);
  else
    json_add_null(to, "missed");
  json_add_boolean(to, "ram_kept", c->ram_kept);
  json_add_boolean(to, "back_powered", c->fed);
  json_add_integer(to, "started", c->started);
  put_number(to, "enough_ps", c->came_back && !c->never, c->enough);
  put_number(to, "stays_uv", c->came_back && c->never, c->stays);
}

void json_power(struct json_out *to, const struct result *r)
{
  struct json_out *cycles = json_add_list(to, "power_cycles");
  for (uint32_t i = 0; i < r->power_cycle_count; i++)
    put_cycle(cycles, &r->power_cycles[i]);
  json_add_integer(to, "brown_outs", r->brown_outs);
  json_add_format(to, "charge_nc", "%" PRId64, r->charge_nc);
}

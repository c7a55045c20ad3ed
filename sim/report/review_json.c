#include <inttypes.h>

#include "report/review_report.h"

static void put_text(struct json_out *to, const char *key, const char *text)
{
  if (text) {
    json_add_text(to, key, text);
  } else {
    json_add_null(to, key);
  }
}

static void put_levels(struct json_out *to, const struct review_pin *p)
{
  struct json_out *levels = json_add_list(to, "levels");
  json_add_text(levels, NULL, p->first_high ? "high" : "low");
  if (p->high && p->low)
    json_add_text(levels, NULL, p->first_high ? "low" : "high");
}

static void put_pin(struct json_out *list, const struct review_pin *p)
{
  struct json_out *to = json_add_object(list, NULL);
  json_add_text(to, "pin", p->pin);
  put_text(to, "net", p->net);
  put_levels(to, p);
  json_add_format(to, "after_ps", "%" PRId64, p->after);
  if (p->pc != 0) {
    json_add_format(to, "pc", "0x%08" PRIx32, p->pc);
  } else {
    json_add_null(to, "pc");
  }
  put_text(to, "symbol", p->symbol);
  json_add_text(to, "worst", p->worst_high ? "high" : "low");
  json_add_integer(to, "current_na", p->current_na);
  json_add_integer(to, "part_nw", p->part_nw);
  json_add_integer(to, "net_nw", p->net_nw);
  json_add_boolean(to, "harmful", p->series_mohm > 0);
  json_add_integer(to, "series_mohm", p->series_mohm);
}

void review_json(struct json_out *to, const struct review *r)
{
  json_add_boolean(to, "rom_ran", r->rom_ran);
  json_add_boolean(to, "forced", r->forced);
  put_text(to, "rule", r->rule);
  json_add_format(to, "watched_ps", "%" PRId64, r->watched);
  struct json_out *pins = json_add_list(to, "pins");
  for (uint32_t i = 0; i < r->pin_count; i++)
    put_pin(pins, &r->pins[i]);
  json_add_integer(to, "harmful", r->harmful);
  json_add_integer(to, "supply_uv", r->supply_uv);
  json_add_integer(to, "driver_mohm", r->driver_mohm);
  json_add_integer(to, "limit_na", r->limit_na);
  json_add_integer(to, "sum_na", r->sum_na);
  json_add_integer(to, "total_limit_na", r->total_limit_na);
  json_add_boolean(to, "undefined_below_power_on", r->undefined_below);
}

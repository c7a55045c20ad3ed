/* json_power.h -- the offs and dips of the supply, and what it gave.
 */
#ifndef REPORT_JSON_POWER_H
#define REPORT_JSON_POWER_H

#include "base/json.h"
#include "describe/result.h"

/* Adds "power_cycles", "brown_outs" and "charge_nc". */
void json_power(struct json_out *to, const struct result *result);

#endif

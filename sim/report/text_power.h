/* text_power.h -- was that a power cycle? One item for every off and dip.
 */
#ifndef REPORT_TEXT_POWER_H
#define REPORT_TEXT_POWER_H

#include "describe/result.h"
#include "report/page.h"

void text_power(struct page *page, const struct result *result);

#endif

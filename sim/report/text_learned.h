/* text_learned.h -- what was learned about registers that nothing describes,
 * as lines of the text report.
 *
 * Owns, borrows: nothing.
 */
#ifndef REPORT_TEXT_LEARNED_H
#define REPORT_TEXT_LEARNED_H

#include "describe/result.h"
#include "report/page.h"

/* Nothing if nothing was learned. */
void text_learned(struct page *page, const struct result *result);

#endif

/* text_glance.h -- the starts of a run at a glance: two lines each, and the
 * rules that decided.
 *
 *   start  at          cause     latch         region  rule
 *       1  360.083 us  power_on  blank         rom     latch-blank
 *          waiting for the host; then reset; 285 ROM instructions; drove P9
 *       2  30.909 ms   pin       blank, stale  rom     latch-blank
 *          ...
 *   rules
 *     latch-blank  ...
 *
 * Columns are as wide as what is in them; what has no room flows on.
 *
 * Owns, borrows: nothing.
 */
#ifndef REPORT_TEXT_GLANCE_H
#define REPORT_TEXT_GLANCE_H

#include "describe/result.h"
#include "report/page.h"
#include "report/text.h"

/* At least one start. */
void text_glance(struct page *page, const struct result *result,
                 enum text_words words);

/* "waiting for the host; then reset; 285 ROM instructions": what a start did,
 * as words of an item. */
void text_doings(struct page *page, const struct start *start);

#endif

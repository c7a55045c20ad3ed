/* text_after.h -- the table of what each reset would do from here.
 *
 * Owns, borrows: nothing.
 */
#ifndef REPORT_TEXT_AFTER_H
#define REPORT_TEXT_AFTER_H

#include "describe/answer.h"
#include "report/page.h"

/* Nothing if it was not asked for (NULL). */
void text_after(struct page *page, const struct after *after);

/* "in flash by rule otherwise, latch programmed, running" */
void text_answer(struct page *page, const struct answer *answer);

#endif

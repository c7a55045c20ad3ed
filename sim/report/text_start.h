/* text_start.h -- one start as lines of the text report.
 *
 * Owns, borrows: nothing.
 */
#ifndef REPORT_TEXT_START_H
#define REPORT_TEXT_START_H

#include <stdbool.h>

#include "describe/result.h"
#include "report/page.h"

/* `code`: with the instructions. */
void text_start(struct page *page, const struct start *start, bool code);

/* What stands under its first line, an item a fact: why it began where it
 * did, and what came of it. */
void text_start_why(struct page *page, const struct start *start);
void text_start_course(struct page *page, const struct start *start);

#endif

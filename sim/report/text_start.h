/* text_start.h -- one start as lines of the text report.
 *
 * Owns, borrows: nothing.
 */
#ifndef REPORT_TEXT_START_H
#define REPORT_TEXT_START_H

#include "describe/result.h"
#include "report/page.h"
#include "report/text.h"

/* All that is known of it, and its first and last instructions. */
void text_start(struct page *page, const struct start *start,
                enum text_words words);

/* What stands under its first line, an item a fact: why it began where it
 * did, and what came of it. */
void text_start_why(struct page *page, const struct start *start,
                    enum text_words words);
void text_start_course(struct page *page, const struct start *start);

#endif

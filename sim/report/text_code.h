/* text_code.h -- the code of a start as lines of the text report.
 *
 * Owns, borrows: nothing.
 */
#ifndef REPORT_TEXT_CODE_H
#define REPORT_TEXT_CODE_H

#include "describe/result.h"
#include "report/page.h"

/* The first instructions, those where it landed, and those where it stopped,
 * that one marked. */
void text_code(struct page *page, const struct start *start);

#endif

/* text_findings.h -- the findings of a run as paragraphs of the text report.
 *
 * What is said of several starts in the same words is said once, with the
 * numbers of the starts; the other reports keep a finding a start.
 *
 * Owns, borrows: nothing.
 */
#ifndef REPORT_TEXT_FINDINGS_H
#define REPORT_TEXT_FINDINGS_H

#include "describe/result.h"
#include "report/page.h"
#include "report/text.h"

/* The first of each kind is explained to newcomers, unless `words` are the
 * expert's. */
void text_findings(struct page *page, const struct result *result,
                   enum text_words words);

#endif

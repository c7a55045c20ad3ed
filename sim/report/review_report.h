/* review_report.h -- a board review, for people and for programs.
 *
 * Owns: nothing.
 */
#ifndef REPORT_REVIEW_REPORT_H
#define REPORT_REVIEW_REPORT_H

#include "base/json.h"
#include "describe/review.h"
#include "report/page.h"

/* A paragraph a pin, then what holds for all of them. */
void review_text(struct page *page, const struct review *review);

/* Its members into the object: traces/check.schema.json. */
void review_json(struct json_out *to, const struct review *review);

#endif

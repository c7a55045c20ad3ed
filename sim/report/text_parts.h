/* text_parts.h -- pieces that several text reports share.
 *
 * Owns, borrows: nothing.
 */
#ifndef REPORT_TEXT_PARTS_H
#define REPORT_TEXT_PARTS_H

#include <stdbool.h>

#include "base/units.h"
#include "describe/result.h"
#include "report/page.h"

/* "612.5 us" */
void text_time(struct page *page, ps_t at);

/* "steps[5]": the place of a step as error messages write it. */
void text_step(struct page *page, uint32_t step);

/* The judgements that failed, each with what was asked and seen; nothing if
 * all held. */
void text_failures(struct page *page, const struct result *result);

/* What a reader must not forget. Contention has its own, longer one. */
void text_caution(struct page *page, bool contention);

/* "held: ...", "failed: ...", "no verdict: ...": as words of an item, or as
 * one of its own. */
void text_put_verdict(struct page *page, const struct result *result);
void text_verdict(struct page *page, const struct result *result);

#endif

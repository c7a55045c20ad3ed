/* why_words.h -- what text and page of a diagnosis say alike.
 *
 * Owns, borrows: nothing.
 */
#ifndef REPORT_WHY_WORDS_H
#define REPORT_WHY_WORDS_H

#include "describe/diagnosis.h"
#include "report/page.h"

/* Whole sentences, but for the second. */
extern const char why_none[];            /* nothing explains it */
extern const char why_nothing_assumed[]; /* what was told is enough */
extern const char why_all_alike[];       /* nothing splits the list */

/* "stale-latch", "strap-level (start high) and start-option (...)": as words
 * of an item. */
void why_say_names(struct page *page, const struct explanation *e);

/* An item each; nothing where there is nothing to say. */
void why_not_this(struct page *page, const struct explanation *e);
void why_mended(struct page *page, const struct explanation *e);

#endif

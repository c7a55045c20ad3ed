/* text_steps.h -- the steps of a script as sentences.
 *
 * Owns, borrows: nothing.
 */
#ifndef REPORT_TEXT_STEPS_H
#define REPORT_TEXT_STEPS_H

#include <stdint.h>

#include "describe/case.h"
#include "report/page.h"

/* "Image app is written, before the part is soldered on.": as words of an
 * item. */
void text_step_says(struct page *page, const struct case_script *script,
                    const struct step *step);

/* The steps [from, to), an item each, but for expectations: those would tell
 * what is to be found out. */
void text_steps(struct page *page, const struct case_script *script,
                uint32_t from, uint32_t to);

#endif

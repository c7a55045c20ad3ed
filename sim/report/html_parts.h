/* html_parts.h -- pieces that pages of several kinds have.
 *
 * Owns, borrows: nothing.
 */
#ifndef REPORT_HTML_PARTS_H
#define REPORT_HTML_PARTS_H

#include <stdint.h>

#include "describe/case.h"
#include "describe/part.h"
#include "report/html.h"

/* "Part latched: ... Case file x.jsonc.", inside a paragraph; `about`, whole
 * sentences, and `case_file` may be NULL. */
void html_subject(struct html *h, const char *part, const char *about,
                  const char *case_file);

/* Links to sections. The list ends with an id of NULL; texts are of our
 * own. */
struct html_entry {
  const char *id, *title;
};
void html_contents(struct html *h, const struct html_entry *list);

/* The steps [from, to) but for expectations, as a numbered list; nothing where
 * there are none. */
void html_steps(struct html *h, const struct case_script *script,
                uint32_t from, uint32_t to);

/* The assumed numbers of the blocks that were touched (bit per enum
 * part_section). `behind` says behind what they stand: "this run". */
void html_assumed(struct html *h, const struct part *part, uint32_t touched,
                  uint32_t count, const char *behind);

/* What the words of the page mean. */
void html_words(struct html *h);

#endif

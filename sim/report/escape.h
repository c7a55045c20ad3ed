/* escape.h -- hostile texts in markup: HTML, SVG.
 *
 * Names come from files that anybody may have written. What would be markup
 * is written as a reference, control characters and bytes that are no UTF-8
 * as '?': the same text is right between tags and in an attribute between
 * double quotes.
 *
 * Owns, borrows: nothing. Errors stay in the stream.
 */
#ifndef REPORT_ESCAPE_H
#define REPORT_ESCAPE_H

#include <stddef.h>
#include <stdio.h>

void escape_text(FILE *to, const char *text);

/* Characters that page_character has passed already. */
void escape_bytes(FILE *to, const char *shown, size_t bytes);

#endif

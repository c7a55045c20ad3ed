/* html_document.h -- a page of one run, or of many.
 *
 *   struct html_document d;
 *   html_document_begin(&d, stream, title, parts);
 *   html_document_add(&d, runs, count);     once a case
 *   html_document_end(&d);
 *
 * With one case its title is the page's; with more each has a section.
 *
 * Owns: its fields. Borrows: the stream; runs only while they are added.
 */
#ifndef REPORT_HTML_DOCUMENT_H
#define REPORT_HTML_DOCUMENT_H

#include "report/html_run.h"

struct html_document {
  struct html html;
  uint32_t cases; /* that will be added */
  uint32_t added;
  bool contention;
};

/* `title` is that of the only case; unused where there are more. */
void html_document_begin(struct html_document *d, FILE *to, uint32_t cases,
                         const char *title);

/* One case on 1 to ROWS_MAX_RESULTS parts. */
void html_document_add(struct html_document *d, const struct html_run *runs,
                       uint32_t count);

void html_document_end(struct html_document *d);

#endif

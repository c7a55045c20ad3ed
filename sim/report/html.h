/* html.h -- a report as one page that needs nothing else: no network, no
 * script to be read, no picture beside it.
 *
 *   struct html page = {.to = stream};
 *   html_begin(&page, title);
 *   html_section(&page, "starts", "Starts");
 *   html_table(&page, "What each start did", columns);
 *   ...
 *   html_table_end(&page);
 *   html_section_end(&page);
 *   html_end(&page);
 *
 * Every text that comes from a file goes through html_text; ids and class
 * names are our own. A policy in the page forbids any request. Headings go
 * down by one level a section, so that they are an outline.
 *
 * Owns: its fields. Borrows: the stream; its errors stay in the stream.
 */
#ifndef REPORT_HTML_H
#define REPORT_HTML_H

#include <stdbool.h>
#include <stdint.h>
#include <stdio.h>

#include "base/status.h"
#include "base/units.h"

struct html {
  FILE *to;
  unsigned level;  /* of the heading that came last; html_begin sets it */
  char prefix[24]; /* of the ids, one a report: "r1-" */
};

/* Up to the title, which is the page's only first heading. */
void html_begin(struct html *h, const char *title);
void html_end(struct html *h);

/* Of a file: escaped. */
void html_text(struct html *h, const char *text);

/* Of our own: as it is. At most 511 bytes, asserted. */
void html_put(struct html *h, const char *format, ...) SIM_PRINTF(2, 3);

void html_time(struct html *h, ps_t at);

/* A part of the page with a heading; sections nest, and the outermost are
 * landmarks. `id` is of our own. */
void html_section(struct html *h, const char *id, const char *heading);
void html_section_end(struct html *h);

/* <p> of a text from a file. */
void html_paragraph(struct html *h, const char *class, const char *text);

/* A table with a caption and a row of headings, which ends with NULL. It
 * scrolls by itself where it is too wide. */
void html_table(struct html *h, const char *caption,
                const char *const *columns);
void html_table_end(struct html *h);

/* A row begins with its heading; `mark`: it is the row to look at. */
void html_row(struct html *h, const char *heading, bool mark);
void html_row_end(struct html *h);

/* A cell of a text from a file; NULL is an empty one. */
void html_cell(struct html *h, const char *text);

/* The cautions that every page has; more of them where nets were fought
 * over. */
void html_cautions(struct html *h, bool contention);

/* html_style.c, html_script.c */
extern const char html_style[];
extern const char html_script[];

#endif

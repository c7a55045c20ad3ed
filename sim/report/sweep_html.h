/* sweep_html.h -- a sweep as one page (html.h): the classes with their counts
 * and first examples, and the picture of outcome over time.
 *
 * Owns, borrows: nothing. Errors stay in the stream.
 */
#ifndef REPORT_SWEEP_HTML_H
#define REPORT_SWEEP_HTML_H

#include <stdio.h>

#include "run/sweep.h"
#include "run/sweep_file.h"

void sweep_html(FILE *to, const struct sweep_head *head,
                const struct sweep_records *records);

#endif

/* why_report.h -- a diagnosis as text, as JSON and as a page.
 *
 * Owns: nothing. Errors stay in the stream.
 */
#ifndef REPORT_WHY_REPORT_H
#define REPORT_WHY_REPORT_H

#include <stdio.h>

#include "describe/case.h"
#include "describe/diagnosis.h"
#include "describe/part.h"

void why_text(FILE *to, const struct diagnosis *d);

/* Schema: traces/why.schema.json. */
void why_json(FILE *to, const struct diagnosis *d);

/* One page (html.h); what was asked of which part. */
void why_html(FILE *to, const struct diagnosis *d,
              const struct case_script *script, const struct part *part);

#endif

/* why_report.h -- a diagnosis as text and as JSON.
 *
 * Owns: nothing. Errors stay in the stream.
 */
#ifndef REPORT_WHY_REPORT_H
#define REPORT_WHY_REPORT_H

#include <stdio.h>

#include "describe/diagnosis.h"

void why_text(FILE *to, const struct diagnosis *d);

/* Schema: traces/why.schema.json. */
void why_json(FILE *to, const struct diagnosis *d);

#endif

/* sweep_report.h -- a sweep for people (text), for programs (JSON), and as a
 * picture of outcome over time (SVG).
 *
 * All three are drawn from the head and the ordered records alone, so what is
 * merged from shards looks as if it had been run at once. Classes in the
 * picture have a row, a label and a pattern each; no colour is needed.
 *
 * Owns, borrows: nothing. Errors stay in the stream.
 */
#ifndef REPORT_SWEEP_REPORT_H
#define REPORT_SWEEP_REPORT_H

#include <stdio.h>

#include "run/corners.h"
#include "run/sweep.h"
#include "run/sweep_file.h"

void sweep_text(FILE *to, const struct sweep_head *head,
                const struct sweep_records *records);

/* One point. */
void sweep_text_point(FILE *to, const struct sweep *s,
                      const struct sweep_record *record);

/* Where the answer changes; `found` false: nowhere. */
void sweep_text_edge(FILE *to, const struct sweep_head *head,
                     const struct sweep_record *below,
                     const struct sweep_record *above, bool found);

void corners_text(FILE *to, const struct case_script *script,
                  const struct part *part, const struct corners *corners);

/* traces/sweep.schema.json is the contract. False: the stream has an error. */
bool sweep_json(FILE *to, const struct sweep_head *head,
                const struct sweep_records *records);

/* The same with the two sides of an edge instead of all records; `found`
 * false: there is none, and the two are the ends. */
bool sweep_json_edge(FILE *to, const struct sweep_head *head,
                     const struct sweep_record *below,
                     const struct sweep_record *above, bool found);

bool corners_json(FILE *to, const struct case_script *script,
                  const struct part *part, const struct corners *corners);

void sweep_svg(FILE *to, const struct sweep_head *head,
               const struct sweep_records *records);

#endif

/* route_report.h -- what `route` found, for people, programs and technicians.
 *
 * Owns, borrows: nothing. Errors stay in the stream.
 */
#ifndef REPORT_ROUTE_REPORT_H
#define REPORT_ROUTE_REPORT_H

#include <stdbool.h>
#include <stdio.h>

#include "describe/route.h"

void route_text(FILE *to, const struct route_result *result);

/* traces/route.schema.json. False if the stream has an error. */
bool route_json(FILE *to, const struct route_result *result);

/* A work instruction in Markdown for one procedure. */
void route_sheet(FILE *to, const struct route_result *result,
                 const struct route_procedure *procedure);

/* A script as a case file. `path` says how a file of the script, as it was
 * resolved, is called from there. False if the stream has an error. */
typedef const char *(*route_path_name)(void *context, const char *path);
bool route_case_file(FILE *to, const struct case_script *script,
                     route_path_name path, void *context);

#endif

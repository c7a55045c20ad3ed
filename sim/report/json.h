/* json.h -- results as JSON, for programs. traces/result.schema.json is the
 * contract: every key is always there, null where there is nothing to say.
 *
 * Times are decimal strings of picoseconds, because a JSON number is exact
 * only to 2^53. Counts beyond that are decimal strings too. Addresses are
 * strings, "0x06000140". No path is in it, only the case's file name.
 *
 *   struct report_json document;
 *   report_json_begin(&document);
 *   report_json_add(&document, result);     once a run
 *   report_json_write(&document, stream);
 *   report_json_free(&document);
 *
 * Owns: the document; nothing of a result is kept.
 */
#ifndef REPORT_JSON_H
#define REPORT_JSON_H

#include <stdbool.h>
#include <stdint.h>
#include <stdio.h>

#include "base/json.h"
#include "describe/result.h"

#define REPORT_JSON_VERSION 1

struct report_json {
  struct json_out *root, *runs;
  struct json_out *only; /* the run, while there is just one */
  uint32_t count;
  bool code; /* starts come with their instructions */
};

void report_json_begin(struct report_json *document);

/* From now on: starts with their first instructions and those where they
 * stopped, "code". */
void report_json_with_code(struct report_json *document);

void report_json_add(struct report_json *document,
                     const struct result *result);

/* One run: its object. Otherwise { "firstfetch": 1, "runs": [ ... ] }, each
 * of which is what one alone would be. False if the stream has an error. */
bool report_json_write(const struct report_json *document, FILE *to);

void report_json_free(struct report_json *document);

#endif

/* json_scan.h -- the scan that runs before cJSON; private to json.c.
 *
 * It decides alone what is JSON. What it hands to cJSON are brackets, strings
 * and words that it has checked: comments are blanked, and each number is
 * blanked to "0", because cJSON cuts long numbers and asks the locale for the
 * decimal point.
 *
 * Owns: nothing; all memory is in the arenas it is given.
 */
#ifndef BASE_JSON_SCAN_H
#define BASE_JSON_SCAN_H

#include "base/arena.h"
#include "base/json.h"
#include "base/json_cursor.h"
#include "base/status.h"

/* A value of the document. All of it is filled in but the decoded text of a
 * string and the decoded form of a key: `key` is as the source has it. */
struct json_spot {
  struct json value;
  struct json_spot *next; /* in pre-order */
};

struct json_scanned {
  struct json_spot *first; /* the root, if the scan succeeds */
  char *blanked;           /* of the same length as the source */
};

/* Values go into `nodes`, the blanked text into `scratch`. */
enum sim_status json_scan(const struct json_source *source,
                          struct arena *nodes, struct arena *scratch,
                          struct json_scanned *out, struct sim_error *err);

#endif

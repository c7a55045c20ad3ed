/* json_answer.h -- answers as JSON, wherever a document has them.
 *
 * Owns, borrows: nothing.
 */
#ifndef REPORT_JSON_ANSWER_H
#define REPORT_JSON_ANSWER_H

#include "base/json.h"
#include "describe/answer.h"

/* Adds "start": its object, or null. */
void json_answer(struct json_out *to, const struct answer *answer);

/* Adds "after", a list; nothing if it was not asked for (NULL). */
void json_after(struct json_out *to, const struct after *after);

#endif

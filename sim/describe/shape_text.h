/* shape_text.h -- the words of messages about shapes.
 */
#ifndef DESCRIBE_SHAPE_TEXT_H
#define DESCRIBE_SHAPE_TEXT_H

#include <stdbool.h>
#include <stddef.h>

#include "base/json.h"
#include "describe/shape.h"

/* Room for any of these texts; longer ones are cut. */
#define SHAPE_TEXT_SIZE 400

/* The value as a message shows it: "blank" in quotes, 12, true, a list. */
const char *shape_shown(const struct json *value, char *buf, size_t size);

/* What the row wants: `an integer from 0 to 32`. */
const char *shape_wanted(const struct shape_row *row, char *buf, size_t size);

/* "from 1 us to 10 s", in the row's unit. */
const char *shape_bounds(const struct shape_row *row, char *buf, size_t size);

/* Which keys the shape has: the one that `key` is close to, else all. */
const char *shape_keys(const struct shape *shape, const char *key, char *buf,
                       size_t size);

/* The same for a list of words that ends with NULL; few are all listed. `word`
 * may be NULL. */
const char *shape_words(const char *const *words, const char *word, char *buf,
                        size_t size);

/* True if a slip of the pen makes `word` from `meant`: an edit or two,
 * letters' case aside. */
bool shape_is_near(const char *word, const char *meant);

#endif

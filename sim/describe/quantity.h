/* quantity.h -- a number of a description, with its tolerance and its source.
 */
#ifndef DESCRIBE_QUANTITY_H
#define DESCRIBE_QUANTITY_H

#include <stdint.h>

/* Where a number comes from. PUBLISHED keeps the document's name. */
enum source { SOURCE_ASSUMED, SOURCE_COMMON_PRACTICE, SOURCE_PUBLISHED };

struct provenance {
  enum source source;
  const char *document; /* for SOURCE_PUBLISHED, else NULL */
};

/* A plain string gives min = typ = max, and so does an object for the bounds
 * that it leaves out. `source` is its own, else that of the nearest enclosing
 * object that has one, else assumed. */
struct quantity {
  int64_t min, typ, max; /* in the unit of the key that holds it */
  enum source source;
  const char *document; /* for SOURCE_PUBLISHED, else NULL */
};

#endif

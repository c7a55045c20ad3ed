/* svd_tree.h -- a CMSIS-SVD file as elements; between the two files that read
 * one (svd_read.c, svd_registers.c), nobody else.
 *
 * Kept are the elements that svd_registers.c asks for, with what is in them;
 * every other one is skipped with all its content.
 */
#ifndef DESCRIBE_SVD_TREE_H
#define DESCRIBE_SVD_TREE_H

#include "base/arena.h"
#include "base/status.h"
#include "describe/svd.h"

struct svd_element {
  const char *name;
  const char *text;    /* without space around it; "" for none */
  const char *derived; /* attribute derivedFrom, or NULL */
  uint32_t line;
  struct svd_element *parent, *child, *last, *next;
};

/* Number of letters of any text or name; longer ones are refused. */
#define SVD_MAX_TEXT 255

/* Names of the elements that are kept, ended by NULL. */
extern const char *const svd_kept[];

/* All registers of the device into *svd, whose file is set. */
enum sim_status svd_collect(struct arena *arena,
                            const struct svd_element *device, struct svd *svd,
                            struct sim_error *err);

#endif

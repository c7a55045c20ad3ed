/* case_edit.h -- a case as it would be if something had gone otherwise.
 *
 * Edits are made in the language of the case file, so what comes out is a case
 * that anybody can read and run.
 *
 *   FIRST ...  PRELUDE ...  told step, told step, ...  LAST ...
 *
 * Owns: nothing; texts are in an arena. Borrows: the document.
 */
#ifndef DESCRIBE_CASE_EDIT_H
#define DESCRIBE_CASE_EDIT_H

#include "base/json.h"
#include "describe/case.h"

enum case_edit_kind {
  EDIT_FIRST,   /* text: steps that come before all others */
  EDIT_PRELUDE, /* text: steps before those that were told */
  EDIT_LAST,    /* text: steps behind those that were told */
  EDIT_DROP,    /* step `step` did not happen */
  EDIT_REPLACE, /* text: it was this instead, one step or a list */
  EDIT_IMAGE,   /* text: members added to image `name` */
  EDIT_BOARD    /* text: members of the board, instead of those it had */
};

struct case_edit {
  enum case_edit_kind kind;
  uint32_t step;
  const char *name;
  const char *text; /* JSON: a list of steps, a step, an object */
};

/* True if the two can't both be: they say different things of one step, one
 * prelude, one image, the board. */
bool case_edits_clash(const struct case_edit *a, const struct case_edit *b);

/* The document with the edits made, without what was seen. To be freed with
 * json_out_free. Of several preludes the last counts. With a `folder` the
 * paths of images and part are such as a file in that folder needs; NULL: they
 * stay. */
struct json_out *case_edit(const struct json *root,
                           const struct case_edit *edits, uint32_t count,
                           const char *folder, struct arena *arena);

/* Read a document as case_read does, as if it stood in `file`. */
enum sim_status case_from_out(struct arena *arena, const char *file,
                              const struct json_out *document,
                              const struct case_script **script,
                              struct sim_error *err);

#endif

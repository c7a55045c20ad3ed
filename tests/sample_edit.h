/* sample_edit.h -- tests/sample_part.json and tests/sample_case.json, read as
 * they are or with one text made another.
 */
#ifndef TESTS_SAMPLE_EDIT_H
#define TESTS_SAMPLE_EDIT_H

#include "rows.h"

#include <string.h>

#include "base/arena.h"
#include "base/file.h"
#include "base/json.h"

#define SAMPLE_PART FIRSTFETCH_ROOT "/tests/sample_part.json"
#define SAMPLE_CASE FIRSTFETCH_ROOT "/tests/sample_case.json"

/* All of a file, which must be there; with a zero byte behind it. */
static inline char *sample_text(struct arena *arena, const char *file)
{
  uint8_t *bytes;
  size_t length;
  struct sim_error err;
  enum sim_status status =
      file_read(arena, file, JSON_MAX_BYTES, &bytes, &length, &err);
  assert_int_equal(status, SIM_OK);
  return (char *)bytes;
}

/* A change of the text: `old` stands in it once. */
struct sample_edit {
  const char *old, *new;
};
#define SAMPLE_EDITS 4 /* at most; those without `old` are none */

static inline char *sample_replaced(struct arena *arena, const char *text,
                                    const struct sample_edit *edit)
{
  const char *at = strstr(text, edit->old);
  if (!at || strstr(at + 1, edit->old)) fail_msg("not once: %s", edit->old);
  char *edited = arena_get(arena, strlen(text) + strlen(edit->new) + 1);
  size_t before = (size_t)(at - text);
  memcpy(edited, text, before);
  strcpy(edited + before, edit->new);
  strcat(edited, at + strlen(edit->old));
  return edited;
}

static inline char *sample_edited(struct arena *arena, const char *file,
                                  const struct sample_edit *edits)
{
  char *text = sample_text(arena, file);
  for (size_t i = 0; i < SAMPLE_EDITS && edits[i].old; i++) {
    text = sample_replaced(arena, text, &edits[i]);
  }
  return text;
}

#endif

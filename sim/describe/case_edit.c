#include "describe/case_edit.h"

#include <assert.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/file.h"
#include "describe/case_shape.h"

bool case_edits_clash(const struct case_edit *a, const struct case_edit *b)
{
  bool a_step = a->kind == EDIT_DROP || a->kind == EDIT_REPLACE;
  bool b_step = b->kind == EDIT_DROP || b->kind == EDIT_REPLACE;
  if (a_step && b_step) return a->step == b->step;
  if (a->kind != b->kind) return false;
  return a->kind == EDIT_PRELUDE || a->kind == EDIT_IMAGE ||
         a->kind == EDIT_BOARD;
}

/* Our own text: it parses. */
static const struct json *parsed(struct arena *arena, const char *text)
{
  const struct json *value;
  struct sim_error err;
  enum sim_status status =
      json_parse(arena, "edit", text, strlen(text), false, &value, &err);
  assert(status == SIM_OK);
  return value;
}

static void add_all(struct json_out *to, const struct json *list)
{
  for (const struct json *v = list->child; v != NULL; v = v->next)
    json_add_copy(to, NULL, v);
}

struct editor {
  const struct case_edit *edits;
  uint32_t count;
  const char *folder;
  struct arena *arena;
};

/* A path of the document, as the new one needs it. */
static void add_path(const struct editor *e, struct json_out *to,
                     const char *key, const struct json *path)
{
  const char *text = path->text;
  if (e->folder != NULL)
    text = file_from(e->arena, e->folder,
                     file_beside(e->arena, path->file, text));
  json_add_text(to, key, text);
}

static bool is_path(const char *part)
{
  size_t length = strlen(part);
  return (length > 5 && strcmp(part + length - 5, ".json") == 0) ||
         (length > 6 && strcmp(part + length - 6, ".jsonc") == 0);
}

static void add_kind(const struct editor *e, struct json_out *to,
                     enum case_edit_kind kind)
{
  for (uint32_t i = 0; i < e->count; i++)
    if (e->edits[i].kind == kind)
      add_all(to, parsed(e->arena, e->edits[i].text));
}

static void add_prelude(const struct editor *e, struct json_out *to)
{
  const char *text = NULL;
  for (uint32_t i = 0; i < e->count; i++)
    if (e->edits[i].kind == EDIT_PRELUDE) text = e->edits[i].text;
  if (text != NULL) add_all(to, parsed(e->arena, text));
}

static void add_step(const struct editor *e, struct json_out *to,
                     const struct json *step)
{
  for (uint32_t i = 0; i < e->count; i++) {
    const struct case_edit *edit = &e->edits[i];
    if (edit->step != step->index) continue;
    if (edit->kind == EDIT_DROP) return;
    if (edit->kind != EDIT_REPLACE) continue;
    const struct json *instead = parsed(e->arena, edit->text);
    if (instead->type == JSON_LIST)
      add_all(to, instead);
    else
      json_add_copy(to, NULL, instead);
    return;
  }
  json_add_copy(to, NULL, step);
}

static void add_steps(const struct editor *e, struct json_out *to,
                      const struct json *steps)
{
  struct json_out *list = json_add_list(to, "steps");
  add_kind(e, list, EDIT_FIRST);
  add_prelude(e, list);
  for (const struct json *s = steps->child; s != NULL; s = s->next)
    add_step(e, list, s);
  add_kind(e, list, EDIT_LAST);
}

static const struct json *more_of(const struct editor *e, const char *image)
{
  for (uint32_t i = 0; i < e->count; i++)
    if (e->edits[i].kind == EDIT_IMAGE && strcmp(e->edits[i].name, image) == 0)
      return parsed(e->arena, e->edits[i].text);
  return NULL;
}

/* The members of `told`, but those of `more` in place of their like, and what
 * `more` has besides. Either may be NULL. */
static void add_members(const struct editor *e, struct json_out *to,
                        const struct json *told, const struct json *more)
{
  for (const struct json *m = told ? told->child : NULL; m; m = m->next) {
    if (more != NULL && json_get(more, m->key) != NULL) continue;
    if (strcmp(m->key, "file") == 0)
      add_path(e, to, m->key, m);
    else
      json_add_copy(to, m->key, m);
  }
  for (const struct json *m = more ? more->child : NULL; m; m = m->next)
    json_add_copy(to, m->key, m);
}

/* An image that is edited becomes an object if it was a path. */
static void add_image(const struct editor *e, struct json_out *to,
                      const struct json *image)
{
  const struct json *more = more_of(e, image->key);
  if (image->type == JSON_STRING && more == NULL) {
    add_path(e, to, image->key, image);
    return;
  }
  struct json_out *object = json_add_object(to, image->key);
  if (image->type == JSON_STRING) add_path(e, object, "file", image);
  add_members(e, object, image, more);
}

static void add_images(const struct editor *e, struct json_out *to,
                       const struct json *images)
{
  struct json_out *object = json_add_object(to, "images");
  for (const struct json *i = images->child; i != NULL; i = i->next)
    add_image(e, object, i);
}

/* A case may come without a board. */
static void add_board(const struct editor *e, struct json_out *to,
                      const struct json *board)
{
  const struct json *more = NULL;
  for (uint32_t i = 0; i < e->count; i++)
    if (e->edits[i].kind == EDIT_BOARD)
      more = parsed(e->arena, e->edits[i].text);
  if (board == NULL && more == NULL) return;
  add_members(e, json_add_object(to, "board"), board, more);
}

struct json_out *case_edit(const struct json *root,
                           const struct case_edit *edits, uint32_t count,
                           const char *folder, struct arena *arena)
{
  const struct editor e = {edits, count, folder, arena};
  struct json_out *document = json_out_object();
  for (const struct json *m = root->child; m != NULL; m = m->next) {
    if (strcmp(m->key, "seen") == 0 || strcmp(m->key, "board") == 0) continue;
    if (strcmp(m->key, "steps") == 0) {
      add_board(&e, document, json_get(root, "board"));
      add_steps(&e, document, m);
    } else if (strcmp(m->key, "images") == 0)
      add_images(&e, document, m);
    else if (strcmp(m->key, "part") == 0 && is_path(m->text))
      add_path(&e, document, m->key, m);
    else
      json_add_copy(document, m->key, m);
  }
  return document;
}

enum sim_status case_from_out(struct arena *arena, const char *file,
                              const struct json_out *document,
                              const struct case_script **script,
                              struct sim_error *err)
{
  char *text = NULL;
  size_t length = 0;
  FILE *to = open_memstream(&text, &length);
  if (to == NULL) arena_no_memory();
  json_write(document, to);
  if (fclose(to) != 0) arena_no_memory();
  const struct json *root;
  struct case_script *read;
  enum sim_status status =
      json_parse(arena, file, text, length, false, &root, err);
  free(text);
  if (status == SIM_OK) status = case_from_json(arena, file, root, &read, err);
  if (status == SIM_OK) *script = read;
  return status;
}

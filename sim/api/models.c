/* Finding parts in folders: the rest of firstfetch.h. */
#include <dirent.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "api/firstfetch.h"
#include "base/nearest.h"
#include "api/session.h"
#include "base/file.h"
#include "describe/part.h"

static const char ending[] = ".json";

static bool ends_with(const char *text, const char *end)
{
  size_t length = strlen(text), end_length = strlen(end);
  return length > end_length &&
         memcmp(text + length - end_length, end, end_length) == 0;
}

static bool is_path(const char *name)
{
  return ends_with(name, ".json") || ends_with(name, ".jsonc");
}

/* --- listing ------------------------------------------------------------- */

static bool is_part_file(const char *name)
{
  return name[0] != '.' && ends_with(name, ending) &&
         !ends_with(name, ".schema.json");
}

static int by_bytes(const void *a, const void *b)
{
  return strcmp(*(const char *const *)a, *(const char *const *)b);
}

struct list {
  const char **names;
  uint32_t count, room;
};

static void list_add(struct arena *arena, struct list *list, const char *file)
{
  if (list->count == list->room) {
    uint32_t room = list->room ? 2 * list->room : 16;
    const char **names = arena_array(arena, room, sizeof *names);
    for (uint32_t i = 0; i < list->count; i++) {
      names[i] = list->names[i];
    }
    list->names = names;
    list->room = room;
  }
  size_t length = strlen(file) - strlen(ending);
  list->names[list->count++] = arena_text_n(arena, file, length);
}

/* A folder that is not there has no parts. */
static struct list list_folder(struct arena *arena, const char *folder)
{
  struct list list = {NULL, 0, 0};
  DIR *open_folder = opendir(folder);
  if (!open_folder) return list;
  const struct dirent *entry;
  while ((entry = readdir(open_folder))) {
    if (is_part_file(entry->d_name)) list_add(arena, &list, entry->d_name);
  }
  closedir(open_folder);
  if (list.count > 1) {
    qsort(list.names, list.count, sizeof list.names[0], by_bytes);
  }
  return list;
}

void firstfetch_part_names(struct firstfetch *ff,
                           const struct firstfetch_search *search,
                           const char *const **names, uint32_t *count)
{
  *names = NULL;
  *count = 0;
  for (uint32_t i = 0; i < search->count && *count == 0; i++) {
    struct list list = list_folder(&ff->arena, search->folders[i]);
    *names = list.names;
    *count = list.count;
  }
}

/* --- finding ------------------------------------------------------------- */

/* FOLDER/NAME.json of the first folder that has it, or NULL. */
static const char *find(struct firstfetch *ff,
                        const struct firstfetch_search *search,
                        const char *name)
{
  for (uint32_t i = 0; i < search->count; i++) {
    const char *folder = search->folders[i];
    size_t size = strlen(folder) + strlen(name) + sizeof "/.json";
    char *path = arena_get(&ff->arena, size);
    snprintf(path, size, "%s/%s%s", folder, name, ending);
    if (access(path, F_OK) == 0) return path;
  }
  return NULL;
}

/* Any of the folders may have the part that was meant. */
static const char *find_nearest(struct firstfetch *ff,
                                const struct firstfetch_search *search,
                                const char *name)
{
  const char *nearest = NULL;
  for (uint32_t i = 0; i < search->count && !nearest; i++) {
    struct list list = list_folder(&ff->arena, search->folders[i]);
    nearest = nearest_word(name, list.names, list.count);
  }
  return nearest;
}

static enum sim_status not_found(struct firstfetch *ff,
                                 const struct firstfetch_search *search,
                                 const char *name, const char *asked_by,
                                 struct sim_error *err)
{
  const struct sim_place where = {.file = asked_by, .path = "part"};
  const char *nearest = find_nearest(ff, search, name);
  if (nearest) {
    return sim_fail(err, SIM_REFERENCE, &where,
                    "is \"%s\", which is no part here; did you mean \"%s\"?",
                    name, nearest);
  }
  return sim_fail(err, SIM_REFERENCE, &where,
                  "is \"%s\", which is no part here; expected the name of a "
                  "file in a models folder, or a path ending in .json",
                  name);
}

enum sim_status firstfetch_part(struct firstfetch *ff,
                                const struct firstfetch_search *search,
                                const char *name, const char *asked_by,
                                const struct part **part,
                                struct sim_error *err)
{
  const char *path = NULL;
  if (is_path(name)) {
    path = asked_by ? file_beside(&ff->arena, asked_by, name)
                    : arena_text(&ff->arena, name);
  } else if (name[0] && !strchr(name, '/')) {
    path = find(ff, search, name);
  }
  if (!path) return not_found(ff, search, name, asked_by, err);
  return part_read(&ff->arena, path, part, err);
}

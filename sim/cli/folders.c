#include "cli/folders.h"

#include <limits.h>
#include <unistd.h>

#include "base/file.h"

static const char beside[] = "../models";

/* NULL where the host does not tell. */
static const char *beside_program(struct arena *arena)
{
  char program[PATH_MAX];
  ssize_t length = readlink("/proc/self/exe", program, sizeof program - 1);
  if (length <= 0) return NULL;
  program[length] = '\0';
  return file_beside(arena, program, beside);
}

struct firstfetch_search folders_search(struct arena *arena,
                                        const struct given_option *models,
                                        const char *case_file)
{
  const char **folders =
      arena_array(arena, models->count + 3, sizeof *folders);
  uint32_t count = 0;
  for (size_t i = 0; i < models->count; i++) {
    folders[count++] = models->values[i];
  }
  if (case_file) folders[count++] = file_beside(arena, case_file, beside);
  folders[count++] = "models";
  const char *last = beside_program(arena);
  if (last) folders[count++] = last;
  return (struct firstfetch_search){folders, count};
}

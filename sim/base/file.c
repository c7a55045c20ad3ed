#include "base/file.h"

#include <errno.h>
#include <fcntl.h>
#include <stdbool.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

/* Our own words, because the host's differ from host to host. */
static const char *refusal(int host_error)
{
  switch (host_error) {
  case ENOENT:
  case ENOTDIR: return "does not exist";
  case EACCES:
  case EPERM: return "may not be read by this user";
  case ENAMETOOLONG: return "is too long a name";
  case ELOOP: return "is a link that leads back to itself";
  default: return "cannot be read";
  }
}

static enum sim_status fail(struct sim_error *err, const char *path,
                            const char *what)
{
  struct sim_place where = {.file = path};
  return sim_fail(err, SIM_FILE, &where, "%s; expected a readable file", what);
}

/* What is open is a regular file of at most `limit` bytes. */
static enum sim_status check(int handle, const char *path, size_t limit,
                             size_t *length, struct sim_error *err)
{
  struct stat info;
  if (fstat(handle, &info) != 0) return fail(err, path, refusal(errno));
  if (S_ISDIR(info.st_mode)) return fail(err, path, "is a directory");
  if (!S_ISREG(info.st_mode)) return fail(err, path, "is no regular file");
  if ((uintmax_t)info.st_size > limit) {
    struct sim_place where = {.file = path};
    return sim_fail(err, SIM_LIMIT, &where,
                    "is %ju bytes long; expected at most %zu bytes",
                    (uintmax_t)info.st_size, limit);
  }
  *length = (size_t)info.st_size;
  return SIM_OK;
}

/* Up to `room` bytes; fewer only at the end of the file. False if the host
 * reports an error in errno. */
static bool read_up_to(int handle, uint8_t *to, size_t room, size_t *got)
{
  *got = 0;
  while (*got < room) {
    ssize_t now = read(handle, to + *got, room - *got);
    if (now < 0 && errno == EINTR) continue;
    if (now < 0) return false;
    if (now == 0) break;
    *got += (size_t)now;
  }
  return true;
}

static enum sim_status read_open(struct arena *arena, int handle,
                                 const char *path, size_t limit,
                                 uint8_t **bytes, size_t *length,
                                 struct sim_error *err)
{
  size_t size = 0;
  enum sim_status status = check(handle, path, limit, &size, err);
  if (status != SIM_OK) return status;

  /* One byte more is asked for, which must not come. */
  uint8_t *content = arena_get(arena, size + 1);
  size_t got;
  if (!read_up_to(handle, content, size + 1, &got)) {
    return fail(err, path, refusal(errno));
  }
  if (got != size) return fail(err, path, "changed while it was read");
  *bytes = content;
  *length = size;
  return SIM_OK;
}

enum sim_status file_read(struct arena *arena, const char *path, size_t limit,
                          uint8_t **bytes, size_t *length,
                          struct sim_error *err)
{
  /* Without O_NONBLOCK a named pipe would wait here for its other end. */
  int handle = open(path, O_RDONLY | O_NONBLOCK | O_CLOEXEC);
  if (handle < 0) return fail(err, path, refusal(errno));
  enum sim_status status =
      read_open(arena, handle, path, limit, bytes, length, err);
  close(handle);
  return status;
}

const char *file_name(const char *path)
{
  const char *slash = strrchr(path, '/');
  return slash ? slash + 1 : path;
}

char *file_beside(struct arena *arena, const char *beside, const char *name)
{
  if (name[0] == '/') return arena_text(arena, name);
  size_t folder = (size_t)(file_name(beside) - beside);
  size_t length = strlen(name);
  char *path = arena_get(arena, folder + length + 1);
  memcpy(path, beside, folder);
  memcpy(path + folder, name, length);
  return path;
}

/* Length of the folders that both begin with, up to and with the last '/'. */
static size_t common_folders(const char *a, const char *b)
{
  size_t common = 0;
  for (size_t i = 0; a[i] == b[i] && a[i] != '\0'; i++)
    if (a[i] == '/') common = i + 1;
  return common;
}

const char *file_from(struct arena *arena, const char *from, const char *path)
{
  char *a = realpath(from, NULL), *b = realpath(path, NULL);
  const char *seen = path;
  if (a != NULL && b != NULL) {
    size_t room = strlen(a) + 2;
    char *folder = arena_get(arena, room);
    snprintf(folder, room, "%s/", strcmp(a, "/") == 0 ? "" : a);
    size_t common = common_folders(folder, b), ups = 0;
    for (const char *c = folder + common; *c != '\0'; c++)
      ups += *c == '/';
    size_t size = 3 * ups + strlen(b + common) + 1;
    char *text = arena_get(arena, size);
    for (size_t i = 0; i < ups; i++)
      strcat(text, "../");
    strcat(text, b + common);
    seen = text;
  }
  free(a);
  free(b);
  return seen;
}

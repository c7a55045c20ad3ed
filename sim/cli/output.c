#include "cli/output.h"

#include <errno.h>
#include <fcntl.h>
#include <limits.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

enum { NAMES_TRIED = 100 };

bool output_is_standard(const char *name)
{
  return strcmp(name, "-") == 0;
}

bool output_has_colour(void)
{
  const char *no_colour = getenv("NO_COLOR");
  const char *terminal = getenv("TERM");
  if (no_colour && *no_colour) return false;
  return terminal && strcmp(terminal, "dumb") != 0 && isatty(STDOUT_FILENO);
}

static const char *reason(int host_error)
{
  switch (host_error) {
  case ENOENT:
  case ENOTDIR: return "is in a folder that does not exist";
  case EACCES:
  case EPERM:
  case EROFS: return "may not be written by this user";
  case EISDIR: return "is a directory";
  case ENOSPC:
  case EDQUOT:
  case EFBIG: return "does not fit on its file system";
  case EPIPE: return "is read by nobody any more";
  default: return "cannot be written";
  }
}

static enum sim_status fail(const char *name, int host_error,
                            struct sim_error *err)
{
  const struct sim_place where = {.file = name};
  return sim_fail(err, SIM_FILE, &where, "%s", reason(host_error));
}

/* What is there is no plain file: a device, a pipe. A directory is told by
 * the attempt to open it. */
static bool is_special(const char *path, mode_t *mode)
{
  struct stat info;
  *mode = 0;
  if (stat(path, &info) != 0) return false;
  *mode = info.st_mode & 0777;
  return !S_ISREG(info.st_mode);
}

static enum sim_status open_special(struct output *o, struct sim_error *err)
{
  o->stream = fopen(o->shown, "w");
  if (!o->stream) return fail(o->shown, errno, err);
  return SIM_OK;
}

/* A name beside `path` that nothing has yet. */
static int create_beside(struct output *o, struct arena *arena)
{
  size_t size = strlen(o->path) + sizeof ".writing99";
  char *name = arena_get(arena, size);
  for (int i = 0; i < NAMES_TRIED; i++) {
    snprintf(name, size, i ? "%s.writing%d" : "%s.writing", o->path, i);
    int handle = open(name, O_WRONLY | O_CREAT | O_EXCL | O_CLOEXEC, 0666);
    if (handle >= 0) o->unfinished = name;
    if (handle >= 0 || errno != EEXIST) return handle;
  }
  return -1;
}

static enum sim_status open_file(struct output *o, struct arena *arena,
                                 mode_t mode, struct sim_error *err)
{
  /* A link stays one: what it leads to is replaced. */
  char *real = realpath(o->shown, NULL);
  o->path = arena_text(arena, real ? real : o->shown);
  free(real);
  int handle = create_beside(o, arena);
  if (handle < 0) return fail(o->shown, errno, err);
  if (mode) (void)fchmod(handle, mode);
  o->stream = fdopen(handle, "w");
  if (o->stream) return SIM_OK;
  int host_error = errno;
  close(handle);
  unlink(o->unfinished);
  return fail(o->shown, host_error, err);
}

enum sim_status output_open(struct output *output, const char *name,
                            struct arena *arena, struct sim_error *err)
{
  memset(output, 0, sizeof *output);
  if (!name) return SIM_OK;
  output->shown = name;
  if (output_is_standard(name)) {
    output->stream = stdout;
    return SIM_OK;
  }
  mode_t mode;
  if (is_special(name, &mode)) return open_special(output, err);
  return open_file(output, arena, mode, err);
}

/* Close the stream; 0 or the host's error. */
static int finish(struct output *o)
{
  int host_error = ferror(o->stream) ? EIO : 0;
  if (fclose(o->stream) != 0) host_error = errno;
  o->stream = NULL;
  return host_error;
}

enum sim_status output_commit(struct output *output, struct sim_error *err)
{
  if (!output->stream) return SIM_OK;
  if (output->stream == stdout) {
    output->stream = NULL;
    return output_check_standard(err);
  }
  int host_error = finish(output);
  if (!output->path) {
    return host_error ? fail(output->shown, host_error, err) : SIM_OK;
  }
  if (!host_error && rename(output->unfinished, output->path) != 0) {
    host_error = errno;
  }
  if (!host_error) return SIM_OK;
  unlink(output->unfinished);
  return fail(output->shown, host_error, err);
}

void output_abandon(struct output *output)
{
  if (!output->stream || output->stream == stdout) return;
  finish(output);
  if (output->path) unlink(output->unfinished);
}

enum sim_status output_check_standard(struct sim_error *err)
{
  bool failed_before = ferror(stdout);
  errno = 0;
  if (fflush(stdout) == 0 && !failed_before) return SIM_OK;
  return fail("standard output", errno, err);
}

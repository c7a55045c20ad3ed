/* file.h -- whole files in, and paths beside other files. */
#ifndef BASE_FILE_H
#define BASE_FILE_H

#include <stddef.h>
#include <stdint.h>

#include "base/arena.h"
#include "base/status.h"

/* Read all of a regular file of at most `limit` bytes into the arena; a zero
 * byte follows the content. Directories, devices and larger files are
 * refused. */
enum sim_status file_read(struct arena *arena, const char *path, size_t limit,
                          uint8_t **bytes, size_t *length,
                          struct sim_error *err);

/* `name` as seen from the folder of `beside`: absolute names stay. */
char *file_beside(struct arena *arena, const char *beside, const char *name);

/* `path` as seen from the folder `from`, which is there: for a file that will
 * lie in it. Where either can't be found, `path` as it is. */
const char *file_from(struct arena *arena, const char *from, const char *path);

/* The part of a path behind the last '/'. */
const char *file_name(const char *path);

#endif

#include "base/status.h"

#include <assert.h>
#include <inttypes.h>
#include <stdarg.h>
#include <stdbool.h>
#include <stdio.h>
#include <string.h>

#include "base/utf8.h"

/* C0, DEL and C1: what a terminal would obey. */
static bool is_control(uint32_t code)
{
  return code < 0x20 || (code >= 0x7F && code < 0xA0);
}

/* Copy what fits, cut between characters. The texts come from hostile files
 * and end on terminals: control characters and bytes that are no UTF-8
 * become '?'. */
static void put_text(char *to, size_t size, const char *from)
{
  size_t used = 0;
  size_t left = strlen(from);
  while (left > 0) {
    uint32_t code;
    size_t length = utf8_read(from, left, &code);
    bool shown = length > 0 && !is_control(code);
    size_t taken = length > 0 ? length : 1;
    size_t put = shown ? length : 1;
    if (used + put >= size) break;
    memcpy(to + used, shown ? from : "?", put);
    used += put;
    from += taken;
    left -= taken;
  }
  to[used] = '\0';
}

enum sim_status sim_fail_args(struct sim_error *err, enum sim_status status,
                              const struct sim_place *where,
                              const char *format, va_list args)
{
  assert(err && status != SIM_OK);
  /* Composed before *err changes: the arguments may be its old texts. Longer
   * than the message, so that what cuts it is put_text. */
  char message[2 * sizeof err->message];
  vsnprintf(message, sizeof message, format, args);

  static const struct sim_place nowhere = {NULL, NULL, 0, 0};
  if (!where) where = &nowhere;
  err->status = status;
  err->line = where->line;
  err->column = where->column;
  put_text(err->file, sizeof err->file, where->file ? where->file : "");
  put_text(err->path, sizeof err->path, where->path ? where->path : "");
  put_text(err->message, sizeof err->message, message);
  return status;
}

enum sim_status sim_fail(struct sim_error *err, enum sim_status status,
                         const struct sim_place *where, const char *format,
                         ...)
{
  va_list args;
  va_start(args, format);
  sim_fail_args(err, status, where, format, args);
  va_end(args);
  return status;
}

const char *sim_error_text(const struct sim_error *err, char *buf, size_t size)
{
  char place[sizeof "4294967295:4294967295"] = "";
  if (err->line > 0 && err->column > 0) {
    snprintf(place, sizeof place, "%" PRIu32 ":%" PRIu32, err->line,
             err->column);
  } else if (err->line > 0) {
    snprintf(place, sizeof place, "%" PRIu32, err->line);
  }
  snprintf(buf, size, "%s%s%s%s%s%s%s", err->file,
           err->file[0] && place[0] ? ":" : "", place,
           err->file[0] || place[0] ? ": " : "", err->path,
           err->path[0] ? ": " : "", err->message);
  return buf;
}

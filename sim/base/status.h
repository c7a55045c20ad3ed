/* status.h -- how the user's mistakes are told.
 *
 * Only the user's mistakes travel as a status. What goes wrong on the
 * simulated device is data (trace and result); what goes wrong in this
 * program is an assert.
 */
#ifndef BASE_STATUS_H
#define BASE_STATUS_H

#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#if defined(__GNUC__)
#define SIM_PRINTF(f, a) __attribute__((format(printf, f, a)))
#else
#define SIM_PRINTF(f, a)
#endif

/* X(NAME, word) */
#define SIM_STATUS_MAP(X)                                                     \
  X(OK, "ok")                                                                 \
  X(FILE, "file")      /* cannot be opened, read or written */                \
  X(SYNTAX, "syntax")  /* not the format it should be */                      \
  X(KEY, "key")        /* unknown, duplicate or missing key */                \
  X(TYPE, "type")      /* wrong type or unit */                               \
  X(RANGE, "range")    /* out of range */                                     \
  X(REFERENCE, "name") /* names something that is not there */                \
  X(USAGE, "usage")    /* command line */                                     \
  X(LIMIT, "limit")    /* larger than this program handles */

enum sim_status {
#define X(name, word) SIM_##name,
  SIM_STATUS_MAP(X)
#undef X
};

/* One error, complete: where it is and what was expected there. line and
 * column count from 1; 0 means "no such place" (a binary file, say). path is
 * the JSON path ("steps[2].hold") or empty. */
struct sim_error {
  enum sim_status status;
  uint32_t line, column;
  char file[512];
  char path[256];
  char message[512];
};

/* Where in a file something stands; any part may be empty or 0. */
struct sim_place {
  const char *file;
  const char *path;
  uint32_t line, column;
};

/* Fill *err and return `status`, so that a reader can `return sim_fail(...)`.
 * The message is one sentence without a full stop, in the form
 * "is X; expected Y". Long texts are cut, never overrun; control characters
 * and bytes that are no UTF-8 become '?'. The arguments may be texts of *err.
 * err may not be NULL. `where` may be NULL. */
enum sim_status sim_fail(struct sim_error *err, enum sim_status status,
                         const struct sim_place *where, const char *format,
                         ...) SIM_PRINTF(4, 5);

/* The same for functions that take such arguments themselves. */
enum sim_status sim_fail_args(struct sim_error *err, enum sim_status status,
                              const struct sim_place *where,
                              const char *format, va_list args)
    SIM_PRINTF(4, 0);

/* "FILE:LINE:COLUMN: PATH: MESSAGE" with absent parts left out. Always
 * terminates buf; returns buf. */
const char *sim_error_text(const struct sim_error *err, char *buf,
                           size_t size);

#endif

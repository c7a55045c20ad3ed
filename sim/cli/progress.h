/* progress.h -- how far it is, on standard error, for what takes more than a
 * second; only on a terminal.
 *
 * Owns: its fields.
 */
#ifndef CLI_PROGRESS_H
#define CLI_PROGRESS_H

#include <stdbool.h>
#include <stdint.h>

struct progress {
  bool shows;       /* standard error is a terminal */
  bool shown;       /* a line is there to be cleared */
  const char *what; /* is counted */
  uint64_t all, done;
  int64_t begun_ms, next_ms;
};

/* `all` 0: nobody knows how many. */
void progress_begin(struct progress *p, uint64_t all, const char *what);
void progress_add(struct progress *p, uint64_t done);

/* Call often: it writes at most four times a second. */
void progress_tick(struct progress *p);

/* Clear the line. */
void progress_end(struct progress *p);

#endif

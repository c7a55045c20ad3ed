/* run_events.h -- the trace of all runs as text, kept to be compared with one
 * that was written before (`run --against`), or to be shown (`run -v`).
 *
 * Owns: the kept text.
 */
#ifndef CLI_RUN_EVENTS_H
#define CLI_RUN_EVENTS_H

#include <stdbool.h>
#include <stdio.h>

#include "base/arena.h"
#include "base/status.h"
#include "report/against.h"

struct run_events {
  FILE *kept; /* NULL: nothing is kept */
  char *text;
  size_t size;
  size_t shown;
  const char *name; /* of the file written before, or NULL */
  struct against_text before;
};

/* Read the file written before (`name` NULL: there is none); keep the events
 * if there is one, or if they are `shown`. Errors: those of reading. */
enum sim_status run_events_open(struct run_events *e, const char *name,
                                bool shown, struct arena *arena,
                                struct sim_error *err);

/* Show those that were added since the last time. */
void run_events_show(struct run_events *e, FILE *to);

/* All is kept: write it to `also` as well (NULL: nowhere), and tell how it
 * compares. True if it is the same, or there is nothing to compare with. */
bool run_events_tell(struct run_events *e, FILE *also, FILE *to);

void run_events_close(struct run_events *e);

#endif

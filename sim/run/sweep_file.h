/* sweep_file.h -- the records of a sweep as JSON lines: one head, then one
 * line a record.
 *
 *   {"firstfetch_sweep":1,"case":...,"setup":...,"points":N,"shard":[1,3]}
 *   {"points":[1,17],"at_ps":["0","..."],"class":"rom",...,"start":{...}}
 *
 * While a sweep runs its lines are in the order in which they came, and the
 * last one may be cut; when it is complete they are in order and joined
 * (sweep.h), so that they are the same however it was worked at.
 *
 * Owns: the list. Borrows: nothing.
 */
#ifndef RUN_SWEEP_FILE_H
#define RUN_SWEEP_FILE_H

#include <stdio.h>

#include "base/arena.h"
#include "base/status.h"
#include "run/sweep.h"

/* What every report of a sweep is drawn from. Texts are in the arena. */
struct sweep_head {
  const char *title, *case_file, *part;
  const char *fault; /* "cut", "reset" or "" */
  const char *kind;  /* of sweep_kind_words */
  const char *how;   /* options that matter, for people; or "" */
  struct hash128 setup;
  uint64_t point_count;   /* of the whole sweep */
  ps_t end;               /* of the base run */
  uint32_t shard, shards; /* this file's part of it, from 1 */
};

struct sweep_records {
  struct sweep_record *list; /* owned */
  size_t count, room;
};

void sweep_records_add(struct sweep_records *records,
                       const struct sweep_record *record);
void sweep_records_free(struct sweep_records *records);

/* In order, neighbours joined. Points that come twice stay apart. */
void sweep_records_order(struct sweep_records *records);

/* The points of one shard; first > last if it has none. */
struct sweep_range sweep_shard(uint64_t point_count, uint32_t shard,
                               uint32_t shards);

/* What of `whole` no ordered record answers; in the arena. */
void sweep_missing(struct arena *arena, const struct sweep_records *records,
                   struct sweep_range whole, struct sweep_range **ranges,
                   uint32_t *count);

/* One line each. Errors stay in the stream. */
void sweep_write_head(FILE *to, const struct sweep_head *head);
void sweep_write_record(FILE *to, const struct sweep_record *record);

/* Read a file; *whole is how many bytes of it are whole lines (a line without
 * its end is none). Errors: SIM_FILE, SIM_SYNTAX, SIM_KEY, SIM_TYPE. */
enum sim_status sweep_read(struct arena *arena, const char *file,
                           struct sweep_head *head,
                           struct sweep_records *records, size_t *whole,
                           struct sim_error *err);

/* True if both are of one sweep; shards may differ. */
bool sweep_same(const struct sweep_head *a, const struct sweep_head *b);

#endif

/* session_parts.h -- what the session*.c share; nobody else.
 */
#ifndef SERVE_SESSION_PARTS_H
#define SERVE_SESSION_PARTS_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "serve/scan.h"
#include "serve/session.h"

/* A packet that begins so, and who answers what is behind that. */
struct session_row {
  const char *begins;
  void (*answer)(struct session *s, struct scan *rest);
};

/* Each ends with a row of NULL. The first row that fits counts. */
extern const struct session_row session_state_rows[]; /* session_state.c */
extern const struct session_row session_go_rows[];    /* session_go.c */
extern const struct session_row session_query_rows[]; /* session_query.c */

/* An answer that is all text, and one in pieces. */
void session_say(struct session *s, const char *text);
void session_begin(struct session *s);
void session_end(struct session *s);

#define SESSION_MALFORMED  "E01"
#define SESSION_IMPOSSIBLE "E02"
#define SESSION_NOTHING    "E03"
#define SESSION_REFUSED    "E04"

/* Text for gdb's user: "O" packets. */
void session_print(struct session *s, const char *text, size_t size);

/* What the program has said since. */
void session_print_said(struct session *s);

/* A register's value, into the answer that is being written. */
void session_put_register(struct session *s, uint32_t number);

/* True in Debug state; else that is the answer. */
bool session_may_write_registers(struct session *s);

/* Why time stands still. */
void session_tell_stop(struct session *s);

#endif

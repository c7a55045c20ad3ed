/* monitor.h -- what gdb's `monitor` command can ask of the part and its board:
 * the resets, supply and reload of a case's steps, and what gdb has no words
 * for.
 *
 * monitor.def has the table of commands. Whatever resets the part halts it at
 * the vector of the next start, before its first instruction; a `continue`
 * lets it begin. gdb keeps the registers that it has read: after a command
 * that moves the part, "maintenance flush register-cache" has it ask again.
 *
 * Owns, borrows: nothing.
 */
#ifndef SERVE_MONITOR_H
#define SERVE_MONITOR_H

#include <stdbool.h>
#include <stdio.h>

#include "serve/target.h"

/* Do what `line` says and write the answer, text of whole lines. False: there
 * is no such command, or it could not be done; the answer says why. */
bool monitor_do(struct target *t, const char *line, FILE *to);

#endif

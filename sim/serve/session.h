/* session.h -- one connection of gdb: bytes in, bytes out, the target between
 * them.
 *
 * The GDB Remote Serial Protocol in all-stop mode, with one thread. What is
 * answered is a row of session*.c; everything else gets the empty answer,
 * which means "not known here". Errors are "E" and two digits; the reason goes
 * to the console, as the protocol has no place for it:
 *
 *   E01 the packet is malformed      E03 nothing is there, or is denied
 *   E02 not possible as things are   E04 the part refused
 *
 * The rule a reader would get wrong: nothing here waits. While the target goes
 * (session_runs) the caller alternates session_pass and session_take; else it
 * may wait for bytes as long as it likes, for no simulated time passes.
 *
 * Same packets, same answers: only the place of an interrupt (0x03) between
 * two passes depends on the host.
 *
 * Not modelled: non-stop mode, threads, watchpoints, file transfer.
 *
 * Owns: what is staged for flash. Borrows: the target, the sender's context.
 */
#ifndef SERVE_SESSION_H
#define SERVE_SESSION_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "serve/loading.h"
#include "serve/packet.h"
#include "serve/scan.h"
#include "serve/target.h"

typedef void (*session_send)(void *context, const uint8_t *bytes, size_t size);

struct session {
  struct target *target;
  session_send send;
  void *context;
  struct packet_reader reader;
  struct packet_writer writer; /* the last packet, to be sent again */
  struct loading loading;
  bool acks;   /* packets are acknowledged */
  bool over;   /* gdb has detached: nothing is answered any more */
  bool killed; /* and the server shall end */
};

void session_open(struct session *s, struct target *t, session_send send,
                  void *context);

/* gdb's breakpoints are taken away. */
void session_close(struct session *s);

void session_take(struct session *s, const uint8_t *bytes, size_t size);

/* True while simulated time is to pass. */
bool session_runs(const struct session *s);

/* Let some pass, and tell gdb if it has stopped. */
void session_pass(struct session *s);

#endif

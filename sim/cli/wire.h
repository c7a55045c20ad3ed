/* wire.h -- how gdb's bytes reach a server: through standard input and output,
 * or a TCP port of this machine.
 *
 * The port listens on 127.0.0.1 only: whoever reaches it may do with the
 * simulated part what gdb can. One connection at a time; the next is accepted
 * when the last has ended.
 *
 * Owns: the sockets. Borrows: the server.
 */
#ifndef CLI_WIRE_H
#define CLI_WIRE_H

#include <stdint.h>

#include "api/firstfetch.h"
#include "base/status.h"

/* Serve who is at the other end of standard input, until it ends. */
void wire_serve_standard(struct firstfetch_server *server);

/* Listen on `port`, or on one that the system chooses (0), say on standard
 * output which it is, and serve one gdb after another until one kills the
 * target. Errors: SIM_FILE. */
enum sim_status wire_serve_port(struct firstfetch_server *server,
                                uint16_t port, struct sim_error *err);

#endif

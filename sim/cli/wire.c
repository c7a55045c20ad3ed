#include "cli/wire.h"

#include <arpa/inet.h>
#include <errno.h>
#include <netinet/in.h>
#include <netinet/tcp.h>
#include <poll.h>
#include <signal.h>
#include <stdio.h>
#include <string.h>
#include <sys/socket.h>
#include <unistd.h>

#define READ_BYTES 4096

struct wire {
  int in, out;
  bool broken; /* nobody is at the other end any more */
};

/* Everything, however long it takes. */
static void send_bytes(void *context, const uint8_t *bytes, size_t size)
{
  struct wire *w = context;
  while (size > 0 && !w->broken) {
    ssize_t written = write(w->out, bytes, size);
    if (written < 0 && errno == EINTR) continue;
    if (written <= 0) {
      w->broken = true;
      return;
    }
    bytes += written;
    size -= (size_t)written;
  }
}

/* True if there is something to read, or the end of it. While simulated time
 * passes nobody waits for it. */
static bool has_bytes(const struct wire *w, bool waits)
{
  struct pollfd in = {.fd = w->in, .events = POLLIN};
  return poll(&in, 1, waits ? -1 : 0) > 0;
}

static void receive(struct wire *w, struct firstfetch_server *server)
{
  uint8_t bytes[READ_BYTES];
  ssize_t size = read(w->in, bytes, sizeof bytes);
  if (size > 0)
    firstfetch_server_take(server, bytes, (size_t)size);
  else if (size == 0 || errno != EINTR)
    w->broken = true;
}

static void serve(struct wire *w, struct firstfetch_server *server)
{
  firstfetch_server_connect(server, send_bytes, w);
  while (!w->broken && !firstfetch_server_is_over(server)) {
    if (has_bytes(w, !firstfetch_server_runs(server)))
      receive(w, server);
    else
      firstfetch_server_pass(server);
  }
  firstfetch_server_disconnect(server);
}

/* A Ctrl-C at gdb's terminal is gdb's; the end of the input is enough. */
void wire_serve_standard(struct firstfetch_server *server)
{
  struct wire w = {STDIN_FILENO, STDOUT_FILENO, false};
  signal(SIGINT, SIG_IGN);
  serve(&w, server);
}

/* --- a port -------------------------------------------------------------- */

static enum sim_status fail(int socket, uint16_t port, struct sim_error *err)
{
  char path[32];
  snprintf(path, sizeof path, "127.0.0.1:%u", port);
  const struct sim_place where = {.path = path};
  enum sim_status status = sim_fail(
      err, SIM_FILE, &where, "can't be listened on: %s", strerror(errno));
  if (socket >= 0) close(socket);
  return status;
}

/* A port that an ended server has left may be taken again at once. */
static enum sim_status listen_on(uint16_t port, int *listening,
                                 struct sim_error *err)
{
  const int yes = 1;
  struct sockaddr_in at = {.sin_family = AF_INET,
                           .sin_port = htons(port),
                           .sin_addr.s_addr = htonl(INADDR_LOOPBACK)};
  *listening = socket(AF_INET, SOCK_STREAM, 0);
  if (*listening < 0 ||
      setsockopt(*listening, SOL_SOCKET, SO_REUSEADDR, &yes, sizeof yes) ||
      bind(*listening, (struct sockaddr *)&at, sizeof at) != 0 ||
      listen(*listening, 1) != 0)
    return fail(*listening, port, err);
  return SIM_OK;
}

static void tell_port(int listening)
{
  struct sockaddr_in at = {0};
  socklen_t size = sizeof at;
  getsockname(listening, (struct sockaddr *)&at, &size);
  printf("listening on 127.0.0.1 only; in gdb: target remote 127.0.0.1:%u\n",
         ntohs(at.sin_port));
  fflush(stdout);
}

/* Answers are short, and gdb waits for each. */
static void serve_connection(int connection, struct firstfetch_server *server)
{
  const int yes = 1;
  struct wire w = {connection, connection, false};
  setsockopt(connection, IPPROTO_TCP, TCP_NODELAY, &yes, sizeof yes);
  serve(&w, server);
  close(connection);
}

enum sim_status wire_serve_port(struct firstfetch_server *server,
                                uint16_t port, struct sim_error *err)
{
  int listening;
  enum sim_status status = listen_on(port, &listening, err);
  if (status != SIM_OK) return status;
  tell_port(listening);
  bool killed = false;
  while (!killed) {
    int connection = accept(listening, NULL, NULL);
    if (connection < 0 && (errno == EINTR || errno == ECONNABORTED)) continue;
    if (connection < 0) return fail(listening, port, err);
    serve_connection(connection, server);
    killed = firstfetch_server_is_killed(server);
  }
  close(listening);
  return SIM_OK;
}

#include <stdlib.h>

#include "api/firstfetch.h"
#include "base/arena.h"
#include "run/play.h"
#include "serve/monitor_tell.h"
#include "serve/session.h"
#include "serve/target.h"

struct firstfetch_server {
  struct play *play; /* owned */
  struct target target;
  struct session session;
};

enum sim_status firstfetch_serve(const struct case_script *script,
                                 const struct part *part,
                                 const struct firstfetch_options *options,
                                 uint32_t steps, FILE *console,
                                 struct firstfetch_server **server,
                                 struct sim_error *err)
{
  static const struct firstfetch_options usual = {0};
  if (!options) options = &usual;
  const struct play_options how = {.svd = options->svd,
                                   .engine = (enum cpu_engine)options->engine,
                                   .semihosting = options->semihosting};
  struct play *play;
  enum sim_status status = play_prepare(script, part, &how, &play, err);
  if (status != SIM_OK) return status;
  struct firstfetch_server *made = calloc(1, sizeof *made);
  if (!made) arena_no_memory();
  made->play = play;
  bool whole = play_until(play, steps);
  target_open(&made->target, play, console);
  if (!whole) target_tell(&made->target, "a limit has stopped the case early");
  monitor_tell_place(&made->target, console);
  *server = made;
  return SIM_OK;
}

void firstfetch_server_free(struct firstfetch_server *server)
{
  if (!server) return;
  target_close(&server->target);
  play_free(server->play);
  free(server);
}

void firstfetch_server_connect(struct firstfetch_server *server,
                               firstfetch_send send, void *context)
{
  session_open(&server->session, &server->target, send, context);
}

void firstfetch_server_disconnect(struct firstfetch_server *server)
{
  session_close(&server->session);
}

void firstfetch_server_take(struct firstfetch_server *server,
                            const uint8_t *bytes, size_t size)
{
  session_take(&server->session, bytes, size);
}

bool firstfetch_server_runs(const struct firstfetch_server *server)
{
  return session_runs(&server->session);
}

void firstfetch_server_pass(struct firstfetch_server *server)
{
  session_pass(&server->session);
}

bool firstfetch_server_is_over(const struct firstfetch_server *server)
{
  return server->session.over;
}

bool firstfetch_server_is_killed(const struct firstfetch_server *server)
{
  return server->session.killed;
}

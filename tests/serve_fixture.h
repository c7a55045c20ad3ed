/* serve_fixture.h -- a session with gdb without gdb: packets are asked, and
 * what comes back is taken apart by rules of its own, those of the GDB manual,
 * "Remote Serial Protocol", Overview.
 */
#ifndef TESTS_SERVE_FIXTURE_H
#define TESTS_SERVE_FIXTURE_H

#include <stdlib.h>
#include <string.h>

#include "played.h"
#include "serve/session.h"
#include "serve/target.h"

#define SERVE_BYTES (1u << 20)

struct serve_bench {
  struct played_bench *played;
  struct play *play;
  struct target target;
  struct session session;
  uint8_t *out; /* all that was sent */
  size_t out_size, out_read;
  char answer[SERVE_BYTES]; /* the last packet that was taken */
  FILE *console;
  char *console_text;
  size_t console_size;
};

static inline void serve_keep(void *context, const uint8_t *bytes, size_t size)
{
  struct serve_bench *b = context;
  assert_true(b->out_size + size <= SERVE_BYTES);
  memcpy(b->out + b->out_size, bytes, size);
  b->out_size += size;
}

static inline const struct case_script *serve_case(struct played_bench *played,
                                                   const char *name)
{
  return played_case(
      played, played_format(played, FIRSTFETCH_ROOT "/traces/%s.jsonc", name));
}

static inline const char *serve_part(struct played_bench *played,
                                     const char *name)
{
  return played_format(played, FIRSTFETCH_ROOT "/models/%s.json", name);
}

/* The first `steps` of a case, on a part. */
static inline struct serve_bench *
serve_open_on(struct played_bench *played, const struct case_script *script,
              const struct part *part, uint32_t steps)
{
  struct serve_bench *b = arena_get(&played->arena, sizeof *b);
  b->played = played;
  b->out = arena_get(&played->arena, SERVE_BYTES);
  b->console = open_memstream(&b->console_text, &b->console_size);
  assert_non_null(b->console);
  b->play = played_prepare(script, part);
  play_until(b->play, steps);
  target_open(&b->target, b->play, b->console);
  session_open(&b->session, &b->target, serve_keep, b);
  return b;
}

/* A committed case, played up to and with a step. */
static inline struct serve_bench *serve_open(struct played_bench *played,
                                             const char *name, uint32_t after)
{
  const struct case_script *script = serve_case(played, name);
  return serve_open_on(played, script,
                       played_part(played, serve_part(played, script->part)),
                       after + 1);
}

static inline void serve_close(struct serve_bench *b)
{
  session_close(&b->session);
  target_close(&b->target);
  play_free(b->play);
  fclose(b->console);
  free(b->console_text);
}

static inline void serve_put(struct serve_bench *b, const void *bytes,
                             size_t size)
{
  session_take(&b->session, bytes, size);
}

/* "$data#sum" */
static inline void serve_send(struct serve_bench *b, const char *data)
{
  unsigned sum = 0;
  for (const char *p = data; *p; p++)
    sum += (unsigned char)*p;
  const char *packet = played_format(b->played, "$%s#%02x", data, sum & 0xffu);
  serve_put(b, packet, strlen(packet));
}

/* The next packet that was sent, taken apart, or NULL; acknowledgements before
 * it are skipped. */
static inline const char *serve_next(struct serve_bench *b)
{
  static const char marks[] = "+-";
  while (b->out_read < b->out_size && b->out[b->out_read] != '\0' &&
         strchr(marks, b->out[b->out_read]))
    b->out_read++;
  if (b->out_read == b->out_size) return NULL;
  assert_int_equal(b->out[b->out_read++], '$');
  unsigned sum = 0;
  size_t size = 0;
  for (; b->out[b->out_read] != '#'; b->out_read++) {
    assert_true(b->out_read < b->out_size && size + 1 < SERVE_BYTES);
    uint8_t byte = b->out[b->out_read];
    sum += byte;
    if (byte == '}') {
      byte = b->out[++b->out_read];
      sum += byte;
      byte ^= 0x20u;
    }
    b->answer[size++] = (char)byte;
  }
  b->answer[size] = '\0';
  char told[3] = {(char)b->out[b->out_read + 1], (char)b->out[b->out_read + 2],
                  '\0'};
  assert_int_equal(strtoul(told, NULL, 16), sum & 0xffu);
  b->out_read += 3;
  return b->answer;
}

/* The last of the packets that have come. */
static inline const char *serve_last(struct serve_bench *b)
{
  bool any = false;
  while (serve_next(b))
    any = true;
  return any ? b->answer : NULL;
}

static inline const char *serve_ask(struct serve_bench *b, const char *data)
{
  serve_send(b, data);
  const char *answer = serve_last(b);
  if (!answer) fail_msg("no answer to %s", data);
  return answer;
}

static inline void serve_expect(struct serve_bench *b, const char *data,
                                const char *answer)
{
  assert_string_equal(serve_ask(b, data), answer);
}

/* Let it go until it stops; returns the answer. Fails if it does not. */
static inline const char *serve_until_stopped(struct serve_bench *b,
                                              const char *data)
{
  serve_send(b, data);
  for (int i = 0; i < 10000 && session_runs(&b->session); i++)
    session_pass(&b->session);
  assert_false(session_runs(&b->session));
  return serve_last(b);
}

/* What is printed by `monitor`, all of it; *done tells how it ended. */
static inline const char *serve_monitor(struct serve_bench *b,
                                        const char *command, bool *done)
{
  char *asked = played_format(b->played, "qRcmd,");
  for (const char *p = command; *p; p++)
    asked = played_format(b->played, "%s%02x", asked, (unsigned char)*p);
  serve_send(b, asked);
  char *text = played_format(b->played, "%s", "");
  const char *answer;
  while ((answer = serve_next(b)) != NULL && answer[0] == 'O' &&
         strcmp(answer, "OK") != 0)
    for (const char *p = answer + 1; *p; p += 2) {
      char digits[3] = {p[0], p[1], '\0'};
      text = played_format(b->played, "%s%c", text,
                           (int)strtoul(digits, NULL, 16));
    }
  assert_non_null(answer);
  *done = strcmp(answer, "OK") == 0;
  return text;
}

/* Little-endian hexadecimal of a word, as registers and memory travel. */
static inline uint32_t serve_word(const char *text)
{
  uint32_t value = 0;
  for (unsigned i = 0; i < 4; i++) {
    char digits[3] = {text[2 * i], text[2 * i + 1], '\0'};
    value |= (uint32_t)strtoul(digits, NULL, 16) << (8 * i);
  }
  return value;
}

static inline uint32_t serve_pc(struct serve_bench *b)
{
  return serve_word(serve_ask(b, "pf"));
}

static inline const char *serve_console(struct serve_bench *b)
{
  fflush(b->console);
  return b->console_text;
}

#endif

#include "report/against.h"

#include <inttypes.h>
#include <string.h>

#include "report/page.h"

/* Bytes of the line that begins at `at`, without its end. */
static size_t line_length(struct against_text t, size_t at)
{
  const char *end = memchr(t.bytes + at, '\n', t.length - at);
  return end ? (size_t)(end - t.bytes) - at : t.length - at;
}

/* Behind the line that begins at `at`, or the end of the text. */
static size_t next_line(struct against_text t, size_t at)
{
  size_t next = at + line_length(t, at);
  return next < t.length ? next + 1 : t.length;
}

struct against against_compare(struct against_text before,
                               struct against_text now)
{
  struct against a = {.line = 1};
  while (a.before_at < before.length && a.now_at < now.length) {
    size_t before_next = next_line(before, a.before_at);
    size_t now_next = next_line(now, a.now_at);
    size_t length = before_next - a.before_at;
    if (length != now_next - a.now_at ||
        memcmp(before.bytes + a.before_at, now.bytes + a.now_at, length) != 0)
      return a;
    a.before_at = before_next;
    a.now_at = now_next;
    a.line++;
  }
  a.same = a.before_at == before.length && a.now_at == now.length;
  if (a.same) a.line--;
  return a;
}

static void put_line(struct against_text t, size_t at, const char *mark,
                     FILE *to)
{
  char line[512];
  size_t length = line_length(t, at);
  if (length >= sizeof line) length = sizeof line - 1;
  memcpy(line, t.bytes + at, length);
  line[length] = '\0';
  fputs(mark, to);
  page_plain(to, line);
  fputc('\n', to);
}

/* Where the line begins that is `lines` before the one at `at`. */
static size_t back(struct against_text t, size_t at, unsigned lines)
{
  while (lines > 0 && at > 0) {
    at--;
    while (at > 0 && t.bytes[at - 1] != '\n') {
      at--;
    }
    lines--;
  }
  return at;
}

static void put_rest(struct against_text t, size_t at, const char *mark,
                     FILE *to)
{
  if (at == t.length) fprintf(to, "%s(the end)\n", mark);
  for (unsigned i = 0; i < AGAINST_LINES && at < t.length; i++) {
    put_line(t, at, mark, to);
    at = next_line(t, at);
  }
}

void against_tell(const struct against *a, const char *name,
                  struct against_text before, struct against_text now,
                  FILE *to)
{
  page_plain(to, name);
  if (a->same) {
    fprintf(to, ": the trace is the same, all %" PRIu64 " lines\n", a->line);
    return;
  }
  fprintf(to, ":%" PRIu64 ": here they part; \"-\" was before, \"+\" is now\n",
          a->line);
  for (size_t at = back(before, a->before_at, AGAINST_LINES);
       at < a->before_at; at = next_line(before, at)) {
    put_line(before, at, "  ", to);
  }
  put_rest(before, a->before_at, "- ", to);
  put_rest(now, a->now_at, "+ ", to);
}

#include "source_text.h"

#include <assert.h>
#include <ctype.h>
#include <dirent.h>
#include <stdarg.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>

#define PATH_SIZE 512

/* --- complaints ---------------------------------------------------------- */

void complaints_open(struct complaints *c)
{
  *c = (struct complaints){0};
  c->to = open_memstream(&c->text, &c->size);
  assert(c->to);
}

void complain(struct complaints *c, const char *path, unsigned line,
              const char *format, ...)
{
  fputs(path, c->to);
  if (line) fprintf(c->to, ":%u", line);
  fputs(": ", c->to);
  va_list args;
  va_start(args, format);
  vfprintf(c->to, format, args);
  va_end(args);
  fputc('\n', c->to);
}

const char *complaints_text(struct complaints *c)
{
  fflush(c->to);
  return c->text;
}

void complaints_close(struct complaints *c)
{
  fclose(c->to);
  free(c->text);
}

bool complaints_end(struct complaints *c)
{
  fputs(complaints_text(c), stderr);
  bool none = c->size == 0;
  complaints_close(c);
  return none;
}

/* --- files --------------------------------------------------------------- */

static void join(char path[PATH_SIZE], const char *folder, const char *name)
{
  const char *between = folder[0] && name[0] ? "/" : "";
  int length = snprintf(path, PATH_SIZE, "%s%s%s", folder, between, name);
  assert(length >= 0 && length < PATH_SIZE);
}

static int no_dot(const struct dirent *entry)
{
  return entry->d_name[0] != '.';
}

static int by_bytes(const void *a, const void *b)
{
  return strcmp(*(char *const *)a, *(char *const *)b);
}

size_t sources_names(const char *folder, char ***names)
{
  char path[PATH_SIZE];
  struct dirent **entries;
  join(path, FIRSTFETCH_ROOT, folder);
  int count = scandir(path, &entries, no_dot, NULL);
  assert(count >= 0);
  *names = calloc((size_t)count + 1, sizeof **names);
  assert(*names);
  for (int i = 0; i < count; i++) {
    (*names)[i] = strdup(entries[i]->d_name);
    free(entries[i]);
  }
  free(entries);
  qsort(*names, (size_t)count, sizeof **names, by_bytes);
  return (size_t)count;
}

char *source_read(const char *path)
{
  char full[PATH_SIZE];
  join(full, FIRSTFETCH_ROOT, path);
  FILE *file = fopen(full, "rb");
  if (!file) return NULL;
  char *text;
  size_t size;
  FILE *to = open_memstream(&text, &size);
  assert(to);
  for (int c = fgetc(file); c != EOF; c = fgetc(file)) {
    fputc(c, to);
  }
  fclose(file);
  fclose(to);
  return text;
}

static bool is_folder(const char *path)
{
  char full[PATH_SIZE];
  struct stat info;
  join(full, FIRSTFETCH_ROOT, path);
  return stat(full, &info) == 0 && S_ISDIR(info.st_mode);
}

static unsigned visit_file(const char *path, source_visitor *visit,
                           struct complaints *c)
{
  char *text = source_read(path);
  assert(text);
  visit(path, text, c);
  free(text);
  return 1;
}

unsigned sources_visit(const char *folder, source_visitor *visit,
                       struct complaints *c)
{
  char **names;
  unsigned visited = 0;
  size_t count = sources_names(folder, &names);
  for (size_t i = 0; i < count; i++) {
    char path[PATH_SIZE];
    join(path, folder, names[i]);
    visited += is_folder(path) ? sources_visit(path, visit, c)
                               : visit_file(path, visit, c);
    free(names[i]);
  }
  free(names);
  return visited;
}

/* --- text ---------------------------------------------------------------- */

bool source_ends(const char *path, const char *ending)
{
  size_t path_length = strlen(path), length = strlen(ending);
  return path_length >= length &&
         strcmp(path + path_length - length, ending) == 0;
}

enum lexer { CODE, BLOCK_COMMENT, LINE_COMMENT, TEXT };

/* One step of the lexer at `p`: how many characters belong together, and what
 * comes after them. `quote` is the one that a text began with. */
static size_t lex(const char *p, enum lexer *in, char *quote)
{
  switch (*in) {
  case BLOCK_COMMENT:
    if (strncmp(p, "*/", 2) != 0) return 1;
    *in = CODE;
    return 2;
  case LINE_COMMENT:
    if (*p == '\n') *in = CODE;
    return 1;
  case TEXT:
    if (*p == '\\' && p[1]) return 2;
    if (*p == *quote || *p == '\n') *in = CODE;
    return 1;
  case CODE: break;
  }
  if (strncmp(p, "/*", 2) == 0) *in = BLOCK_COMMENT;
  if (strncmp(p, "//", 2) == 0) *in = LINE_COMMENT;
  if (*in != CODE) return 2;
  if (*p == '"' || *p == '\'') {
    *in = TEXT;
    *quote = *p;
  }
  return 1;
}

static bool is_comment(enum lexer in)
{
  return in == BLOCK_COMMENT || in == LINE_COMMENT;
}

char *source_code(const char *text, enum source_keep keep)
{
  enum lexer in = CODE;
  char quote = 0;
  char *code = strdup(text);
  assert(code);
  for (char *p = code; *p;) {
    enum lexer before = in;
    size_t length = lex(p, &in, &quote);
    bool blank = is_comment(before) || is_comment(in) ||
                 (keep == SOURCE_BLANK_TEXTS && before == TEXT && in == TEXT);
    for (; length > 0; length--, p++) {
      if (blank && *p != '\n') *p = ' ';
    }
  }
  return code;
}

const char *source_line_comment(const char *text)
{
  enum lexer in = CODE;
  char quote = 0;
  for (const char *p = text; *p;) {
    size_t length = lex(p, &in, &quote);
    if (in == LINE_COMMENT) return p;
    p += length;
  }
  return NULL;
}

static bool is_word_character(char c)
{
  return isalnum((unsigned char)c) || c == '_';
}

const char *source_find_word(const char *text, const char *word)
{
  size_t length = strlen(word);
  for (const char *at = strstr(text, word); at; at = strstr(at + 1, word)) {
    bool begins = at == text || !is_word_character(at[-1]);
    if (begins && !is_word_character(at[length])) return at;
  }
  return NULL;
}

unsigned source_line(const char *text, const char *at)
{
  unsigned line = 1;
  for (const char *p = text; p < at; p++) {
    if (*p == '\n') line++;
  }
  return line;
}

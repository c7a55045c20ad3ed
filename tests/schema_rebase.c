/* Write the JSON Schemas of part and case files from the tables that read
 * them, or (--check) tell whether the files are what would be written.
 *
 * usage: schema_rebase [--check] DIR      DIR is the top of the tree */
#include <assert.h>
#include <stdbool.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/json.h"
#include "describe/case_shape.h"
#include "describe/part_shape.h"

static const struct schema {
  const char *file, *title;
  const struct shape *shape;
} schemas[] = {
    {"models/part.schema.json", "A part of firstfetch", &part_shape},
    {"traces/case.schema.json", "A case of firstfetch", &case_shape},
};

static FILE *open_file(const char *dir, const char *name, const char *mode)
{
  char path[4096];
  int length = snprintf(path, sizeof path, "%s/%s", dir, name);
  FILE *file = length < (int)sizeof path ? fopen(path, mode) : NULL;
  if (!file) fprintf(stderr, "%s: cannot be opened\n", path);
  return file;
}

static void write_schema(const struct schema *schema, FILE *to)
{
  struct json_out *value = shape_schema(schema->shape, schema->title);
  if (!json_write(value, to)) abort();
  json_out_free(value);
}

static bool rebase(const struct schema *schema, const char *dir)
{
  FILE *to = open_file(dir, schema->file, "w");
  if (!to) return false;
  write_schema(schema, to);
  return fclose(to) == 0;
}

/* The first line in which the two streams differ, or 0. */
static unsigned first_difference(FILE *a, FILE *b)
{
  unsigned line = 1;
  for (;;) {
    int c = getc(a);
    if (c != getc(b)) return line;
    if (c == EOF) return 0;
    if (c == '\n') line++;
  }
}

static bool check(const struct schema *schema, const char *dir)
{
  FILE *committed = open_file(dir, schema->file, "r");
  if (!committed) return false;
  FILE *fresh = tmpfile();
  assert(fresh);
  write_schema(schema, fresh);
  rewind(fresh);
  unsigned line = first_difference(committed, fresh);
  fclose(committed);
  fclose(fresh);
  if (line == 0) return true;
  fprintf(stderr,
          "%s:%u: is not what the tables say; expected the output of the "
          "target rebase-schemas\n",
          schema->file, line);
  return false;
}

int main(int count, char **words)
{
  bool checks = count == 3 && strcmp(words[1], "--check") == 0;
  if (count != 2 && !checks) {
    fprintf(stderr, "usage: schema_rebase [--check] DIR\n");
    return 2;
  }
  bool right = true;
  for (size_t i = 0; i < sizeof schemas / sizeof schemas[0]; i++) {
    const struct schema *s = &schemas[i];
    bool done = checks ? check(s, words[2]) : rebase(s, words[1]);
    right = right && done;
  }
  return right ? 0 : 1;
}

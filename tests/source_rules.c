#include "source_rules.h"

#include <stdlib.h>
#include <string.h>

#define COUNT(table) (sizeof(table) / sizeof((table)[0]))

static bool begins(const char *text, const char *with)
{
  return strncmp(text, with, strlen(with)) == 0;
}

static bool is_c(const char *path)
{
  return source_ends(path, ".c") || source_ends(path, ".h") ||
         source_ends(path, ".def");
}

/* The line after `p`, or the end. */
static const char *next_line(const char *p)
{
  p += strcspn(p, "\n");
  return *p ? p + 1 : p;
}

/* --- includes ------------------------------------------------------------ */

/* From the lowest up: a folder includes itself and those before it. */
static const char *const layers[] = {"base",  "describe", "image", "core",
                                     "chip",  "board",    "run",   "report",
                                     "serve", "api",      "cli"};

/* What is between <> and has an owner: only files whose path begins so. */
static const struct owner {
  const char *header; /* or how it begins */
  const char *path;
  const char *why;
} owners[] = {
    {"unicorn/", "sim/core/unicorn", "the engine has one owner"},
    {"cjson/", "sim/base/json", "the JSON library has one owner"},
    {"gelf.h", "sim/image/elf", "the ELF library has one owner"},
    {"libelf.h", "sim/image/elf", "the ELF library has one owner"},
    {"expat.h", "sim/describe/svd_read", "the XML library has one owner"},
    {"elfutils/", "sim/image/elf", "the DWARF library has one owner"},
    {"dwarf.h", "sim/image/elf", "the DWARF library has one owner"},
    {"capstone/", "sim/report/disassembly", "the disassembler has one owner"},
    {"time.h", "sim/cli/", "the host's clock stays outside"},
    {"sys/time.h", "sim/cli/", "the host's clock stays outside"},
    {"locale.h", "sim/cli/", "the host's language stays outside"},
    {"math.h", "sim/cli/", "nothing counts in floating point"},
    {"float.h", "sim/cli/", "nothing counts in floating point"},
};

/* What in sim/chip wires the blocks together; all else there is a block. */
static const char *const wiring[] = {"chip", "registers", "roles"};

/* "chip" of "chip/latch.h", -1 if it names no layer. */
static int layer_of(const char *path)
{
  for (size_t i = 0; i < COUNT(layers); i++) {
    size_t length = strlen(layers[i]);
    if (begins(path, layers[i]) && path[length] == '/') return (int)i;
  }
  return -1;
}

/* Length of "chip/flash" in "chip/flash_words.c": one block may be several
 * files. */
static size_t block_length(const char *path)
{
  return strcspn(path, "_.");
}

static bool is_block(const char *path)
{
  const char *name = path + strlen("chip/");
  if (!begins(path, "chip/")) return false;
  for (size_t i = 0; i < COUNT(wiring); i++) {
    size_t length = strlen(wiring[i]);
    if (block_length(name) == length && begins(name, wiring[i])) return false;
  }
  return true;
}

static bool same_block(const char *a, const char *b)
{
  size_t length = block_length(a);
  return block_length(b) == length && strncmp(a, b, length) == 0;
}

/* `file` and `included` are relative to sim/. */
static void judge_own(const char *file, const char *included, unsigned line,
                      struct complaints *c)
{
  int from = layer_of(file), to = layer_of(included);
  char path[256];
  snprintf(path, sizeof path, "sim/%s", file);
  if (from < 0) {
    complain(c, path, 0, "is in no folder of sim/ that has a rank");
  } else if (to < 0) {
    complain(c, path, line, "\"%s\": expected FOLDER/NAME", included);
  } else if (to > from) {
    complain(c, path, line, "\"%s\": %s/ is above %s/", included, layers[to],
             layers[from]);
  } else if (to == from && is_block(file) && !same_block(file, included)) {
    complain(c, path, line, "\"%s\": a block of chip/ knows only itself",
             included);
  }
}

static void judge_library(const char *path, const char *included,
                          unsigned line, struct complaints *c)
{
  for (size_t i = 0; i < COUNT(owners); i++) {
    if (begins(included, owners[i].header) && !begins(path, owners[i].path)) {
      complain(c, path, line, "<%s>: %s, %s*", included, owners[i].why,
               owners[i].path);
    }
  }
}

/* `p` stands behind the word include. */
static void judge_include(const char *path, const char *p, unsigned line,
                          struct complaints *c)
{
  char name[128];
  p += strspn(p, " \t");
  char close = *p == '<' ? '>' : '"';
  size_t length = *p ? strcspn(p + 1, close == '>' ? ">\n" : "\"\n") : 0;
  bool named = (*p == '<' || *p == '"') && length < sizeof name &&
               p[1 + length] == close;
  if (!named) {
    complain(c, path, line, "#include: expected \"...\" or <...>");
    return;
  }
  memcpy(name, p + 1, length);
  name[length] = '\0';
  if (close == '"') {
    judge_own(path + strlen("sim/"), name, line, c);
  } else {
    judge_library(path, name, line, c);
  }
}

void rule_includes(const char *path, const char *text, struct complaints *c)
{
  if (!begins(path, "sim/") || !is_c(path)) return;
  char *code = source_code(text, SOURCE_KEEP_TEXTS);
  unsigned line = 1;
  for (const char *p = code; *p; p = next_line(p), line++) {
    const char *word = p + strspn(p, " \t");
    if (*word != '#') continue;
    word += 1 + strspn(word + 1, " \t");
    if (begins(word, "include")) {
      judge_include(path, word + strlen("include"), line, c);
    }
  }
  free(code);
}

/* --- lengths ------------------------------------------------------------- */

static unsigned count_lines(const char *text)
{
  unsigned lines = 0;
  for (const char *p = text; *p; p++) {
    if (*p == '\n') lines++;
  }
  return lines;
}

static bool is_blank_line(const char *p)
{
  p += strspn(p, " \t");
  return *p == '\n' || *p == '\0';
}

/* The brace that opens a function has a line of its own, at column 1; so has
 * the one that closes it. */
static void judge_functions(const char *path, const char *code,
                            struct complaints *c)
{
  unsigned line = 1, first = 1;
  bool inside = false;
  for (const char *p = code; *p; p = next_line(p), line++) {
    if (*p == '{') inside = true;
    if (*p == '}' && inside) {
      inside = false;
      unsigned length = line - first + 1;
      if (length > RULE_MAX_FUNCTION_LINES) {
        complain(c, path, first, "a function of %u lines; at most %u", length,
                 RULE_MAX_FUNCTION_LINES);
      }
    }
    if (!inside && (is_blank_line(p) || *p == '}' || *p == '#')) {
      first = line + 1;
    }
  }
}

void rule_lengths(const char *path, const char *text, struct complaints *c)
{
  if (!is_c(path)) return;
  unsigned lines = count_lines(text);
  if (lines > RULE_MAX_FILE_LINES) {
    complain(c, path, 0, "%u lines; at most %u", lines, RULE_MAX_FILE_LINES);
  }
  char *code = source_code(text, SOURCE_BLANK_TEXTS);
  judge_functions(path, code, c);
  free(code);
}

/* --- words --------------------------------------------------------------- */

static void judge_line_comments(const char *path, const char *text,
                                struct complaints *c)
{
  const char *at = source_line_comment(text);
  if (!at) return;
  complain(c, path, source_line(text, at), "a comment to the end of the line");
}

/* A typedef with parentheses is that of a function's type. */
static void judge_typedefs(const char *path, const char *code,
                           struct complaints *c)
{
  static const char *const tagged[] = {"struct", "union", "enum"};
  const char *at = source_find_word(code, "typedef");
  for (; at; at = source_find_word(at + 1, "typedef")) {
    const char *type = at + strlen("typedef");
    type += strspn(type, " \t\n");
    if (type[strcspn(type, "({;")] == '(') continue;
    for (size_t i = 0; i < COUNT(tagged); i++) {
      if (source_find_word(type, tagged[i]) == type) {
        complain(c, path, source_line(code, at), "typedef of a %s", tagged[i]);
      }
    }
  }
}

void rule_wording(const char *path, const char *text, struct complaints *c)
{
  if (!is_c(path)) return;
  judge_line_comments(path, text, c);
  char *code = source_code(text, SOURCE_BLANK_TEXTS);
  judge_typedefs(path, code, c);
  free(code);
}

/* Each of `words` that stands in `in`, once. */
static void refuse_words(const char *path, const char *in,
                         const char *const *words, size_t count,
                         struct complaints *c)
{
  for (size_t i = 0; i < count; i++) {
    const char *at = source_find_word(in, words[i]);
    if (at) complain(c, path, source_line(in, at), "says %s", words[i]);
  }
}

void rule_integers(const char *path, const char *text, struct complaints *c)
{
  static const char *const words[] = {"float", "double"};
  if (!begins(path, "sim/") || !is_c(path)) return;
  char *code = source_code(text, SOURCE_BLANK_TEXTS);
  refuse_words(path, code, words, COUNT(words), c);
  free(code);
}

/* Written in two pieces, as this file is read as well. */
void rule_notes(const char *path, const char *text, struct complaints *c)
{
  static const char *const words[] = {"TO"
                                      "DO",
                                      "FIX"
                                      "ME",
                                      "XX"
                                      "X"};
  refuse_words(path, text, words, COUNT(words), c);
}

/* --- parts --------------------------------------------------------------- */

/* Names of parts that are words of the vocabulary too, and where. */
static const struct homonym {
  const char *word, *path;
} homonyms[] = {
    /* how the blank check is held, in a part's file */
    {"latched", "sim/describe/names.c"},
};

static bool is_homonym(const char *word, const char *path)
{
  for (size_t i = 0; i < COUNT(homonyms); i++) {
    if (strcmp(word, homonyms[i].word) == 0 &&
        strcmp(path, homonyms[i].path) == 0) {
      return true;
    }
  }
  return false;
}

/* A name of several words is refused wherever it stands; one that is a plain
 * word, where it is a text of its own or the name of a file. */
void rule_parts(const char *path, const char *text, const char *part,
                struct complaints *c)
{
  char texts[3][128];
  size_t count = 0;
  if (!begins(path, "sim/") || is_homonym(part, path)) return;
  snprintf(texts[count++], sizeof texts[0], "\"%s\"", part);
  snprintf(texts[count++], sizeof texts[0], "%s.json", part);
  if (strchr(part, '-')) snprintf(texts[count++], sizeof texts[0], "%s", part);
  for (size_t i = 0; i < count; i++) {
    const char *at = strstr(text, texts[i]);
    if (at) {
      complain(c, path, source_line(text, at), "names the part %s", part);
      return;
    }
  }
}

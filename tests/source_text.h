/* source_text.h -- the files of the tree, as the checks of the house read
 * them, and the list of what they complain about.
 *
 * Owns: a list of complaints its text. Borrows: nothing.
 */
#ifndef TESTS_SOURCE_TEXT_H
#define TESTS_SOURCE_TEXT_H

#include <stdbool.h>
#include <stddef.h>
#include <stdio.h>

#include "base/status.h"

/* One line each, "FILE:LINE: what", in the order found. */
struct complaints {
  FILE *to;
  char *text; /* after complaints_text */
  size_t size;
};

void complaints_open(struct complaints *c);
/* `line` counts from 1; 0 means the file as a whole. */
void complain(struct complaints *c, const char *path, unsigned line,
              const char *format, ...) SIM_PRINTF(4, 5);
/* All of them up to now; "" if there are none. Valid until the next call. */
const char *complaints_text(struct complaints *c);
void complaints_close(struct complaints *c);
/* Print them to standard error, and close. True if there were none. */
bool complaints_end(struct complaints *c);

/* Receives a file; `path` is relative to the root of the tree. */
typedef void source_visitor(const char *path, const char *text,
                            struct complaints *c);

/* Visit each file below `folder`, in the order of their names, but none whose
 * name begins with a dot. Returns how many there were. */
unsigned sources_visit(const char *folder, source_visitor *visit,
                       struct complaints *c);

/* Names in a folder that do not begin with a dot, in their order. The caller
 * frees each, and the list. `folder` is relative to the root; "" is it. */
size_t sources_names(const char *folder, char ***names);

/* A whole file, to be freed; NULL if it isn't there. */
char *source_read(const char *path);

bool source_ends(const char *path, const char *ending);

/* C text with every character of its comments and, if asked, of its texts
 * and characters replaced by a space; line ends and quotes stay. To be
 * freed. */
enum source_keep { SOURCE_KEEP_TEXTS, SOURCE_BLANK_TEXTS };
char *source_code(const char *text, enum source_keep keep);

/* The first comment that ends with its line, or NULL. */
const char *source_line_comment(const char *text);

/* The next place of `word` in `text` where it is no part of a longer word,
 * or NULL. */
const char *source_find_word(const char *text, const char *word);

/* Line of `at` in `text`, from 1. */
unsigned source_line(const char *text, const char *at);

#endif

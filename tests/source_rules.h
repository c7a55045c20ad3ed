/* source_rules.h -- the rules of the house about C sources: what one file may
 * include, and how it is written.
 *
 * A rule looks at one file at a time and complains. Paths are relative to the
 * root of the tree ("sim/chip/latch.c").
 */
#ifndef TESTS_SOURCE_RULES_H
#define TESTS_SOURCE_RULES_H

#include "source_text.h"

#define RULE_MAX_FILE_LINES     500u
#define RULE_MAX_FUNCTION_LINES 60u

/* sim/ only: includes go downward; blocks of sim/chip know only themselves;
 * each library and each door to the host has its owner. */
void rule_includes(const char *path, const char *text, struct complaints *c);

/* No file and no function of C is too long. A function counts from its
 * signature to its closing brace. */
void rule_lengths(const char *path, const char *text, struct complaints *c);

/* No typedef of a struct, union or enum, and no line comments. */
void rule_wording(const char *path, const char *text, struct complaints *c);

/* sim/ only: nothing counts in floating point. */
void rule_integers(const char *path, const char *text, struct complaints *c);

/* Any text file: no notes about what is not done. */
void rule_notes(const char *path, const char *text, struct complaints *c);

/* sim/ only: the program knows no part of models/ by name. */
void rule_parts(const char *path, const char *text, const char *part,
                struct complaints *c);

#endif

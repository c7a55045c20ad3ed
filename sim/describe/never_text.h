/* never_text.h -- what a case says must never happen, in words.
 *
 * Owns, borrows: nothing.
 */
#ifndef DESCRIBE_NEVER_TEXT_H
#define DESCRIBE_NEVER_TEXT_H

#include <stddef.h>

#include "describe/case.h"

/* "pin driven, P4, by anything", cut to `size`. */
void never_text(const struct case_never *never, char *text, size_t size);

/* What it is, for who has never met it: a whole sentence. */
const char *never_sentence(enum never_kind kind);

#endif

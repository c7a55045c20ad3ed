/* names.h -- the words of the enumerations, each said once.
 *
 * Every enumeration of the description that a user reads or writes has its
 * table of words here; readers, reports and schemas use the same table.
 */
#ifndef DESCRIBE_NAMES_H
#define DESCRIBE_NAMES_H

#include <stdbool.h>
#include <stdint.h>

#include "describe/case.h"
#include "describe/part.h"
#include "describe/trace_kinds.h"

const char *cause_word(enum cause c);
const char *cause_sentence(enum cause c);
const char *verb_word(enum verb v);
const char *verb_sentence(enum verb v);
const char *outcome_word(enum outcome o);
const char *request_word(enum trace_request r);
const char *reply_word(enum trace_reply r);
const char *reply_sentence(enum trace_reply r);
const char *role_word(enum role r); /* "none" for ROLE_NONE */
const char *memory_kind_word(enum memory_kind k);
const char *source_word(enum source s); /* "published" for SOURCE_PUBLISHED */
const char *section_word(enum part_section s);
/* "blank" or "programmed". */
const char *latch_word(bool programmed);
/* Words of a column of the reset table: its key, and what it does or not. */
const char *column_key(enum reset_column c);
const char *column_word(enum reset_column c, bool does);
const char *column_sentence(enum reset_column c);

/* Lists of words ended by NULL, each in the order of its enumeration. */
extern const char *const cause_words[];
extern const char *const outcome_words[];
extern const char *const role_words[];
extern const char *const verb_words[];
extern const char *const latch_words[]; /* by "programmed" */
extern const char *const core_kind_words[];
extern const char *const memory_kind_words[];
extern const char *const unknown_words[];
extern const char *const answer_when_words[];
extern const char *const blank_held_words[];
extern const char *const torn_words[];
extern const char *const while_busy_words[];
extern const char *const integrity_words[];
extern const char *const access_words[];
extern const char *const net_level_words[];
extern const char *const driver_kind_words[];
extern const char *const never_words[];
extern const char *const power_words[];
extern const char *const erase_words[];
extern const char *const order_words[];
extern const char *const probe_words[];
/* By the number that core/core.h gives them. */
extern const char *const core_register_words[];
extern const char *const attach_words[];
extern const char *const reset_way_words[];
extern const char *const drive_words[];
extern const char *const request_words[];
extern const char *const reply_words[];

#endif

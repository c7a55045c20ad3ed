/* json.h -- JSON files, read strictly, every value with its place.
 *
 * cJSON does the parsing; json.c and json_write.c are the only files that
 * know it. One scan of our own comes first (json_scan.c): it validates
 * strictly (RFC 8259: no leading zeros, no bare "1.", no bad UTF-8, no
 * control characters, no trailing commas, one value, nothing behind it, no
 * byte order mark; and, stricter than that, no lone surrogates and no
 * \u0000), blanks comments to spaces where they are allowed, refuses nesting
 * deeper than 64, and records where each value begins. The n-th value is
 * then the n-th cJSON node in pre-order. Duplicate keys are refused when
 * their escapes are decoded.
 *
 * Numbers are not interpreted: `text` is the source text, and json_integer
 * reads it exactly.
 *
 * Lines end with '\n'. A column counts characters, not bytes; a tab is one.
 */
#ifndef BASE_JSON_H
#define BASE_JSON_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>

#include "base/arena.h"
#include "base/status.h"

#define JSON_MAX_BYTES  (16u << 20)
#define JSON_MAX_DEPTH  64         /* lists and objects inside one another */
#define JSON_MAX_VALUES (1u << 20) /* in one document */

enum json_type {
  JSON_NULL,
  JSON_BOOLEAN,
  JSON_NUMBER,
  JSON_STRING,
  JSON_LIST,
  JSON_OBJECT
};

struct json {
  enum json_type type;
  const char *file;              /* of the document, for messages */
  const char *key;               /* in an object, else NULL */
  const char *text;              /* string: decoded; number: source text */
  bool truth;                    /* boolean */
  uint32_t count;                /* list, object: number of children */
  uint32_t index;                /* position among its siblings */
  uint32_t line, column;         /* of the value's first character, from 1 */
  uint32_t key_line, key_column; /* of the key, where there is one */
  const struct json *parent, *child, *next;
};

/* Parse `length` bytes. All nodes and texts live in `arena`. `file` is kept
 * by reference. *root is set only if it returns SIM_OK. Errors: SIM_SYNTAX;
 * SIM_KEY at the second of two equal keys; SIM_LIMIT. */
enum sim_status json_parse(struct arena *arena, const char *file,
                           const char *text, size_t length, bool comments,
                           const struct json **root, struct sim_error *err);

/* Read and parse a file; comments are allowed if its name ends in ".jsonc".
 * Adds SIM_FILE to the errors. */
enum sim_status json_read(struct arena *arena, const char *file,
                          const struct json **root, struct sim_error *err);

/* Member of an object, or NULL. Case sensitive. Asserts that it is one. */
const struct json *json_get(const struct json *object, const char *key);

/* Exact integer of a JSON_NUMBER without fraction or exponent; false if it
 * is anything else or beyond 2^53 in magnitude. */
bool json_integer(const struct json *value, int64_t *out);

/* "steps[2].hold"; the root is "". Keys of anything but letters, digits, '_'
 * and '-' are quoted: `when["option.start"]`. Always terminates buf; returns
 * buf. */
const char *json_path(const struct json *value, char *buf, size_t size);

/* "a string", "a list", "true" ...: for "is a string; expected ..." */
const char *json_type_text(const struct json *value);

/* sim_fail at the place of `value`. */
enum sim_status json_fail(const struct json *value, enum sim_status status,
                          struct sim_error *err, const char *format, ...)
    SIM_PRINTF(4, 5);

/* sim_fail at the place of the key of a member: for keys that should not be
 * there. */
enum sim_status json_fail_key(const struct json *member,
                              enum sim_status status, struct sim_error *err,
                              const char *format, ...) SIM_PRINTF(4, 5);

/* --- writing -------------------------------------------------------------
 * A tree of values under construction; keys keep their order. Strings are
 * copied. Refused by assert: integers beyond 2^53 (write them as strings), a
 * key that is there already, a key in a list or none in an object. Bytes that
 * are no UTF-8 are written as U+FFFD.
 */
struct json_out; /* a cJSON node */

struct json_out *json_out_object(void);
struct json_out *json_out_list(void);

/* Free a value from json_out_object or json_out_list, with all its members.
 * Not for members alone. */
void json_out_free(struct json_out *value);

/* Add a member; key is NULL when `to` is a list. Return the new child. */
struct json_out *json_add_object(struct json_out *to, const char *key);
struct json_out *json_add_list(struct json_out *to, const char *key);
void json_add_text(struct json_out *to, const char *key, const char *text);
void json_add_format(struct json_out *to, const char *key, const char *format,
                     ...) SIM_PRINTF(3, 4);
void json_add_integer(struct json_out *to, const char *key, int64_t value);
void json_add_boolean(struct json_out *to, const char *key, bool value);
void json_add_null(struct json_out *to, const char *key);
/* A copy of a value that was read, with all that is in it. */
void json_add_copy(struct json_out *to, const char *key,
                   const struct json *value);

/* Two-space indentation, '\n' line ends, a final newline. False if the
 * stream reports an error. */
bool json_write(const struct json_out *value, FILE *to);

#endif

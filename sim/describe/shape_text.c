#include "describe/shape_text.h"

#include <assert.h>
#include <inttypes.h>
#include <limits.h>
#include <stdarg.h>
#include <stdio.h>
#include <string.h>

#include "base/nearest.h"

/* A text that grows in a buffer until it is full. */
struct text {
  char *buf;
  size_t size, used;
};

static struct text begin(char *buf, size_t size)
{
  assert(size > 0);
  buf[0] = '\0';
  return (struct text){buf, size, 0};
}

SIM_PRINTF(2, 3)
static void put(struct text *t, const char *format, ...)
{
  va_list args;
  va_start(args, format);
  int length = vsnprintf(t->buf + t->used, t->size - t->used, format, args);
  va_end(args);
  assert(length >= 0);
  t->used += (size_t)length;
  if (t->used >= t->size) t->used = t->size - 1;
}

/* --- what is there ------------------------------------------------------- */

#define SHOWN 60 /* characters of a long text */

const char *shape_shown(const struct json *value, char *buf, size_t size)
{
  struct text t = begin(buf, size);
  bool cut = value->text && strlen(value->text) > SHOWN;
  switch (value->type) {
  case JSON_STRING:
    put(&t, "\"%.*s%s\"", SHOWN, value->text, cut ? "..." : "");
    break;
  case JSON_NUMBER:
    put(&t, "%.*s%s", SHOWN, value->text, cut ? "..." : "");
    break;
  default: put(&t, "%s", json_type_text(value)); break;
  }
  return buf;
}

/* --- what was meant ------------------------------------------------------ */

static const unsigned far_away = UINT_MAX;

/* The distance if it is a slip of the pen; far_away if not. */
static unsigned slip(const char *word, const char *meant)
{
  size_t length = strlen(meant);
  unsigned d = nearest_distance(word, meant);
  unsigned bound = length < 4 ? 1 : length < 9 ? 2 : 3;
  return d <= bound ? d : far_away;
}

bool shape_is_near(const char *word, const char *meant)
{
  return slip(word, meant) < far_away;
}

/* --- lists of words ------------------------------------------------------ */

#define LISTED 16 /* words; more are counted */
#define FEW    8  /* so few are all listed, whichever was meant */

/* The i-th of some words, or NULL behind the last. */
typedef const char *(*word_at)(const void *words, size_t i);

static const char *list_word(const void *words, size_t i)
{
  return ((const char *const *)words)[i];
}

static const char *key_word(const void *shape, size_t i)
{
  size_t at;
  if (i >= shape_row_count(shape)) return NULL;
  return shape_row_at(shape, i, &at)->key;
}

/* The word that was meant; NULL if none is near, or several are. */
static const char *nearest(const void *words, word_at get, const char *word)
{
  unsigned least = far_away;
  const char *best = NULL;
  for (size_t i = 0; get(words, i); i++) {
    unsigned d = slip(word, get(words, i));
    if (d == least) best = NULL;
    if (d >= least) continue;
    least = d;
    best = get(words, i);
  }
  return best;
}

static void put_list(struct text *t, const void *words, word_at get)
{
  size_t count = 0;
  while (get(words, count)) {
    count++;
  }
  if (count > 2) put(t, "one of ");
  const char *word = get(words, 0);
  for (size_t i = 0; word && i < LISTED; word = get(words, ++i)) {
    const char *between = i == 0 ? "" : count == 2 ? " or " : ", ";
    put(t, "%s\"%s\"", between, word);
  }
  if (count > LISTED) put(t, " ... (%zu in all)", count);
}

static void put_words(struct text *t, const void *words, word_at get,
                      const char *word)
{
  const char *meant = nearest(words, get, word);
  if (meant) {
    put(t, "\"%s\"", meant);
  } else {
    put_list(t, words, get);
  }
}

const char *shape_keys(const struct shape *shape, const char *key, char *buf,
                       size_t size)
{
  struct text t = begin(buf, size);
  put_words(&t, shape, key_word, key);
  return buf;
}

const char *shape_words(const char *const *words, const char *word, char *buf,
                        size_t size)
{
  struct text t = begin(buf, size);
  size_t count = 0;
  while (words[count]) {
    count++;
  }
  if (word && count > FEW) {
    put_words(&t, words, list_word, word);
  } else {
    put_list(&t, words, list_word);
  }
  return buf;
}

/* --- what a row wants ---------------------------------------------------- */

static void put_bound(struct text *t, const struct shape_row *row,
                      int64_t bound)
{
  char buf[48];
  switch (row->kind) {
  case SHAPE_HEX: put(t, "0x%08" PRIx64, (uint64_t)bound); break;
  case SHAPE_BYTES:
    put(t, "%s", units_text(buf, sizeof buf, UNIT_BYTES, bound));
    break;
  case SHAPE_AMOUNT:
  case SHAPE_QUANTITY:
    put(t, "%s", units_text(buf, sizeof buf, row->unit, bound));
    break;
  default: put(t, "%" PRId64, bound); break;
  }
}

static void put_bounds(struct text *t, const struct shape_row *row)
{
  if (row->max > 0) {
    put(t, "from ");
    put_bound(t, row, row->min);
    put(t, " to ");
    put_bound(t, row, row->max);
  } else if (row->min > 0) {
    put(t, "at least ");
    put_bound(t, row, row->min);
  }
}

const char *shape_bounds(const struct shape_row *row, char *buf, size_t size)
{
  struct text t = begin(buf, size);
  put_bounds(&t, row);
  return buf;
}

static void put_bounded(struct text *t, const struct shape_row *row,
                        const char *what)
{
  put(t, "%s", what);
  if (row->max > 0 || row->min > 0) put(t, " ");
  put_bounds(t, row);
}

static void put_wanted(struct text *t, const struct shape_row *row);

static void put_forms(struct text *t, const struct shape_row *row)
{
  for (size_t i = 0; i < row->of_count; i++) {
    if (i > 0) put(t, " or ");
    put_wanted(t, &row->of[i]);
  }
}

static void put_wanted(struct text *t, const struct shape_row *row)
{
  if (row->expected) {
    put(t, "%s", row->expected);
    return;
  }
  switch (row->kind) {
  case SHAPE_TEXT: put(t, "a text"); break;
  case SHAPE_NAME:
    put(t, "a name of letters, digits, '_', '-' and '+'");
    break;
  case SHAPE_FLAG: put(t, "true or false"); break;
  case SHAPE_EITHER:
  case SHAPE_CHOICE: put_list(t, row->words, list_word); break;
  case SHAPE_COUNT:
  case SHAPE_WIDE: put_bounded(t, row, "an integer"); break;
  case SHAPE_HEX: put_bounded(t, row, "a number such as \"0x1F\""); break;
  case SHAPE_BYTES: put_bounded(t, row, units_expected(UNIT_BYTES)); break;
  case SHAPE_AMOUNT:
  case SHAPE_QUANTITY: put_bounded(t, row, units_expected(row->unit)); break;
  case SHAPE_BITS: put(t, "bits such as \"7:4\" or \"3\""); break;
  case SHAPE_OBJECT: put(t, "an object: %s", row->shape->what); break;
  case SHAPE_LIST: put(t, "a list"); break;
  case SHAPE_MAP: put(t, "an object"); break;
  case SHAPE_CUSTOM: put_forms(t, row); break;
  }
}

const char *shape_wanted(const struct shape_row *row, char *buf, size_t size)
{
  struct text t = begin(buf, size);
  put_wanted(&t, row);
  return buf;
}

/* From the elements of a CMSIS-SVD file to registers with addresses. */
#include <inttypes.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "describe/svd_tree.h"

const char *const svd_kept[] = {
    "device",      "name",         "peripherals",   "peripheral",
    "baseAddress", "registers",    "register",      "cluster",
    "size",        "resetValue",   "addressOffset", "resetMask",
    "dim",         "dimIncrement", "dimIndex",      NULL};

/* Assumed, above any real file: derivedFrom after derivedFrom, and clusters
 * in clusters. More is a circle. */
#define MAX_LINEAGE  16
#define MAX_CLUSTERS 16
#define MAX_DIM      65536
#define MAX_STEPS    (4 * SVD_MAX_REGISTERS) /* registers and clusters */

struct collecting {
  struct arena *arena;
  struct svd *svd;
  struct svd_register *room;
  const struct svd_element *device;
  struct sim_error *err;
  uint32_t steps;
};

/* An element, then what it is derived from, and so on. */
struct lineage {
  const struct svd_element *of[MAX_LINEAGE];
  uint32_t count;
};

/* What is handed down to what is inside. */
struct properties {
  uint64_t size, reset, mask; /* size in bits */
};

/* Where the inside of a peripheral or cluster stands. */
struct place {
  const char *prefix; /* "UART0." */
  uint64_t base;
  struct properties properties;
  unsigned clusters;
};

static enum sim_status fail(struct collecting *c, const struct svd_element *e,
                            enum sim_status status, const char *what)
{
  struct sim_place where = {
      .file = c->svd->file, .path = e->name, .line = e->line};
  return sim_fail(c->err, status, &where, "%s", what);
}

static const struct svd_element *child_of(const struct svd_element *e,
                                          const char *name)
{
  e = e ? e->child : NULL;
  while (e && strcmp(e->name, name) != 0) {
    e = e->next;
  }
  return e;
}

/* --- derivedFrom --------------------------------------------------------- */

/* The child whose name is the `length` bytes at `name`. */
static const struct svd_element *named(const struct svd_element *parent,
                                       const char *name, size_t length)
{
  const struct svd_element *e = parent ? parent->child : NULL;
  for (; e; e = e->next) {
    const struct svd_element *own = child_of(e, "name");
    if (own && strlen(own->text) == length &&
        memcmp(own->text, name, length) == 0) {
      return e;
    }
  }
  return NULL;
}

/* "PERIPHERAL.CLUSTER.REGISTER", from the top. */
static const struct svd_element *at_path(const struct collecting *c,
                                         const char *path)
{
  const struct svd_element *e = child_of(c->device, "peripherals");
  for (;;) {
    size_t length = strcspn(path, ".");
    e = named(e, path, length);
    if (!e || path[length] == '\0') return e;
    path += length + 1;
    if (strcmp(e->name, "peripheral") == 0) e = child_of(e, "registers");
  }
}

static enum sim_status find_lineage(struct collecting *c,
                                    const struct svd_element *e,
                                    struct lineage *l)
{
  l->count = 0;
  for (;;) {
    if (l->count == MAX_LINEAGE) {
      return fail(c, e, SIM_REFERENCE,
                  "is derived in a circle; expected an end to it");
    }
    l->of[l->count++] = e;
    if (!e->derived) return SIM_OK;
    const struct svd_element *from =
        named(e->parent, e->derived, strlen(e->derived));
    if (!from) from = at_path(c, e->derived);
    if (!from || strcmp(from->name, e->name) != 0) {
      return fail(c, e, SIM_REFERENCE,
                  "is derived from something that is not there; expected the "
                  "name of another of its kind");
    }
    e = from;
  }
}

static const struct svd_element *inherited(const struct lineage *l,
                                           const char *key)
{
  for (uint32_t i = 0; i < l->count; i++) {
    const struct svd_element *e = child_of(l->of[i], key);
    if (e) return e;
  }
  return NULL;
}

/* --- numbers ------------------------------------------------------------- */

static int digit_of(char ch)
{
  if (ch >= '0' && ch <= '9') return ch - '0';
  if (ch >= 'a' && ch <= 'f') return ch - 'a' + 10;
  if (ch >= 'A' && ch <= 'F') return ch - 'A' + 10;
  return 99;
}

/* The format's scaledNonNegativeInteger without its scale: "0x4000", "64",
 * "#1010" (binary; x, which may be either, is 0). */
static bool parse(const char *text, uint64_t *out)
{
  unsigned radix = 10;
  if (*text == '+') text++;
  if (text[0] == '0' && (text[1] == 'x' || text[1] == 'X')) {
    radix = 16;
    text += 2;
  } else if (*text == '#') {
    radix = 2;
    text++;
  }
  if (*text == '\0') return false;
  for (*out = 0; *text; text++) {
    bool either = radix == 2 && *text == 'x';
    int digit = either ? 0 : digit_of(*text);
    if (digit >= (int)radix) return false;
    if (*out > (UINT64_MAX - (unsigned)digit) / radix) return false;
    *out = *out * radix + (unsigned)digit;
  }
  return true;
}

/* The number under `key`; `*out` stays if there is none. */
static enum sim_status number(struct collecting *c, const struct lineage *l,
                              const char *key, uint64_t most, uint64_t *out)
{
  const struct svd_element *e = inherited(l, key);
  if (!e) return SIM_OK;
  if (!parse(e->text, out)) {
    return fail(c, e, SIM_SYNTAX, "is no number; expected one such as 0x40");
  }
  if (*out <= most) return SIM_OK;
  return fail(c, e, SIM_RANGE, "is too large; expected a smaller number");
}

static enum sim_status needed_number(struct collecting *c,
                                     const struct lineage *l, const char *key,
                                     const char *missing, uint64_t *out)
{
  if (!inherited(l, key)) return fail(c, l->of[0], SIM_KEY, missing);
  return number(c, l, key, UINT32_MAX, out);
}

static enum sim_status read_properties(struct collecting *c,
                                       const struct lineage *l,
                                       struct properties *p)
{
  enum sim_status status = number(c, l, "size", 64, &p->size);
  if (status == SIM_OK)
    status = number(c, l, "resetValue", UINT64_MAX, &p->reset);
  if (status == SIM_OK)
    status = number(c, l, "resetMask", UINT64_MAX, &p->mask);
  return status;
}

/* --- arrays -------------------------------------------------------------- */

/* An element as often as "dim" says. */
struct array {
  uint64_t count, increment;
  const char *index; /* "0-3", "A,B"; or NULL: 0, 1, ... */
};

static enum sim_status read_array(struct collecting *c,
                                  const struct lineage *l, struct array *a)
{
  *a = (struct array){.count = 1};
  if (!inherited(l, "dim")) return SIM_OK;
  enum sim_status status = number(c, l, "dim", MAX_DIM, &a->count);
  if (status == SIM_OK)
    status = needed_number(c, l, "dimIncrement",
                           "has no dimIncrement; expected one beside dim",
                           &a->increment);
  const struct svd_element *index = inherited(l, "dimIndex");
  a->index = index ? index->text : NULL;
  return status;
}

/* The i-th of "3-6" or "B-F". */
static void index_of_range(const char *range, uint64_t i, char *buf,
                           size_t size)
{
  char from[8];
  uint64_t first = 0;
  size_t length = strcspn(range, "-");
  bool letter = length == 1 && *range >= 'A' && *range <= 'Z';
  snprintf(from, sizeof from, "%.*s", length < 8 ? (int)length : 0, range);
  if (letter && i <= (uint64_t)('Z' - *range)) {
    snprintf(buf, size, "%c", (char)(*range + (char)i));
  } else if (parse(from, &first)) {
    snprintf(buf, size, "%" PRIu64, first + i);
  }
}

/* The i-th word of "A,B,C"; that of a list that is too short is its number. */
static void index_of_list(const char *list, uint64_t i, char *buf, size_t size)
{
  for (; i > 0 && list; i--) {
    list = strchr(list, ',');
    if (list) list++;
  }
  if (list) snprintf(buf, size, "%.*s", (int)strcspn(list, ","), list);
}

static void index_text(const struct array *a, uint64_t i, char *buf,
                       size_t size)
{
  snprintf(buf, size, "%" PRIu64, i);
  if (!a->index) return;
  if (strchr(a->index, '-') && !strchr(a->index, ',')) {
    index_of_range(a->index, i, buf, size);
  } else {
    index_of_list(a->index, i, buf, size);
  }
}

/* PREFIX and the name, its "%s" replaced; false if that is too long. */
static bool whole_name(char *buf, const char *prefix, const char *name,
                       const char *index)
{
  const char *mark = strstr(name, "%s");
  int before = mark ? (int)(mark - name) : (int)strlen(name);
  int length = snprintf(buf, SVD_MAX_TEXT + 1, "%s%.*s%s%s", prefix, before,
                        name, mark ? index : "", mark ? mark + 2 : "");
  return length >= 0 && length <= SVD_MAX_TEXT;
}

/* --- registers ----------------------------------------------------------- */

static uint32_t bytes_of(uint64_t bits)
{
  return bits <= 8 ? 1 : bits <= 16 ? 2 : bits <= 32 ? 4 : 8;
}

static enum sim_status add_register(struct collecting *c,
                                    const struct svd_element *e,
                                    const char *name, uint64_t at,
                                    const struct properties *p)
{
  struct svd *svd = c->svd;
  if (svd->register_count == SVD_MAX_REGISTERS) {
    return fail(c, e, SIM_LIMIT, "is one register too many; expected fewer");
  }
  uint32_t bytes = bytes_of(p->size);
  if (at + bytes - 1 > UINT32_MAX) {
    return fail(c, e, SIM_RANGE,
                "lies beyond 32 bits; expected an address that fits");
  }
  uint64_t fits = bytes == 8 ? UINT64_MAX : (UINT64_C(1) << (8 * bytes)) - 1;
  c->room[svd->register_count] =
      (struct svd_register){arena_text(c->arena, name), (addr_t)at, bytes,
                            p->reset & p->mask & fits, svd->register_count};
  svd->register_count++;
  return SIM_OK;
}

static enum sim_status collect_inside(struct collecting *c,
                                      const struct lineage *l, bool peripheral,
                                      const struct place *place);

/* One register or cluster of an array, at `at`. */
static enum sim_status collect_one(struct collecting *c,
                                   const struct lineage *l, const char *name,
                                   uint64_t at,
                                   const struct properties *properties,
                                   unsigned clusters)
{
  const struct svd_element *e = l->of[0];
  if (++c->steps > MAX_STEPS) {
    return fail(c, e, SIM_LIMIT, "makes too many registers; expected fewer");
  }
  if (strcmp(e->name, "register") == 0) {
    return add_register(c, e, name, at, properties);
  }
  if (clusters == MAX_CLUSTERS) {
    return fail(c, e, SIM_LIMIT,
                "has clusters in clusters without end; expected an end");
  }
  char prefix[SVD_MAX_TEXT + 2];
  snprintf(prefix, sizeof prefix, "%s.", name);
  const struct place inside = {prefix, at, *properties, clusters + 1};
  return collect_inside(c, l, strcmp(e->name, "peripheral") == 0, &inside);
}

/* A peripheral, cluster or register, as often as it is there. */
static enum sim_status collect(struct collecting *c,
                               const struct svd_element *e,
                               const char *address, const char *no_address,
                               const struct place *place)
{
  struct lineage l;
  struct array a;
  struct properties p = place->properties;
  uint64_t offset = 0;
  enum sim_status status = find_lineage(c, e, &l);
  if (status == SIM_OK && !inherited(&l, "name"))
    status = fail(c, e, SIM_KEY, "has no name; expected one");
  if (status == SIM_OK)
    status = needed_number(c, &l, address, no_address, &offset);
  if (status == SIM_OK) status = read_properties(c, &l, &p);
  if (status == SIM_OK) status = read_array(c, &l, &a);
  for (uint64_t i = 0; status == SIM_OK && i < a.count; i++) {
    char name[SVD_MAX_TEXT + 1], index[SVD_MAX_TEXT + 1];
    index_text(&a, i, index, sizeof index);
    if (!whole_name(name, place->prefix, inherited(&l, "name")->text, index))
      return fail(c, e, SIM_LIMIT, "has a very long name; expected less");
    status = collect_one(c, &l, name, place->base + offset + i * a.increment,
                         &p, place->clusters);
  }
  return status;
}

/* What is in a peripheral or cluster, then what it inherits. Of registers at
 * one place the first is meant, so its own come first. */
static enum sim_status collect_inside(struct collecting *c,
                                      const struct lineage *l, bool peripheral,
                                      const struct place *place)
{
  for (uint32_t i = 0; i < l->count; i++) {
    const struct svd_element *list =
        peripheral ? child_of(l->of[i], "registers") : l->of[i];
    const struct svd_element *e = list ? list->child : NULL;
    for (; e; e = e->next) {
      if (strcmp(e->name, "register") != 0 && strcmp(e->name, "cluster") != 0)
        continue;
      enum sim_status status = collect(
          c, e, "addressOffset", "has no addressOffset; expected one", place);
      if (status != SIM_OK) return status;
    }
  }
  return SIM_OK;
}

/* --- the device ---------------------------------------------------------- */

static int by_address(const void *left, const void *right)
{
  const struct svd_register *a = left, *b = right;
  if (a->at != b->at) return a->at < b->at ? -1 : 1;
  return a->order < b->order ? -1 : 1;
}

static enum sim_status collect_peripherals(struct collecting *c,
                                           const struct svd_element *list)
{
  const struct lineage device = {{c->device}, 1};
  struct place place = {.prefix = "",
                        .properties = {.size = 32, .mask = UINT64_MAX}};
  enum sim_status status = read_properties(c, &device, &place.properties);
  for (const struct svd_element *e = list->child; e && status == SIM_OK;
       e = e->next) {
    if (strcmp(e->name, "peripheral") != 0) continue;
    status = collect(c, e, "baseAddress", "has no baseAddress; expected one",
                     &place);
  }
  return status;
}

enum sim_status svd_collect(struct arena *arena,
                            const struct svd_element *device, struct svd *svd,
                            struct sim_error *err)
{
  struct collecting c = {
      .arena = arena, .svd = svd, .device = device, .err = err};
  const struct svd_element *list = child_of(device, "peripherals");
  const struct svd_element *name = child_of(device, "name");
  if (!list) {
    return fail(&c, device, SIM_KEY,
                "has no peripherals; expected a CMSIS-SVD file");
  }
  c.room = calloc(SVD_MAX_REGISTERS, sizeof *c.room);
  if (!c.room) arena_no_memory();
  svd->device = name ? name->text : "";
  enum sim_status status = collect_peripherals(&c, list);
  if (status == SIM_OK && svd->register_count > 0) {
    qsort(c.room, svd->register_count, sizeof *c.room, by_address);
    svd->registers =
        arena_array(arena, svd->register_count, sizeof *svd->registers);
    memcpy(svd->registers, c.room, svd->register_count * sizeof *c.room);
  }
  free(c.room);
  return status;
}

/* Loads and stores.
 *
 * Source: ARM DDI 0419E A6.7. */
#include "core/own.h"

/* --- one item ----------------------------------------------------------- */

static void load(struct own *o, unsigned t, addr_t at, unsigned size)
{
  uint32_t value;
  if (own_read(o, at, size, &value)) o->r[t] = value;
}

static void load_signed(struct own *o, unsigned t, addr_t at, unsigned size)
{
  uint32_t value;
  uint32_t sign = 1u << (8 * size - 1);
  if (own_read(o, at, size, &value)) o->r[t] = (value ^ sign) - sign;
}

/* Where it is: two registers, or one and an offset. */
static addr_t indexed(const struct own *o, struct operation i)
{
  return o->r[i.n] + o->r[i.m];
}

static addr_t offset(const struct own *o, struct operation i)
{
  return o->r[i.n] + i.imm;
}

void op_load_literal(struct own *o, struct operation i)
{
  load(o, i.d, (o->r[15] & ~(addr_t)3) + i.imm, 4);
}

void op_load_word(struct own *o, struct operation i)
{
  load(o, i.d, indexed(o, i), 4);
}

void op_load_half(struct own *o, struct operation i)
{
  load(o, i.d, indexed(o, i), 2);
}

void op_load_byte(struct own *o, struct operation i)
{
  load(o, i.d, indexed(o, i), 1);
}

void op_load_signed_half(struct own *o, struct operation i)
{
  load_signed(o, i.d, indexed(o, i), 2);
}

void op_load_signed_byte(struct own *o, struct operation i)
{
  load_signed(o, i.d, indexed(o, i), 1);
}

void op_load_word_at(struct own *o, struct operation i)
{
  load(o, i.d, offset(o, i), 4);
}

void op_load_half_at(struct own *o, struct operation i)
{
  load(o, i.d, offset(o, i), 2);
}

void op_load_byte_at(struct own *o, struct operation i)
{
  load(o, i.d, offset(o, i), 1);
}

void op_load_from_stack(struct own *o, struct operation i)
{
  load(o, i.d, o->r[13] + i.imm, 4);
}

void op_store_word(struct own *o, struct operation i)
{
  own_write(o, indexed(o, i), 4, o->r[i.d]);
}

void op_store_half(struct own *o, struct operation i)
{
  own_write(o, indexed(o, i), 2, o->r[i.d]);
}

void op_store_byte(struct own *o, struct operation i)
{
  own_write(o, indexed(o, i), 1, o->r[i.d]);
}

void op_store_word_at(struct own *o, struct operation i)
{
  own_write(o, offset(o, i), 4, o->r[i.d]);
}

void op_store_half_at(struct own *o, struct operation i)
{
  own_write(o, offset(o, i), 2, o->r[i.d]);
}

void op_store_byte_at(struct own *o, struct operation i)
{
  own_write(o, offset(o, i), 1, o->r[i.d]);
}

void op_store_on_stack(struct own *o, struct operation i)
{
  own_write(o, o->r[13] + i.imm, 4, o->r[i.d]);
}

/* --- register lists ----------------------------------------------------- */

#define LINK (1u << 14)
#define PC   (1u << 15)

static unsigned lowest(uint32_t list)
{
  return (unsigned)__builtin_ctz(list);
}

static uint32_t bytes_of(uint32_t list)
{
  return 4 * (uint32_t)__builtin_popcount(list);
}

/* PUSH and POP have one more bit, for LR or PC. */
static uint32_t list_with(uint32_t imm, uint32_t ninth)
{
  return (imm & 0xffu) | (imm & 0x100u ? ninth : 0);
}

/* Where all of it lies in one region, aligned; else NULL. */
static uint8_t *stretch(struct own *o, uint32_t list, addr_t at, bool store)
{
  const struct own_view *v = own_view(o, at);
  if (v == NULL || (at & 3u) || (store && !v->writable)) return NULL;
  uint32_t offset = at - v->from;
  return bytes_of(list) <= v->size - offset ? v->bytes + offset : NULL;
}

/* Where one can't be read, what plain memory gave before stays loaded, which
 * is what the other engine can do; the architecture leaves it unknown. */
static bool load_one_by_one(struct own *o, uint32_t list, addr_t at)
{
  for (uint32_t value; list != 0; list &= list - 1, at += 4) {
    if (!own_read(o, at, 4, &value)) return false;
    o->r[lowest(list)] = value;
  }
  return true;
}

/* Words from `at` on. */
static bool load_list(struct own *o, uint32_t list, addr_t at)
{
  const uint8_t *bytes = stretch(o, list, at, false);
  if (bytes == NULL) return load_one_by_one(o, list, at);
  for (; list != 0; list &= list - 1, bytes += 4)
    o->r[lowest(list)] = own_get(bytes, 4);
  return true;
}

static bool store_list(struct own *o, uint32_t list, addr_t at)
{
  uint8_t *bytes = stretch(o, list, at, true);
  for (; bytes != NULL && list != 0; list &= list - 1, bytes += 4)
    own_put(bytes, 4, o->r[lowest(list)]);
  for (; list != 0; list &= list - 1, at += 4) {
    if (!own_write(o, at, 4, o->r[lowest(list)])) return false;
  }
  return true;
}

/* A base that is loaded is not written back. */
void op_load_many(struct own *o, struct operation i)
{
  addr_t base = o->r[i.n];
  bool loaded = load_list(o, i.imm, base);
  if (!loaded)
    o->r[i.n] = base;
  else if (!(i.imm >> i.n & 1u))
    o->r[i.n] = base + bytes_of(i.imm);
}

/* The base is stored as it was, even where that is left unknown: if it is in
 * the list and not the first of it. */
void op_store_many(struct own *o, struct operation i)
{
  if (store_list(o, i.imm, o->r[i.n])) o->r[i.n] += bytes_of(i.imm);
}

void op_push(struct own *o, struct operation i)
{
  uint32_t list = list_with(i.imm, LINK);
  addr_t at = o->r[13] - bytes_of(list);
  if (store_list(o, list, at)) o->r[13] = at;
}

void op_pop(struct own *o, struct operation i)
{
  uint32_t list = list_with(i.imm, PC);
  if (!load_list(o, list, o->r[13])) return;
  o->r[13] += bytes_of(list);
  if (list & PC) own_branch_exchange(o, o->r[15]);
}

/* The floating-point encodings of M4F (single precision). */
#include "core/thumb2.h"

#define SINGLE 10u /* coprocessor numbers */
#define DOUBLE 11u

static void access_float(uint16_t first, uint16_t second, struct thumb2 *t)
{
  bool load = first & 0x10u, add = first & 0x80u;
  bool before = first & 0x100u, writes = first & 0x20u;
  if (before ? add && writes : !add) return; /* no such list */
  unsigned words = second & 0xffu;
  t->class = load ? THUMB2_FLOAT_LOAD : THUMB2_FLOAT_STORE;
  t->base = first & 15u;
  t->bytes = 4;
  if (before && !writes) { /* VLDR, VSTR */
    t->count = ((second >> 8) & 15u) == DOUBLE ? 2 : 1;
    t->offset = add ? words * 4 : 0u - words * 4;
    return;
  }
  t->count = (uint8_t)words;
  if (!add) t->offset = 0u - words * 4; /* decrement before */
  if (words == 0) t->class = THUMB2_UNDEFINED;
}

/* VMOV between two core registers and two or one of these. */
static void move_two(uint16_t first, uint16_t second, struct thumb2 *t)
{
  if ((second & 0x00d0u) != 0x0010u) return;
  t->class = THUMB2_FLOAT_TWO;
  if (first & 0x10u)
    t->results = (uint16_t)(1u << (second >> 12) | 1u << (first & 15u));
}

static void move_one(uint16_t first, uint16_t second, struct thumb2 *t)
{
  unsigned coprocessor = (second >> 8) & 15u;
  unsigned what = first & 0xf0u, target = second >> 12;
  bool status = what == 0xe0u || what == 0xf0u;
  if (status && ((first & 15u) != 1 || coprocessor != SINGLE)) return;
  if (!status && what > (coprocessor == DOUBLE ? 0x30u : 0x10u)) return;
  t->class = THUMB2_FLOAT;
  if ((first & 0x10u) && target != 15) t->results = (uint16_t)(1u << target);
}

/* VMOV immediate and register, VABS, VNEG, VSQRT, VCMP, VCVT: by opc2, which
 * bits of opc3 it takes and its class. */
static enum thumb2_class other(unsigned opc2, unsigned opc3)
{
  if (!(opc3 & 1u)) return THUMB2_FLOAT; /* VMOV immediate */
  switch (opc2) {
  case 1: return opc3 == 3 ? THUMB2_FLOAT_DIVIDE : THUMB2_FLOAT;
  case 6:
  case 7:
  case 9: return THUMB2_UNDEFINED;
  default: return THUMB2_FLOAT;
  }
}

static enum thumb2_class compute(uint16_t first, uint16_t second)
{
  unsigned opc3 = (second >> 6) & 3u;
  switch ((first >> 4) & 0xbu) {
  case 0x0:
  case 0x1:
  case 0x9:
  case 0xa: return THUMB2_FLOAT_ADD;
  case 0x2:
  case 0x3: return THUMB2_FLOAT;
  case 0x8: return opc3 & 1u ? THUMB2_UNDEFINED : THUMB2_FLOAT_DIVIDE;
  case 0xb: return other(first & 15u, opc3);
  default: return THUMB2_UNDEFINED;
  }
}

void thumb2_decode_float(uint16_t first, uint16_t second, struct thumb2 *t)
{
  unsigned coprocessor = (second >> 8) & 15u;
  if (coprocessor != SINGLE && coprocessor != DOUBLE) return;
  t->floating = true;
  if ((first & 0xffe0u) == 0xec40u)
    move_two(first, second, t);
  else if ((first & 0xfe00u) == 0xec00u && (first & 0x01a0u) != 0)
    access_float(first, second, t);
  else if ((first & 0xff00u) == 0xee00u && (second & 0x10u))
    move_one(first, second, t);
  else if ((first & 0xff00u) == 0xee00u && coprocessor == SINGLE)
    t->class = (uint8_t)compute(first, second);
}

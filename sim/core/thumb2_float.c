/* The floating-point encodings of M4F (single precision). */
#include "core/thumb2.h"

#define SINGLE 10u /* coprocessor numbers */
#define DOUBLE 11u

/* The S registers that the three fields of an encoding name, bit per
 * register. */
static uint32_t field_d(uint16_t first, uint16_t second)
{
  unsigned high = second >> 12;
  return UINT32_C(1) << (high << 1 | ((first >> 6) & 1u));
}

static uint32_t field_n(uint16_t first, uint16_t second)
{
  return UINT32_C(1) << ((first & 15u) << 1 | ((second >> 7) & 1u));
}

static uint32_t field_m(uint16_t second)
{
  return UINT32_C(1) << ((second & 15u) << 1 | ((second >> 5) & 1u));
}

/* `count` of them from that of a load or store on. */
static uint32_t list(uint16_t first, uint16_t second, unsigned count)
{
  unsigned d = second >> 12, bit = (first >> 6) & 1u;
  bool is_double = ((second >> 8) & 15u) == DOUBLE;
  unsigned from = is_double ? (bit << 4 | d) << 1 : d << 1 | bit;
  if (from >= 32) return 0;
  uint32_t all = count >= 32 ? UINT32_MAX : (UINT32_C(1) << count) - 1;
  return all << from;
}

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
    if (!load) t->floats_read = list(first, second, t->count);
    return;
  }
  t->count = (uint8_t)words;
  if (!add) t->offset = 0u - words * 4; /* decrement before */
  if (words == 0) t->class = THUMB2_UNDEFINED;
  if (!load) t->floats_read = list(first, second, words);
}

/* VMOV between two core registers and two or one of these. */
static void move_two(uint16_t first, uint16_t second, struct thumb2 *t)
{
  if ((second & 0x00d0u) != 0x0010u) return;
  t->class = THUMB2_FLOAT_TWO;
  if (!(first & 0x10u)) return;
  t->results = (uint16_t)(1u << (second >> 12) | 1u << (first & 15u));
  t->floats_read = field_m(second) | field_m(second) << 1;
}

static void move_one(uint16_t first, uint16_t second, struct thumb2 *t)
{
  unsigned coprocessor = (second >> 8) & 15u;
  unsigned what = first & 0xf0u, target = second >> 12;
  bool status = what == 0xe0u || what == 0xf0u;
  if (status && ((first & 15u) != 1 || coprocessor != SINGLE)) return;
  if (!status && what > (coprocessor == DOUBLE ? 0x30u : 0x10u)) return;
  t->class = THUMB2_FLOAT;
  if (!(first & 0x10u)) return;
  if (target != 15) t->results = (uint16_t)(1u << target);
  if (!status) t->floats_read = field_n(first, second);
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

/* Of those of `other`. VMOV, VABS and VNEG are no arithmetic. */
static void operands_of_other(uint16_t first, uint16_t second,
                              struct thumb2 *t)
{
  unsigned opc2 = first & 15u, opc3 = (second >> 6) & 3u;
  bool compares = opc2 == 4 || opc2 == 5;
  bool fixed = opc2 >= 0xa && opc2 != 0xc && opc2 != 0xd;
  if (!(opc3 & 1u)) return; /* VMOV immediate */
  t->floats_read = fixed ? 0 : field_m(second);
  if (compares || fixed) t->floats_read |= field_d(first, second);
  if (opc2 == 5) t->floats_read = field_d(first, second); /* with zero */
  bool moves = opc2 == 0 || (opc2 == 1 && opc3 == 1);
  if (!compares && !moves) t->floats_made = field_d(first, second);
}

static void operands(uint16_t first, uint16_t second, struct thumb2 *t)
{
  if (((first >> 4) & 0xbu) == 0xb) {
    operands_of_other(first, second, t);
    return;
  }
  t->floats_read = field_n(first, second) | field_m(second);
  t->floats_made = field_d(first, second);
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
  else if ((first & 0xff00u) == 0xee00u && coprocessor == SINGLE) {
    t->class = (uint8_t)compute(first, second);
    operands(first, second, t);
  }
}

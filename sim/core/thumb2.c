#include "core/thumb2.h"

#include "core/decode.h"

static unsigned bits_set(unsigned bits)
{
  unsigned n = 0;
  for (; bits != 0; bits &= bits - 1)
    n++;
  return n;
}

static uint16_t result(unsigned number)
{
  return (uint16_t)(number == 15 ? 0u : 1u << number);
}

/* --- 16 bits ------------------------------------------------------------ */

/* What decode.h calls it, and here. */
static const uint8_t classes[DECODE_COUNT_] = {
    [DECODE_ALU] = THUMB2_ALU,
    [DECODE_MULTIPLY] = THUMB2_MULTIPLY,
    [DECODE_WRITE_SP] = THUMB2_WRITE_SP,
    [DECODE_WRITE_PC] = THUMB2_JUMP,
    [DECODE_LITERAL] = THUMB2_LOAD,
    [DECODE_LOAD] = THUMB2_LOAD,
    [DECODE_STORE] = THUMB2_STORE,
    [DECODE_LOAD_MANY] = THUMB2_LOAD_MANY,
    [DECODE_STORE_MANY] = THUMB2_STORE_MANY,
    [DECODE_PUSH] = THUMB2_STORE_MANY,
    [DECODE_POP] = THUMB2_LOAD_MANY,
    [DECODE_POP_PC] = THUMB2_LOAD_MANY,
    [DECODE_BRANCH_IF] = THUMB2_BRANCH_IF,
    [DECODE_BRANCH] = THUMB2_BRANCH,
    [DECODE_BX] = THUMB2_JUMP,
    [DECODE_BLX] = THUMB2_JUMP,
    [DECODE_NOP] = THUMB2_NOP,
    [DECODE_YIELD] = THUMB2_YIELD,
    [DECODE_WFE] = THUMB2_WFE,
    [DECODE_WFI] = THUMB2_WFI,
    [DECODE_SEV] = THUMB2_SEV,
    [DECODE_CPS] = THUMB2_CPS,
    [DECODE_SVC] = THUMB2_SVC,
    [DECODE_BKPT] = THUMB2_BKPT,
};

/* Registers that a data-processing opcode writes. */
static uint16_t alu_results(uint16_t op)
{
  if ((op & 0xf800u) == 0x2800u) return 0; /* CMP */
  if ((op & 0xff00u) == 0x4500u) return 0;
  if ((op & 0xffc0u) == 0x4200u || (op & 0xff80u) == 0x4280u) return 0;
  if ((op & 0xfc00u) == 0x4400u) return result((op & 7u) | ((op >> 4) & 8u));
  if ((op & 0xff00u) == 0xb000u) return result(13);
  if ((op & 0xe000u) == 0x2000u || (op & 0xf000u) == 0xa000u)
    return result((op >> 8) & 7u);
  return result(op & 7u);
}

static unsigned access_bytes(uint16_t op)
{
  if ((op & 0xf000u) == 0x5000u) {
    static const uint8_t bytes[8] = {4, 2, 1, 1, 4, 2, 1, 2};
    return bytes[(op >> 9) & 7u];
  }
  switch (op & 0xf000u) {
  case 0x7000u: return 1;
  case 0x8000u: return 2;
  default: return 4;
  }
}

static void narrow_single(enum decode_class class, uint16_t op,
                          struct thumb2 *t)
{
  bool literal = class == DECODE_LITERAL;
  struct decode_operand o =
      decode_load(literal ? DECODE_LITERAL : DECODE_LOAD, op);
  bool sp = literal || (op & 0xf000u) == 0x9000u;
  t->base = o.base;
  t->index = o.index;
  t->offset = o.offset;
  t->bytes = literal ? 4 : (uint8_t)access_bytes(op);
  t->count = 1;
  if (t->class == THUMB2_LOAD)
    t->results = result(sp ? (op >> 8) & 7u : op & 7u);
}

static void narrow_list(enum decode_class class, uint16_t op, struct thumb2 *t)
{
  bool stack =
      class == DECODE_PUSH || class == DECODE_POP || class == DECODE_POP_PC;
  t->count = (uint8_t)decode_list_length(class, op);
  t->bytes = 4;
  t->base = stack ? 13 : (uint8_t)((op >> 8) & 7u);
  if (class == DECODE_PUSH) t->offset = 0u - 4u * t->count;
  if (t->class == THUMB2_LOAD_MANY) t->results = op & 0xffu;
  t->loads_pc = t->returns = class == DECODE_POP_PC;
}

/* What v7-M has in 16 bits and v6-M has not. */
static bool narrow_new(uint16_t op, struct thumb2 *t)
{
  if ((op & 0xf500u) == 0xb100u) {
    t->class = THUMB2_BRANCH_IF;
    t->index = op & 7u;
    t->non_zero = op & 0x800u;
  } else if ((op & 0xff00u) == 0xbf00u && (op & 15u) != 0) {
    bool always = (op & 0xe0u) == 0xe0u; /* AL with an else, or NV */
    bool odd = (op & 0xf0u) == 0xf0u || (op & (op - 1) & 15u) != 0;
    t->class = always && odd ? THUMB2_UNDEFINED : THUMB2_IT;
  } else if ((op & 0xffecu) == 0xb660u && (op & 3u) != 0) {
    t->class = THUMB2_CPS;
  } else {
    return false;
  }
  return true;
}

static void decode_16(uint16_t op, struct thumb2 *t)
{
  if (narrow_new(op, t)) return;
  enum decode_class class = decode_narrow(op);
  t->class = classes[class];
  switch (t->class) {
  case THUMB2_ALU:
  case THUMB2_MULTIPLY: t->results = alu_results(op); break;
  case THUMB2_WRITE_SP: t->results = result(13); break;
  case THUMB2_LOAD:
  case THUMB2_STORE: narrow_single(class, op, t); break;
  case THUMB2_LOAD_MANY:
  case THUMB2_STORE_MANY: narrow_list(class, op, t); break;
  case THUMB2_BRANCH_IF: t->condition = (op >> 8) & 15u; break;
  case THUMB2_JUMP: t->returns = class == DECODE_BX; break;
  default: break;
  }
}

/* --- 32 bits: data processing ------------------------------------------- */

#define IMMEDIATE_OPS 0x6d1fu /* AND BIC ORR ORN EOR ADD ADC SBC SUB RSB */
#define PACK_OP       6u

static void decode_modified(uint16_t first, uint16_t second, bool dsp,
                            struct thumb2 *t)
{
  unsigned op = (first >> 5) & 15u;
  bool shifted = (first & 0xfe00u) == 0xea00u;
  bool pack =
      shifted && op == PACK_OP && dsp && !(first & 0x10u) && !(second & 0x10u);
  if (!(IMMEDIATE_OPS >> op & 1u) && !pack) return;
  if (shifted && (second & 0x8000u)) return;
  t->class = THUMB2_ALU;
  t->results = result((second >> 8) & 15u);
}

static void decode_plain(uint16_t first, uint16_t second, bool dsp,
                         struct thumb2 *t)
{
  unsigned op = (first >> 4) & 31u;
  bool halves = (op == 18 || op == 26) && (second & 0x70c0u) == 0;
  switch (op) {
  case 0:
  case 4:
  case 10:
  case 12:
  case 16:
  case 18:
  case 20:
  case 22:
  case 24:
  case 26:
  case 28: break;
  default: return;
  }
  if (halves && !dsp) return; /* SSAT16, USAT16 */
  if (op >= 16 && ((first & 0x400u) || (second & 0x20u))) return;
  t->class = THUMB2_ALU;
  t->results = result((second >> 8) & 15u);
}

/* Shifts, extensions, byte order, CLZ; with the DSP extension the parallel
 * and saturating ones. */
static bool is_register_op(uint16_t first, uint16_t second, bool dsp)
{
  unsigned op1 = (first >> 4) & 15u, op2 = (second >> 4) & 15u;
  if ((second & 0xf000u) != 0xf000u) return false;
  if (op1 < 8 && op2 == 0) return true;
  if (op1 < 8 && (op2 & 0xcu) == 8) {
    bool plain = op1 != 2 && op1 != 3 && (first & 15u) == 15;
    return op1 <= 5 && (plain || dsp);
  }
  if (op1 >= 8 && (op2 & 8u) == 0)
    return dsp && (op2 & 3u) != 3 && op1 != 11 && op1 != 15;
  if (op1 < 8 || (op2 & 0xcu) != 8) return false;
  switch (op1 & 3u) {
  case 0: return dsp && op1 == 8;
  case 1: return op1 == 9;
  case 2: return dsp && op1 == 10 && op2 == 8;
  default: return op1 == 11 && op2 == 8;
  }
}

static void decode_multiply(uint16_t first, uint16_t second, bool dsp,
                            struct thumb2 *t)
{
  unsigned op1 = (first >> 4) & 7u, op2 = (second >> 4) & 15u;
  bool add = (second >> 12) != 15;
  t->results = result((second >> 8) & 15u);
  if (op1 == 0 && op2 == 0)
    t->class = add ? THUMB2_MULTIPLY_ADD : THUMB2_MULTIPLY;
  else if (op1 == 0 && op2 == 1)
    t->class = THUMB2_MULTIPLY_ADD;
  else if (dsp && op1 != 0 && op2 < (op1 == 1 ? 4u : 2u))
    t->class = THUMB2_MULTIPLY;
}

static void decode_long(uint16_t first, uint16_t second, bool dsp,
                        struct thumb2 *t)
{
  unsigned op1 = (first >> 4) & 7u, op2 = (second >> 4) & 15u;
  t->results = result((second >> 8) & 15u);
  if ((op1 == 1 || op1 == 3) && op2 == 15) {
    t->class = THUMB2_DIVIDE;
    t->base = first & 15u; /* dividend, divisor */
    t->index = second & 15u;
    return;
  }
  t->results |= result(second >> 12);
  t->base = first & 15u;
  t->index = second & 15u;
  if ((op1 == 0 || op1 == 2) && op2 == 0)
    t->class = THUMB2_LONG;
  else if ((op1 == 4 || op1 == 6) && op2 == 0)
    t->class = THUMB2_LONG_ADD;
  else if (dsp &&
           ((op1 == 4 && op2 >= 8 && op2 < 14) ||
            (op1 == 5 && op2 >= 12 && op2 < 14) || (op1 == 6 && op2 == 6)))
    t->class = THUMB2_MULTIPLY;
}

/* --- 32 bits: control --------------------------------------------------- */

static void decode_hint(uint16_t second, struct thumb2 *t)
{
  static const uint8_t hints[] = {THUMB2_NOP, THUMB2_YIELD, THUMB2_WFE,
                                  THUMB2_WFI, THUMB2_SEV};
  unsigned hint = second & 0xffu;
  if ((second & 0xff00u) != 0x8000u) return;
  t->class = hint < sizeof(hints) ? hints[hint] : THUMB2_NOP;
}

static void decode_barrier(uint16_t second, struct thumb2 *t)
{
  switch (second & 0xfff0u) {
  case 0x8f20u: t->class = THUMB2_CLEAR_EXCLUSIVE; break;
  case 0x8f40u:
  case 0x8f50u: t->class = THUMB2_BARRIER; break;
  case 0x8f60u: t->class = THUMB2_FLUSH; break;
  default: break;
  }
}

/* Special registers that MRS and MSR know. */
static bool is_special(unsigned number)
{
  return number <= 3 || (number >= 5 && number <= 9) ||
         (number >= 16 && number <= 20);
}

static void decode_control(uint16_t first, uint16_t second, bool dsp,
                           struct thumb2 *t)
{
  unsigned rd = (second >> 8) & 15u, rn = first & 15u;
  if ((first & 0xfff0u) == 0xf380u && (second & 0xf300u) == 0x8000u) {
    bool greater = second & 0x400u;
    bool some = second & 0xc00u;
    if (is_special(second & 0xffu) && some && (!greater || dsp) && rn != 13 &&
        rn != 15)
      t->class = THUMB2_MSR;
  } else if (first == 0xf3efu && (second & 0xf000u) == 0x8000u) {
    if (is_special(second & 0xffu) && rd != 13 && rd != 15)
      t->class = THUMB2_MRS;
  } else if (first == 0xf3afu) {
    decode_hint(second, t);
  } else if (first == 0xf3bfu) {
    decode_barrier(second, t);
  } else if ((first & 0x0380u) != 0x0380u) {
    t->class = THUMB2_BRANCH_IF;
    t->condition = (first >> 6) & 15u;
  }
}

static void decode_branch(uint16_t first, uint16_t second, bool dsp,
                          struct thumb2 *t)
{
  switch (second & 0xd000u) {
  case 0x8000u: decode_control(first, second, dsp, t); break;
  case 0x9000u:
  case 0xd000u: t->class = THUMB2_BRANCH; break;
  default: break;
  }
}

/* --- 32 bits: loads and stores ------------------------------------------ */

static void decode_list(uint16_t first, uint16_t second, struct thumb2 *t)
{
  bool load = first & 0x10u, before = (first & 0x180u) == 0x100u;
  bool sound = (first & 0x180u) == 0x080u || before;
  sound = sound && !(second & (load ? 0x2000u : 0xa000u)) &&
          (second & 0xc000u) != 0xc000u && bits_set(second) >= 2;
  if (!sound) return;
  t->class = load ? THUMB2_LOAD_MANY : THUMB2_STORE_MANY;
  t->count = (uint8_t)bits_set(second);
  t->bytes = 4;
  t->base = first & 15u;
  if (before) t->offset = 0u - 4u * t->count;
  if (load) t->results = second & 0x7fffu;
  t->loads_pc = t->returns = load && (second & 0x8000u);
}

static void decode_two(uint16_t first, uint16_t second, struct thumb2 *t)
{
  bool load = first & 0x10u, before = first & 0x100u;
  uint32_t offset = (second & 0xffu) * 4;
  t->class = load ? THUMB2_LOAD_TWO : THUMB2_STORE_TWO;
  t->count = 2;
  t->bytes = 4;
  t->base = first & 15u;
  if (before) t->offset = first & 0x80u ? offset : 0u - offset;
  if (load) t->results = result(second >> 12) | result((second >> 8) & 15u);
}

static void exclusive(enum thumb2_class class, unsigned bytes, uint16_t first,
                      uint32_t offset, struct thumb2 *t)
{
  t->class = (uint8_t) class;
  t->bytes = (uint8_t)bytes;
  t->count = 1;
  t->base = first & 15u;
  t->offset = offset;
}

static void table(uint16_t first, uint16_t second, struct thumb2 *t)
{
  t->class = THUMB2_TABLE;
  t->base = first & 15u;
  t->index = second & 15u;
  t->shift = (second >> 4) & 1u;
  t->bytes = (uint8_t)(1u << t->shift);
  t->count = 1;
}

static void decode_two_or_exclusive(uint16_t first, uint16_t second,
                                    struct thumb2 *t)
{
  uint16_t op = first & 0xfff0u;
  uint32_t offset = (second & 0xffu) * 4;
  unsigned kind = (second >> 4) & 15u;
  bool narrower = kind == 4 || kind == 5;
  if (first & 0x0120u)
    decode_two(first, second, t);
  else if (op == 0xe840u)
    exclusive(THUMB2_STORE_EXCLUSIVE, 4, first, offset, t);
  else if (op == 0xe850u && (second & 0xf00u) == 0xf00u)
    exclusive(THUMB2_LOAD_EXCLUSIVE, 4, first, offset, t);
  else if (op == 0xe8d0u && (second & 0xffe0u) == 0xf000u)
    table(first, second, t);
  else if (op == 0xe8c0u && narrower && (second & 0xf00u) == 0xf00u)
    exclusive(THUMB2_STORE_EXCLUSIVE, kind - 3, first, 0, t);
  else if (op == 0xe8d0u && narrower && (second & 0xf0fu) == 0xf0fu)
    exclusive(THUMB2_LOAD_EXCLUSIVE, kind - 3, first, 0, t);
}

/* Where a single load or store finds its data. False: no such encoding. */
static bool single_address(uint16_t first, uint16_t second, struct thumb2 *t)
{
  uint32_t low = second & 0xffu;
  t->base = first & 15u;
  if (t->base == 15) {
    t->offset = first & 0x80u ? second & 0xfffu : 0u - (second & 0xfffu);
    return first & 0x10u;
  }
  if (first & 0x80u) {
    t->offset = second & 0xfffu;
    return true;
  }
  if (!(second & 0x800u)) {
    t->index = second & 15u;
    t->shift = (second >> 4) & 3u;
    return (second & 0xfc0u) == 0;
  }
  if (second & 0x400u) t->offset = second & 0x200u ? low : 0u - low;
  t->as_user = (second & 0x700u) == 0x600u;
  return second & 0x500u;
}

static void decode_single(uint16_t first, uint16_t second, struct thumb2 *t)
{
  bool load = first & 0x10u, extends = first & 0x100u;
  unsigned size = (first >> 5) & 3u, rt = second >> 12;
  if (size == 3 || (extends && (!load || size == 2))) return;
  if (!single_address(first, second, t)) return;
  if (rt == 15 && size != 2) {
    t->class = load ? THUMB2_NOP : THUMB2_UNDEFINED; /* PLD, PLI */
    t->base = t->index = THUMB2_NO_REGISTER;
    return;
  }
  if (rt == 15 && !load) return;
  t->class = load ? THUMB2_LOAD : THUMB2_STORE;
  t->bytes = (uint8_t)(1u << size);
  t->count = 1;
  if (load) t->results = result(rt);
  t->loads_pc = t->returns = load && rt == 15;
}

/* --- 32 bits ------------------------------------------------------------ */

static void decode_32(enum core_kind kind, uint16_t first, uint16_t second,
                      struct thumb2 *t)
{
  bool dsp = kind != CORE_KIND_M3;
  if (thumb2_is_coprocessor(first)) {
    if (kind == CORE_KIND_M4F) thumb2_decode_float(first, second, t);
  } else if ((first & 0xf800u) == 0xf000u) {
    if (second & 0x8000u)
      decode_branch(first, second, dsp, t);
    else if (first & 0x0200u)
      decode_plain(first, second, dsp, t);
    else
      decode_modified(first, second, dsp, t);
  } else if ((first & 0xfe40u) == 0xe800u) {
    decode_list(first, second, t);
  } else if ((first & 0xfe40u) == 0xe840u) {
    decode_two_or_exclusive(first, second, t);
  } else if ((first & 0xfe00u) == 0xea00u) {
    decode_modified(first, second, dsp, t);
  } else if ((first & 0xfe00u) == 0xf800u) {
    decode_single(first, second, t);
  } else if ((first & 0xff80u) == 0xfb00u) {
    decode_multiply(first, second, dsp, t);
  } else if ((first & 0xff80u) == 0xfb80u) {
    decode_long(first, second, dsp, t);
  } else if (is_register_op(first, second, dsp)) {
    t->class = THUMB2_ALU;
    t->results = result((second >> 8) & 15u);
  }
}

struct thumb2 thumb2_decode(enum core_kind kind, uint16_t first,
                            uint16_t second)
{
  struct thumb2 t = {.class = THUMB2_UNDEFINED,
                     .size = thumb2_is_wide(first) ? 4 : 2,
                     .condition = THUMB2_ALWAYS,
                     .base = THUMB2_NO_REGISTER,
                     .index = THUMB2_NO_REGISTER};
  if (t.size == 4)
    decode_32(kind, first, second, &t);
  else
    decode_16(first, &t);
  return t;
}

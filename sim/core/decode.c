#include "core/decode.h"

#include <assert.h>
#include <stddef.h>
#include <string.h>

struct row {
  uint16_t mask, value;
  enum decode_class class;
};

/* The first row that fits decides; ARM DDI 0419E Tables A5-1 to A5-8. What no
 * row names is undefined. */
static const struct row narrow[] = {
    /* shift by immediate, add, subtract, move, compare */
    {0xc000, 0x0000, DECODE_ALU},
    {0xffc0, 0x4340, DECODE_MULTIPLY},
    {0xfc00, 0x4000, DECODE_ALU},
    /* ADD with high registers: PC + PC is UNPREDICTABLE */
    {0xffff, 0x44ff, DECODE_UNDEFINED},
    {0xff87, 0x4487, DECODE_WRITE_PC},
    {0xff87, 0x4485, DECODE_WRITE_SP},
    {0xff00, 0x4400, DECODE_ALU},
    /* CMP with high registers: two low ones, or PC, are UNPREDICTABLE */
    {0xffc0, 0x4500, DECODE_UNDEFINED},
    {0xff87, 0x4587, DECODE_UNDEFINED},
    {0xff78, 0x4578, DECODE_UNDEFINED},
    {0xff00, 0x4500, DECODE_ALU},
    {0xff87, 0x4687, DECODE_WRITE_PC},
    {0xff87, 0x4685, DECODE_WRITE_SP},
    {0xff00, 0x4600, DECODE_ALU},
    /* BX and BLX: PC is UNPREDICTABLE, the low three bits should be zero */
    {0xff7f, 0x4778, DECODE_UNDEFINED},
    {0xff87, 0x4700, DECODE_BX},
    {0xff87, 0x4780, DECODE_BLX},
    {0xf800, 0x4800, DECODE_LITERAL},
    {0xfe00, 0x5000, DECODE_STORE}, /* STR, register offset */
    {0xfe00, 0x5200, DECODE_STORE}, /* STRH */
    {0xfe00, 0x5400, DECODE_STORE}, /* STRB */
    {0xf000, 0x5000, DECODE_LOAD},  /* LDRSB, LDR, LDRH, LDRB, LDRSH */
    {0xf800, 0x6000, DECODE_STORE}, /* STR, immediate offset */
    {0xf800, 0x6800, DECODE_LOAD},
    {0xf800, 0x7000, DECODE_STORE}, /* STRB */
    {0xf800, 0x7800, DECODE_LOAD},
    {0xf800, 0x8000, DECODE_STORE}, /* STRH */
    {0xf800, 0x8800, DECODE_LOAD},
    {0xf800, 0x9000, DECODE_STORE}, /* STR, relative to SP */
    {0xf800, 0x9800, DECODE_LOAD},
    {0xf000, 0xa000, DECODE_ALU}, /* ADR, ADD SP to a register */
    {0xff00, 0xb000, DECODE_ALU}, /* ADD or SUB an immediate to SP */
    {0xff00, 0xb200, DECODE_ALU}, /* extend */
    {0xffff, 0xb400, DECODE_UNDEFINED},
    {0xfe00, 0xb400, DECODE_PUSH},
    {0xffff, 0xb662, DECODE_CPS}, /* CPSIE i */
    {0xffff, 0xb672, DECODE_CPS}, /* CPSID i */
    {0xffc0, 0xba80, DECODE_UNDEFINED},
    {0xff00, 0xba00, DECODE_ALU}, /* byte order */
    {0xffff, 0xbc00, DECODE_UNDEFINED},
    {0xff00, 0xbc00, DECODE_POP},
    {0xff00, 0xbd00, DECODE_POP_PC},
    {0xff00, 0xbe00, DECODE_BKPT},
    {0xffff, 0xbf10, DECODE_YIELD},
    {0xffff, 0xbf20, DECODE_WFE},
    {0xffff, 0xbf30, DECODE_WFI},
    {0xffff, 0xbf40, DECODE_SEV},
    {0xff0f, 0xbf00, DECODE_NOP},
    /* load and store multiple: an empty list is UNPREDICTABLE */
    {0xf0ff, 0xc000, DECODE_UNDEFINED},
    {0xf800, 0xc000, DECODE_STORE_MANY},
    {0xf800, 0xc800, DECODE_LOAD_MANY},
    {0xff00, 0xde00, DECODE_UNDEFINED}, /* UDF */
    {0xff00, 0xdf00, DECODE_SVC},
    {0xf000, 0xd000, DECODE_BRANCH_IF},
    {0xf800, 0xe000, DECODE_BRANCH},
    {0xf800, 0xf000, DECODE_WIDE},
};

enum decode_class decode_narrow(uint16_t opcode)
{
  for (size_t i = 0; i < sizeof(narrow) / sizeof(narrow[0]); i++) {
    if ((opcode & narrow[i].mask) == narrow[i].value) return narrow[i].class;
  }
  return DECODE_UNDEFINED;
}

/* From the last row to the first, so that the first that fits stays. */
void decode_every(uint8_t *classes)
{
  memset(classes, DECODE_UNDEFINED, DECODE_NARROW_COUNT);
  for (size_t i = sizeof(narrow) / sizeof(narrow[0]); i-- > 0;) {
    unsigned free_bits = (uint16_t)~narrow[i].mask;
    unsigned bits = 0;
    do {
      classes[narrow[i].value | bits] = (uint8_t)narrow[i].class;
      bits = (bits - free_bits) & free_bits; /* the next subset of them */
    } while (bits != 0);
  }
}

/* Special register numbers that MRS and MSR know, ARM DDI 0419E Table B5-1:
 * xPSR and its parts 0-3 and 5-7, MSP, PSP, PRIMASK, CONTROL. */
static bool special_register(unsigned number)
{
  return number <= 3 || (number >= 5 && number <= 9) || number == 16 ||
         number == 20;
}

static bool general_register(unsigned number)
{
  return number != 13 && number != 15;
}

/* ARM DDI 0419E Table A5-10. */
enum decode_class decode_wide(uint16_t first, uint16_t second)
{
  if ((second & 0xd000u) == 0xd000u) return DECODE_BL;
  unsigned special = second & 0xffu;
  if ((first & 0xfff0u) == 0xf380u && (second & 0xff00u) == 0x8800u)
    return special_register(special) && general_register(first & 15u)
               ? DECODE_MSR
               : DECODE_UNDEFINED;
  if (first == 0xf3efu && (second & 0xf000u) == 0x8000u)
    return special_register(special) && general_register((second >> 8) & 15u)
               ? DECODE_MRS
               : DECODE_UNDEFINED;
  /* DSB, DMB, ISB: every option behaves as the full barrier */
  if (first == 0xf3bfu && (second & 0xffc0u) == 0x8f40u &&
      (second & 0x30u) != 0x30u)
    return DECODE_BARRIER;
  return DECODE_UNDEFINED;
}

bool decode_is_system(enum decode_class class)
{
  switch (class) {
  case DECODE_YIELD:
  case DECODE_WFE:
  case DECODE_WFI:
  case DECODE_SEV:
  case DECODE_CPS:
  case DECODE_SVC:
  case DECODE_BKPT:
  case DECODE_MRS:
  case DECODE_MSR: return true;
  default: return false;
  }
}

static unsigned bits_set(unsigned bits)
{
  unsigned n = 0;
  for (; bits != 0; bits &= bits - 1)
    n++;
  return n;
}

unsigned decode_list_length(enum decode_class class, uint16_t opcode)
{
  bool ninth = class == DECODE_PUSH || class == DECODE_POP_PC;
  return bits_set(opcode & (ninth ? 0x1ffu : 0xffu));
}

static struct decode_operand
list_operand(unsigned base, enum decode_class class, uint16_t opcode)
{
  return (struct decode_operand){.base = (uint8_t)base,
                                 .index = DECODE_NO_REGISTER,
                                 .words = decode_list_length(class, opcode)};
}

/* Scale of the five-bit offset: words, bytes, halfwords. */
static unsigned offset_shift(uint16_t opcode)
{
  switch (opcode & 0xf000u) {
  case 0x6000u: return 2;
  case 0x7000u: return 0;
  default: return 1;
  }
}

static struct decode_operand single_operand(uint16_t opcode)
{
  struct decode_operand o = {.base = (uint8_t)((opcode >> 3) & 7u),
                             .index = DECODE_NO_REGISTER,
                             .words = 1};
  if ((opcode & 0xf000u) == 0x5000u) {
    o.index = (uint8_t)((opcode >> 6) & 7u);
  } else if ((opcode & 0xf000u) == 0x9000u) {
    o.base = 13;
    o.offset = (opcode & 0xffu) << 2;
  } else {
    o.offset = ((opcode >> 6) & 31u) << offset_shift(opcode);
  }
  return o;
}

struct decode_operand decode_load(enum decode_class class, uint16_t opcode)
{
  switch (class) {
  case DECODE_LITERAL:
    return (struct decode_operand){.base = 15,
                                   .index = DECODE_NO_REGISTER,
                                   .offset = (opcode & 0xffu) << 2,
                                   .words = 1};
  case DECODE_LOAD_MANY:
    return list_operand((opcode >> 8) & 7u, class, opcode);
  case DECODE_POP:
  case DECODE_POP_PC: return list_operand(13, class, opcode);
  default: assert(class == DECODE_LOAD); return single_operand(opcode);
  }
}

unsigned decode_sp_source(uint16_t opcode, bool *add)
{
  *add = (opcode & 0xff00u) == 0x4400u;
  return (opcode >> 3) & 15u;
}

bool decode_condition(unsigned condition, uint32_t flags)
{
  bool n = (flags >> 31) & 1u, z = (flags >> 30) & 1u;
  bool c = (flags >> 29) & 1u, v = (flags >> 28) & 1u;
  bool holds;
  switch (condition >> 1) {
  case 0: holds = z; break;
  case 1: holds = c; break;
  case 2: holds = n; break;
  case 3: holds = v; break;
  case 4: holds = c && !z; break;
  case 5: holds = n == v; break;
  default: holds = n == v && !z; break;
  }
  return holds != (condition & 1u);
}

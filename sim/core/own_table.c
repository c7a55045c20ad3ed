#include "core/own_table.h"

#include <assert.h>
#include <stdbool.h>

#define DIAGRAM_BITS 16u

const struct own_row own_table[OWN_ROWS] = {
#define X(diagram, syntax, scale, function)                                   \
  {diagram, syntax, scale, op_##function},
#include "core/own_table.inc"
#undef X
};

_Static_assert(OWN_ROWS <= UINT8_MAX,
               "struct operation has a byte for the row");

/* What one bit of an opcode contributes if it is set. */
struct share {
  uint8_t d, n, m;
  uint32_t imm;
};

/* A diagram read. */
struct layout {
  uint16_t match, free; /* bits that are one; that may be either */
  struct share shares[DIAGRAM_BITS];
};

/* The bit that this field's letter stands for, one more than its last. */
static uint32_t next_bit(const char *diagram, unsigned bit)
{
  unsigned column = DIAGRAM_BITS - 1 - bit;
  uint32_t weight = 1;
  for (unsigned i = column + 1; i < DIAGRAM_BITS; i++) {
    if (diagram[i] == diagram[column]) weight <<= 1;
  }
  return weight;
}

static struct share read_letter(const struct own_row *r, unsigned bit)
{
  uint32_t weight = next_bit(r->diagram, bit);
  uint8_t number = (uint8_t)weight;
  switch (r->diagram[DIAGRAM_BITS - 1 - bit]) {
  case 'c':
  case 'd': return (struct share){.d = number};
  case 'n': return (struct share){.n = number};
  case 'm': return (struct share){.m = number};
  case 'b': return (struct share){.d = number, .n = number};
  case 'i':
  case 'r': return (struct share){.imm = weight << r->scale};
  default: return (struct share){0};
  }
}

static struct layout read_diagram(const struct own_row *r)
{
  struct layout l = {0};
  for (unsigned bit = 0; bit < DIAGRAM_BITS; bit++) {
    char letter = r->diagram[DIAGRAM_BITS - 1 - bit];
    uint16_t mask = (uint16_t)(1u << bit);
    if (letter == '1') l.match |= mask;
    if (letter != '0' && letter != '1') l.free |= mask;
    l.shares[bit] = read_letter(r, bit);
  }
  return l;
}

/* All opcodes of one row: each is another one of the row, which came earlier,
 * and one bit more. */
static void apply_row(struct operation *operations, uint8_t row)
{
  struct layout l = read_diagram(&own_table[row]);
  uint32_t bits = 0;
  operations[l.match] = (struct operation){.row = row};
  while ((bits = (bits - l.free) & l.free) != 0) {
    const struct share *s = &l.shares[__builtin_ctz(bits)];
    struct operation i = operations[l.match | (bits & (bits - 1))];
    i.d |= s->d;
    i.n |= s->n;
    i.m |= s->m;
    i.imm |= s->imm;
    operations[l.match | bits] = i;
  }
}

/* From the last row to the first: where two fit, the first remains. */
void own_table_apply(struct operation *operations)
{
  for (unsigned row = OWN_ROWS; row-- > 0;)
    apply_row(operations, (uint8_t)row);
}

unsigned own_table_find(uint16_t opcode)
{
  for (unsigned row = 0; row < OWN_ROWS; row++) {
    struct layout l = read_diagram(&own_table[row]);
    if ((opcode & ~l.free) == l.match) return row;
  }
  assert(false); /* the last row fits any */
  return OWN_ROWS;
}

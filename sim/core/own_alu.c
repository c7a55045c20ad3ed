/* Arithmetic, logic, shifts, moves and extensions: registers and flags only.
 *
 * Source: ARM DDI 0419E A2.2.1 (AddWithCarry), A6.4.2 (Shift_C and what it
 * calls), A6.7. */
#include "core/own.h"

/* --- results and flags -------------------------------------------------- */

static void set_nz(struct own *o, uint32_t result)
{
  o->negative = o->zero = result;
}

static void give(struct own *o, struct operation i, uint32_t result)
{
  o->r[i.d] = result;
  set_nz(o, result);
}

static uint32_t add_with_carry(struct own *o, uint32_t x, uint32_t y,
                               uint32_t carry)
{
  uint64_t sum = (uint64_t)x + y + carry;
  uint32_t result = (uint32_t)sum;
  set_nz(o, result);
  o->carry = (uint32_t)(sum >> 32);
  o->overflow = (x ^ result) & (y ^ result);
  return result;
}

static uint32_t bit(uint32_t value, unsigned number)
{
  return (value >> number) & 1u;
}

/* --- shifts: amount 0 leaves value and carry alone ---------------------- */

static uint32_t left(struct own *o, uint32_t x, uint32_t amount)
{
  if (amount == 0) return x;
  o->carry = amount <= 32 ? bit(x, 32 - amount) : 0;
  return amount < 32 ? x << amount : 0;
}

static uint32_t right(struct own *o, uint32_t x, uint32_t amount)
{
  if (amount == 0) return x;
  o->carry = amount <= 32 ? bit(x, amount - 1) : 0;
  return amount < 32 ? x >> amount : 0;
}

static uint32_t arithmetic(struct own *o, uint32_t x, uint32_t amount)
{
  uint32_t sign = bit(x, 31) ? UINT32_MAX : 0;
  if (amount == 0) return x;
  o->carry = amount <= 32 ? bit(x, amount - 1) : bit(x, 31);
  return amount < 32 ? x >> amount | (sign & ~(UINT32_MAX >> amount)) : sign;
}

static uint32_t rotate(struct own *o, uint32_t x, uint32_t amount)
{
  uint32_t by = amount % 32;
  if (amount == 0) return x;
  if (by != 0) x = x >> by | x << (32 - by);
  o->carry = bit(x, 31);
  return x;
}

/* A shift to the right by an immediate of 0 is one by 32. */
static uint32_t immediate(uint32_t imm5)
{
  return imm5 == 0 ? 32 : imm5;
}

void op_shift_left(struct own *o, struct operation i)
{
  give(o, i, left(o, o->r[i.m], i.imm));
}

void op_shift_right(struct own *o, struct operation i)
{
  give(o, i, right(o, o->r[i.m], immediate(i.imm)));
}

void op_shift_arithmetic(struct own *o, struct operation i)
{
  give(o, i, arithmetic(o, o->r[i.m], immediate(i.imm)));
}

/* By a register: its low byte counts. */
void op_shift_left_by(struct own *o, struct operation i)
{
  give(o, i, left(o, o->r[i.n], o->r[i.m] & 0xffu));
}

void op_shift_right_by(struct own *o, struct operation i)
{
  give(o, i, right(o, o->r[i.n], o->r[i.m] & 0xffu));
}

void op_shift_arithmetic_by(struct own *o, struct operation i)
{
  give(o, i, arithmetic(o, o->r[i.n], o->r[i.m] & 0xffu));
}

void op_rotate_by(struct own *o, struct operation i)
{
  give(o, i, rotate(o, o->r[i.n], o->r[i.m] & 0xffu));
}

/* --- sums; a difference is x + NOT(y) + 1 ------------------------------- */

void op_add(struct own *o, struct operation i)
{
  o->r[i.d] = add_with_carry(o, o->r[i.n], o->r[i.m], 0);
}

void op_add_immediate(struct own *o, struct operation i)
{
  o->r[i.d] = add_with_carry(o, o->r[i.n], i.imm, 0);
}

void op_add_carry(struct own *o, struct operation i)
{
  o->r[i.d] = add_with_carry(o, o->r[i.n], o->r[i.m], o->carry);
}

void op_subtract(struct own *o, struct operation i)
{
  o->r[i.d] = add_with_carry(o, o->r[i.n], ~o->r[i.m], 1);
}

void op_subtract_immediate(struct own *o, struct operation i)
{
  o->r[i.d] = add_with_carry(o, o->r[i.n], ~i.imm, 1);
}

void op_subtract_carry(struct own *o, struct operation i)
{
  o->r[i.d] = add_with_carry(o, o->r[i.n], ~o->r[i.m], o->carry);
}

void op_negate(struct own *o, struct operation i)
{
  o->r[i.d] = add_with_carry(o, ~o->r[i.n], 0, 1);
}

void op_compare(struct own *o, struct operation i)
{
  add_with_carry(o, o->r[i.n], ~o->r[i.m], 1);
}

void op_compare_immediate(struct own *o, struct operation i)
{
  add_with_carry(o, o->r[i.n], ~i.imm, 1);
}

void op_compare_negative(struct own *o, struct operation i)
{
  add_with_carry(o, o->r[i.n], o->r[i.m], 0);
}

void op_multiply(struct own *o, struct operation i)
{
  give(o, i, o->r[i.n] * o->r[i.m]);
}

/* --- logic and moves: carry and overflow stay --------------------------- */

void op_and(struct own *o, struct operation i)
{
  give(o, i, o->r[i.n] & o->r[i.m]);
}

void op_or(struct own *o, struct operation i)
{
  give(o, i, o->r[i.n] | o->r[i.m]);
}

void op_exclusive_or(struct own *o, struct operation i)
{
  give(o, i, o->r[i.n] ^ o->r[i.m]);
}

void op_clear_bits(struct own *o, struct operation i)
{
  give(o, i, o->r[i.n] & ~o->r[i.m]);
}

void op_test(struct own *o, struct operation i)
{
  set_nz(o, o->r[i.n] & o->r[i.m]);
}

void op_move(struct own *o, struct operation i)
{
  give(o, i, o->r[i.m]);
}

void op_move_immediate(struct own *o, struct operation i)
{
  give(o, i, i.imm);
}

void op_move_not(struct own *o, struct operation i)
{
  give(o, i, ~o->r[i.m]);
}

/* --- no flags ----------------------------------------------------------- */

/* With the high registers: PC can be a source and a destination. A value for
 * SP is a multiple of four, or system.c is asked. */
static void give_high(struct own *o, struct operation i, uint32_t result)
{
  if (i.d == 15)
    own_branch(o, result);
  else
    o->r[i.d] = result;
}

void op_add_high(struct own *o, struct operation i)
{
  give_high(o, i, o->r[i.n] + o->r[i.m]);
}

void op_move_high(struct own *o, struct operation i)
{
  give_high(o, i, o->r[i.m]);
}

void op_address(struct own *o, struct operation i)
{
  o->r[i.d] = (o->r[15] & ~3u) + i.imm;
}

void op_address_on_stack(struct own *o, struct operation i)
{
  o->r[i.d] = o->r[13] + i.imm;
}

void op_release_stack(struct own *o, struct operation i)
{
  o->r[13] += i.imm;
}

void op_reserve_stack(struct own *o, struct operation i)
{
  o->r[13] -= i.imm;
}

static uint32_t sign_extend(uint32_t value, unsigned bits)
{
  uint32_t sign = 1u << (bits - 1);
  return ((value & (2 * sign - 1)) ^ sign) - sign;
}

void op_extend_half(struct own *o, struct operation i)
{
  o->r[i.d] = sign_extend(o->r[i.m], 16);
}

void op_extend_byte(struct own *o, struct operation i)
{
  o->r[i.d] = sign_extend(o->r[i.m], 8);
}

void op_extend_half_zero(struct own *o, struct operation i)
{
  o->r[i.d] = o->r[i.m] & 0xffffu;
}

void op_extend_byte_zero(struct own *o, struct operation i)
{
  o->r[i.d] = o->r[i.m] & 0xffu;
}

/* The bytes of each halfword exchanged. */
static uint32_t reverse_halves(uint32_t x)
{
  return (x >> 8 & 0x00ff00ffu) | (x & 0x00ff00ffu) << 8;
}

void op_reverse(struct own *o, struct operation i)
{
  uint32_t x = reverse_halves(o->r[i.m]);
  o->r[i.d] = x >> 16 | x << 16;
}

void op_reverse_halves(struct own *o, struct operation i)
{
  o->r[i.d] = reverse_halves(o->r[i.m]);
}

void op_reverse_signed(struct own *o, struct operation i)
{
  o->r[i.d] = sign_extend(reverse_halves(o->r[i.m]), 16);
}

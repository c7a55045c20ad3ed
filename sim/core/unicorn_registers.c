#include "core/unicorn_registers.h"

#include <assert.h>
#include <string.h>

#include "core/thumb2.h"

#define STATUS 15u /* index: the flags; on v7-M xPSR, ITSTATE with it */

static int ids_v6m[UNICORN_REGISTERS] = {
    UC_ARM_REG_R0,  UC_ARM_REG_R1,  UC_ARM_REG_R2,  UC_ARM_REG_R3,
    UC_ARM_REG_R4,  UC_ARM_REG_R5,  UC_ARM_REG_R6,  UC_ARM_REG_R7,
    UC_ARM_REG_R8,  UC_ARM_REG_R9,  UC_ARM_REG_R10, UC_ARM_REG_R11,
    UC_ARM_REG_R12, UC_ARM_REG_R13, UC_ARM_REG_R14, UC_ARM_REG_APSR_NZCV};

static int ids_v7m[UNICORN_REGISTERS] = {
    UC_ARM_REG_R0,  UC_ARM_REG_R1,  UC_ARM_REG_R2,  UC_ARM_REG_R3,
    UC_ARM_REG_R4,  UC_ARM_REG_R5,  UC_ARM_REG_R6,  UC_ARM_REG_R7,
    UC_ARM_REG_R8,  UC_ARM_REG_R9,  UC_ARM_REG_R10, UC_ARM_REG_R11,
    UC_ARM_REG_R12, UC_ARM_REG_R13, UC_ARM_REG_R14, UC_ARM_REG_XPSR};

#define FLAGS_V7M (CORE_FLAGS | CORE_SATURATED | CORE_GREATER)

/* One instruction, whose condition holds, at the end of an IT block. */
#define IT_LAST_ALWAYS 0xe8u

#define FLOATS 33u /* s0 to s31, then FPSCR */

/* The library's answer to calls that only fail if this file is wrong. */
static void must(uc_err error)
{
  assert(error == UC_ERR_OK);
  (void)error;
}

static bool is_v7m(enum core_kind kind)
{
  return kind >= CORE_KIND_M3;
}

static int *ids_of(enum core_kind kind)
{
  return is_v7m(kind) ? ids_v7m : ids_v6m;
}

uint32_t unicorn_register(uc_engine *uc, enum core_kind kind, unsigned number)
{
  uint32_t value;
  must(uc_reg_read(uc, ids_of(kind)[number < STATUS ? number : STATUS],
                   &value));
  return value;
}

void unicorn_read(uc_engine *uc, enum core_kind kind, uint32_t *values)
{
  void *to[UNICORN_REGISTERS];
  for (unsigned i = 0; i < UNICORN_REGISTERS; i++)
    to[i] = &values[i];
  must(uc_reg_read_batch(uc, ids_of(kind), to, (int)UNICORN_REGISTERS));
}

static uint32_t status_to_load(const struct core *core)
{
  if (!core_is_v7m(core)) return core->xpsr & CORE_FLAGS;
  unsigned it = thumb2_it_of(core->xpsr) != 0 ? IT_LAST_ALWAYS : 0;
  return (core->xpsr & FLAGS_V7M) | CORE_THUMB | thumb2_it_bits(it);
}

/* --- floating point ----------------------------------------------------- */

static void list_floats(struct core *core, int *ids, void **values)
{
  for (int i = 0; i < (int)FLOATS - 1; i++) {
    ids[i] = UC_ARM_REG_S0 + i;
    values[i] = &core->fpu.s[i];
  }
  ids[FLOATS - 1] = UC_ARM_REG_FPSCR;
  values[FLOATS - 1] = &core->fpu.status;
}

static void load_floats(uc_engine *uc, struct core *core)
{
  int ids[FLOATS];
  void *from[FLOATS];
  if (!core_has_fpu(core)) return;
  list_floats(core, ids, from);
  must(uc_reg_write_batch(uc, ids, from, (int)FLOATS));
}

void unicorn_store_floats(uc_engine *uc, struct core *core)
{
  int ids[FLOATS];
  void *to[FLOATS];
  if (!core_has_fpu(core)) return;
  list_floats(core, ids, to);
  must(uc_reg_read_batch(uc, ids, to, (int)FLOATS));
  core->fpu.status &= CORE_FPSCR_BITS;
}

/* --- all ---------------------------------------------------------------- */

void unicorn_load(uc_engine *uc, struct core *core)
{
  void *from[UNICORN_REGISTERS];
  uint32_t values[UNICORN_REGISTERS];
  memcpy(values, core->r, STATUS * sizeof(values[0]));
  values[STATUS] = status_to_load(core);
  for (unsigned i = 0; i < UNICORN_REGISTERS; i++)
    from[i] = &values[i];
  must(uc_reg_write_batch(uc, ids_of(core->part->kind), from,
                          (int)UNICORN_REGISTERS));
  load_floats(uc, core);
}

void unicorn_store(struct core *core, const uint32_t *values)
{
  bool v7m = core_is_v7m(core);
  uint32_t flags = v7m ? FLAGS_V7M : CORE_FLAGS;
  memcpy(core->r, values, STATUS * sizeof(values[0]));
  core->xpsr = (core->xpsr & ~flags) | (values[STATUS] & flags);
  if (v7m) core->r[13] &= ~3u; /* the library keeps the low bits */
}

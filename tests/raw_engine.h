/* raw_engine.h -- the library behind the instruction engine, bare, for the
 * tests that pin down what it does.
 *
 * Flash (no stores), RAM and a device, and a record of what the hooks saw.
 */
#ifndef TESTS_RAW_ENGINE_H
#define TESTS_RAW_ENGINE_H

#include <unicorn/unicorn.h>

#include "bench_core.h"

#define NEVER (UINT64_C(1) << 32)
#define UDF   0xde00

/* One instance with flash (no stores), RAM and a device, and what its hooks
 * saw. */
struct raw {
  uc_engine *uc;
  uint8_t flash[0x1000], ram[0x1000];
  unsigned calls;    /* of the code hook */
  addr_t last;       /* its last address */
  unsigned stop_at;  /* the call that stops, or 0 */
  uint32_t write_pc; /* what that call writes to PC, or 0 */
  uint32_t interrupt;
  unsigned reads, writes; /* of the device */
  bool stop_in_device;
  uint32_t device_pc; /* PC as a read of the device saw it */
  unsigned translated;
};

static inline void raw_on_code(uc_engine *uc, uint64_t at, uint32_t size,
                               void *user)
{
  struct raw *r = user;
  (void)size;
  r->last = (addr_t)at;
  r->calls++;
  if (r->calls != r->stop_at) return;
  if (r->write_pc != 0) uc_reg_write(uc, UC_ARM_REG_PC, &r->write_pc);
  uc_emu_stop(uc);
}

static inline void raw_on_interrupt(uc_engine *uc, uint32_t number, void *user)
{
  ((struct raw *)user)->interrupt = number;
  uc_emu_stop(uc);
}

static inline void raw_on_translated(uc_engine *uc, uc_tb *block, uc_tb *from,
                                     void *user)
{
  (void)uc;
  (void)from;
  ((struct raw *)user)->translated += block->icount;
}

static inline uint64_t raw_on_read(uc_engine *uc, uint64_t at, unsigned size,
                                   void *user)
{
  struct raw *r = user;
  (void)at;
  (void)size;
  r->reads++;
  uc_reg_read(uc, UC_ARM_REG_PC, &r->device_pc);
  if (r->stop_in_device) uc_emu_stop(uc);
  return 0x55;
}

static inline void raw_on_write(uc_engine *uc, uint64_t at, unsigned size,
                                uint64_t value, void *user)
{
  struct raw *r = user;
  (void)at;
  (void)size;
  (void)value;
  r->writes++;
  if (r->stop_in_device) uc_emu_stop(uc);
}

static inline void raw_hook(struct raw *r, int type, void (*callback)(void))
{
  uc_hook h;
  uc_err error =
      uc_hook_add(r->uc, &h, type, (void *)(uintptr_t)callback, r, 1, 0);
  assert_int_equal(error, UC_ERR_OK);
}

static inline struct raw *raw_open_model(int model, bool code_hook)
{
  struct raw *r = calloc(1, sizeof(*r));
  assert_non_null(r);
  assert_int_equal(uc_open(UC_ARCH_ARM, UC_MODE_THUMB, &r->uc), UC_ERR_OK);
  uc_ctl_set_cpu_model(r->uc, model);
  if (code_hook) raw_hook(r, UC_HOOK_CODE, (void (*)(void))raw_on_code);
  raw_hook(r, UC_HOOK_INTR, (void (*)(void))raw_on_interrupt);
  raw_hook(r, UC_HOOK_EDGE_GENERATED, (void (*)(void))raw_on_translated);
  uc_mem_map_ptr(r->uc, FLASH, sizeof(r->flash), UC_PROT_READ | UC_PROT_EXEC,
                 r->flash);
  uc_mem_map_ptr(r->uc, RAM, sizeof(r->ram), UC_PROT_ALL, r->ram);
  uc_mmio_map(r->uc, DEVICE, 0x1000, raw_on_read, r, raw_on_write, r);
  r->interrupt = UINT32_MAX;
  return r;
}

static inline struct raw *raw_open(void)
{
  return raw_open_model(UC_CPU_ARM_CORTEX_M0, true);
}

static inline void raw_close(struct raw *r)
{
  uc_close(r->uc);
  free(r);
}

static inline void raw_write(struct raw *r, int id, uint32_t value)
{
  assert_int_equal(uc_reg_write(r->uc, id, &value), UC_ERR_OK);
}

static inline uint32_t raw_read(struct raw *r, int id)
{
  uint32_t value = 0;
  assert_int_equal(uc_reg_read(r->uc, id, &value), UC_ERR_OK);
  return value;
}

/* Flash full of UDF but for this code at its base. */
static inline void raw_put(struct raw *r, const uint16_t *code, size_t bytes)
{
  static const uint16_t udf = UDF;
  for (size_t i = 0; i < sizeof(r->flash); i += sizeof(udf))
    memcpy(r->flash + i, &udf, sizeof(udf));
  if (bytes != 0) memcpy(r->flash, code, bytes);
  uc_ctl_remove_cache(r->uc, (uint64_t)FLASH,
                      (uint64_t)FLASH + sizeof(r->flash));
}

static inline uc_err raw_run(struct raw *r, addr_t at)
{
  r->calls = 0;
  return uc_emu_start(r->uc, at | 1u, NEVER, 0, 0);
}

#endif

/* bare_engine ROM.bin APP.bin REGION:COUNT...
 *
 * What bench_demo compares the demo with: the library behind the instruction
 * engine and nothing else. Memories where the demo's part has them, the boot
 * ROM and the application in theirs; then, one start an argument, COUNT
 * instructions from the vectors of REGION ("rom" or "flash"). The only
 * devices are a callback: the clock is always ready, all else reads as zero.
 *
 * With --count in front, counts what was executed, and prints it.
 *
 * The one other program that calls the library itself is bench_cycle_hook.
 */
#include <inttypes.h>
#include <stdbool.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <unicorn/unicorn.h>

#define FLASH      0x04000000u
#define FLASH_SIZE 0xc000u
#define ROM        0x06000000u
#define ROM_SIZE   0x2000u
#define RAM        0x20000000u
#define RAM_SIZE   0x1800u
#define DEVICES    0x44000000u
#define CLOCK      0x1004u /* images/common/registers.h */

#define NEVER (UINT64_C(1) << 32)

static uint8_t flash[FLASH_SIZE] __attribute__((aligned(4096)));
static uint8_t rom[ROM_SIZE] __attribute__((aligned(4096)));
static uint8_t ram[0x2000] __attribute__((aligned(4096)));

static void stop(const char *what)
{
  fprintf(stderr, "bare_engine: %s\n", what);
  exit(2);
}

static void must(uc_err err)
{
  if (err != UC_ERR_OK) stop(uc_strerror(err));
}

static void load(const char *path, uint8_t *memory, size_t size)
{
  FILE *file = fopen(path, "rb");
  if (!file) stop(path);
  memset(memory, 0xff, size);
  if (fread(memory, 1, size, file) < 8) stop(path);
  fclose(file);
}

static uint64_t read_device(uc_engine *uc, uint64_t offset, unsigned size,
                            void *context)
{
  (void)uc, (void)size, (void)context;
  return offset == CLOCK ? UINT32_MAX : 0;
}

static void write_device(uc_engine *uc, uint64_t offset, unsigned size,
                         uint64_t value, void *context)
{
  (void)uc, (void)offset, (void)size, (void)value, (void)context;
}

static void count(uc_engine *uc, uint64_t at, uint32_t size, void *context)
{
  (void)uc, (void)at, (void)size;
  ++*(uint64_t *)context;
}

static uc_engine *open_engine(void)
{
  uc_engine *uc;
  must(uc_open(UC_ARCH_ARM, UC_MODE_THUMB, &uc));
  must(uc_ctl_set_cpu_model(uc, UC_CPU_ARM_CORTEX_M0));
  must(uc_mem_map_ptr(uc, FLASH, FLASH_SIZE, UC_PROT_READ | UC_PROT_EXEC,
                      flash));
  must(uc_mem_map_ptr(uc, ROM, ROM_SIZE, UC_PROT_READ | UC_PROT_EXEC, rom));
  must(uc_mem_map_ptr(uc, RAM, RAM_SIZE, UC_PROT_ALL, ram));
  must(uc_mmio_map(uc, DEVICES, 0x21000, read_device, NULL, write_device,
                   NULL));
  return uc;
}

/* Execute `instructions` from the vectors at the beginning of `memory`. */
static void start(uc_engine *uc, const uint8_t *memory, size_t instructions)
{
  uint32_t vectors[2], xpsr = 0x01000000; /* T, as after a reset */
  memcpy(vectors, memory, sizeof vectors);
  must(uc_reg_write(uc, UC_ARM_REG_XPSR, &xpsr));
  must(uc_reg_write(uc, UC_ARM_REG_SP, &vectors[0]));
  must(uc_emu_start(uc, vectors[1] | 1u, NEVER, 0, instructions));
}

static void start_as_told(uc_engine *uc, const char *told)
{
  const char *colon = strchr(told, ':');
  size_t instructions = colon ? strtoul(colon + 1, NULL, 10) : 0;
  bool in_rom = strncmp(told, "rom:", 4) == 0;
  if (!in_rom && strncmp(told, "flash:", 6) != 0) stop(told);
  if (instructions > 0) start(uc, in_rom ? rom : flash, instructions);
}

int main(int argc, char **argv)
{
  uint64_t counted = 0;
  bool counting = argc > 1 && strcmp(argv[1], "--count") == 0;
  char **arguments = argv + 1 + counting;
  if (argc - counting < 3) stop("expected ROM.bin APP.bin REGION:COUNT...");
  load(arguments[0], rom, sizeof rom);
  load(arguments[1], flash, sizeof flash);
  uc_engine *uc = open_engine();
  uc_hook hook;
  if (counting) {
    must(uc_hook_add(uc, &hook, UC_HOOK_CODE, (void *)(uintptr_t)count,
                     &counted, 1, 0));
  }
  for (char **told = arguments + 2; *told; told++) {
    start_as_told(uc, *told);
  }
  if (counting) printf("%" PRIu64 "\n", counted);
  must(uc_close(uc));
  return 0;
}

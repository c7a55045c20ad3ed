/* register_fixture.h -- a chip whose registers a test chooses, reached as a
 * program reaches them: through the bus.
 *
 * Nothing executes: the instruction engine is one that does nothing.
 */
#ifndef TESTS_REGISTER_FIXTURE_H
#define TESTS_REGISTER_FIXTURE_H

#include "chip/chip.h"
#include "chip/registers.h"
#include "chip_fixture.h"
#include "core/engine.h"

/* 8 MHz: an access stamped with cycle n happens at n * 125 ns. */
#define CYCLE_PS 125000

/* A field with a role, and a register out of an array of fields. */
#define FIELD(lsb_, width_, access_, role_, index_)                           \
  {                                                                           \
    .lsb = (lsb_), .width = (width_), .access = ACCESS_##access_,             \
    .role = ROLE_##role_, .index = (index_)                                   \
  }
#define REGISTER(at_, fields_, reset_)                                        \
  {                                                                           \
    .at = (at_), .reset = (reset_), .fields = (fields_),                      \
    .field_count = sizeof(fields_) / sizeof((fields_)[0])                     \
  }

#define FLASH_AT 0x04000000u
#define RAM_AT   0x20000000u

static inline void idle_cpu_map(struct cpu *cpu)
{
  (void)cpu;
}

static inline void idle_cpu_forget(struct cpu *cpu, addr_t at, uint32_t size)
{
  (void)cpu, (void)at, (void)size;
}

static const struct cpu_ops idle_cpu_ops = {.map = idle_cpu_map,
                                            .forget = idle_cpu_forget};

/* 4 KiB of flash with pages of 1 KiB and units of `unit` bytes; eight pins;
 * two clocks; one option word; resets by power, pin and software. */
static inline struct part register_part(struct part_register *registers,
                                        uint32_t count, uint32_t unit)
{
  return (struct part){
      .name = "plain",
      .core = {.kind = CORE_KIND_M0, .multiplier = EXACTLY(1)},
      .clock = {.sources = {{"base", EXACTLY(8 * MHZ), EXACTLY(0)},
                            {"fast", EXACTLY(24 * MHZ),
                             EXACTLY(12 * PS_PER_US)}},
                .source_count = 2},
      .memory =
          {{.name = "flash",
            .kind = MEMORY_FLASH,
            .at = FLASH_AT,
            .size = 4096,
            .page = 1024,
            .unit = unit},
           {.name = "ram", .kind = MEMORY_RAM, .at = RAM_AT, .size = 1024}},
      .memory_count = 2,
      .flash = {.program = EXACTLY(50 * PS_PER_US),
                .erase_page = EXACTLY(20 * PS_PER_MS),
                .erase_all = EXACTLY(30 * PS_PER_MS),
                .option_program = EXACTLY(25 * PS_PER_MS)},
      .power = {.on_rise = EXACTLY(1600000),
                .on_fall = EXACTLY(1500000),
                .ram_keep = EXACTLY(900000),
                .rearm_below = EXACTLY(400000)},
      .resets = {[CAUSE_POWER_ON] = {.present = true},
                 [CAUSE_BROWN_OUT] = {.present = true},
                 [CAUSE_PIN] = {.present = true},
                 [CAUSE_SOFTWARE] = {.present = true}},
      .options = {.words = {{.name = "start",
                             .fields = {{.name = "source",
                                         .width = 8,
                                         .factory = 0x3c}},
                             .field_count = 1}},
                  .word_count = 1},
      .blank_check = {.held = BLANK_LATCHED,
                      .reads = {{.bytes = 4}},
                      .read_count = 1},
      .rules = {{.name = "otherwise"}},
      .rule_count = 1,
      .pins = {.names = {"P0", "P1", "P2", "P3", "P4", "P5", "P6", "P7"},
               .count = 8,
               .serial_transmit = 5,
               .serial_receive = 6,
               .serial_baud = 115200,
               .more_transmit = PART_NONE,
               .more_receive = PART_NONE},
      .registers = registers,
      .register_count = count,
  };
}

struct register_bench {
  struct part part;
  struct trace trace;
  struct cpu cpu;
  struct chip chip;
  cycle_t cycle; /* of the next access */
};

static inline void register_bench_init(struct register_bench *b,
                                       struct part_register *registers,
                                       uint32_t count, uint32_t unit)
{
  b->part = register_part(registers, count, unit);
  b->cpu = (struct cpu){.ops = &idle_cpu_ops};
  b->cycle = 0;
  kept_init(&b->trace);
  chip_init(&b->chip, &b->part, &b->trace, &b->cpu);
}

static inline void register_bench_free(struct register_bench *b)
{
  chip_free(&b->chip);
  trace_free(&b->trace);
}

static inline struct bus_answer register_access(struct register_bench *b,
                                                addr_t at, uint32_t size,
                                                bool write, uint32_t value)
{
  const struct bus_access a = {.at = at,
                               .value = value,
                               .stamp = b->cycle,
                               .pc = 0x04000100,
                               .size = size,
                               .write = write};
  return b->chip.bus.access(&b->chip, &a);
}

static inline void write_word(struct register_bench *b, addr_t at,
                              uint32_t value)
{
  register_access(b, at, 4, true, value);
}

static inline uint32_t read_word(struct register_bench *b, addr_t at)
{
  return register_access(b, at, 4, false, 0).value;
}

#endif

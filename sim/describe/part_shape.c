/* The tables of a part file, in the order in which names are needed. Bounds
 * are ours: wide enough for any such part, narrow enough that nothing
 * downstream can overflow. */
#include "describe/part_shape.h"

#include "describe/names.h"

/* --- core ------------------------------------------------------------------
 */

static const struct shape_row io_port_rows[] = {
    {"at", SHAPE_HEX, SHAPE_REQUIRED, offsetof(struct part_io_port, at),
     .multiple = 4, .sentence = "Address of the first byte."},
    {"size", SHAPE_BYTES, SHAPE_REQUIRED, offsetof(struct part_io_port, size),
     .min = 4, .max = 512 * MIB, .multiple = 4,
     .sentence = "Bytes of the port."},
};

static const struct shape io_port_shape = {.what = "the I/O port",
                                           SHAPE_ROWS(io_port_rows)};

static const struct shape_row core_rows[] = {
    {"kind", SHAPE_CHOICE, SHAPE_REQUIRED, offsetof(struct part_core, kind),
     .words = core_kind_words, .sentence = "The processor core."},
    {"multiplier", SHAPE_QUANTITY, SHAPE_OPTIONAL,
     offsetof(struct part_core, multiplier), .unit = UNIT_CYCLES, .min = 1,
     .max = 32, .initial = "1 cycle",
     .sentence = "Cycles of a multiplication, a build option of the core: "
                 "1 or 32."},
    {"interrupts", SHAPE_COUNT, SHAPE_OPTIONAL,
     offsetof(struct part_core, interrupts), .max = 240, .initial = "32",
     .sentence = "Number of interrupt lines: up to 32 on cortex-m0 and "
                 "cortex-m0+, up to 240 on the others."},
    {"priority_bits", SHAPE_COUNT, SHAPE_OPTIONAL,
     offsetof(struct part_core, priority_bits), .max = 8, .initial = "0",
     .sentence = "Bits of an interrupt priority: 2 on cortex-m0 and "
                 "cortex-m0+, 3 to 8 on the others; 0 is the least of them."},
    {"bit_band", SHAPE_FLAG, SHAPE_OPTIONAL,
     offsetof(struct part_core, bit_band), .initial = "false",
     .sentence = "Whether the bit-band aliases are there (cortex-m3, "
                 "cortex-m4, cortex-m4f)."},
    {"vector_base", SHAPE_FLAG, SHAPE_OPTIONAL,
     offsetof(struct part_core, vector_base), .initial = "false",
     .sentence = "Whether the core was built with the vector table offset "
                 "register."},
    {"fetch", SHAPE_BYTES, SHAPE_OPTIONAL,
     offsetof(struct part_core, fetch_bytes), .min = 2, .max = 4,
     .multiple = 2, .initial = "4B",
     .sentence = "Width of an instruction fetch."},
    {"prefetch", SHAPE_COUNT, SHAPE_OPTIONAL,
     offsetof(struct part_core, prefetch_words), .max = 8, .initial = "0",
     .sentence = "Fetches made ahead while instructions execute, which hide "
                 "wait states of code that runs straight on."},
    {"io_port", SHAPE_OBJECT, SHAPE_OPTIONAL,
     offsetof(struct part_core, io_port), .shape = &io_port_shape,
     .sentence = "Addresses behind the single-cycle I/O port (cortex-m0+): "
                 "loads and stores there take one cycle."},
    {"semihosting", SHAPE_FLAG, SHAPE_OPTIONAL,
     offsetof(struct part_core, semihosting), .initial = "false",
     .sentence = "Whether BKPT 0xAB calls the host: what a program writes "
                 "that way, and its exit, become records of the trace."},
};

static const struct shape core_shape = {
    .what = "a core", SHAPE_ROWS(core_rows), .sourced = true};

/* --- clock -----------------------------------------------------------------
 */

static const struct shape_row clock_source_rows[] = {
    {"name", SHAPE_NAME, SHAPE_REQUIRED,
     offsetof(struct part_clock_source, name),
     .sentence = "What the source is called."},
    {"frequency", SHAPE_QUANTITY, SHAPE_REQUIRED,
     offsetof(struct part_clock_source, frequency), .unit = UNIT_FREQUENCY,
     .min = 1000, .max = 1000000000,
     .sentence = "Core clock frequency when running from this source."},
    {"start_up", SHAPE_QUANTITY, SHAPE_REQUIRED,
     offsetof(struct part_clock_source, start_up), .unit = UNIT_TIME,
     .max = MAX_WAIT, .sentence = "Time from being enabled to being ready."},
};

static const struct shape clock_source_shape = {
    .what = "a clock source", SHAPE_ROWS(clock_source_rows), .sourced = true};

static const struct shape_row clock_rows[] = {
    {"sources", SHAPE_LIST, SHAPE_OPTIONAL,
     offsetof(struct part_clock, sources), .min = 1, .max = PART_MAX_CLOCKS,
     .stride = sizeof(struct part_clock_source),
     .initial = "{ \"clock\": { \"sources\": [ { \"name\": \"base\", "
                "\"frequency\": \"8MHz\", \"start_up\": \"0us\" } ] } }",
     .counted = offsetof(struct part_clock, source_count),
     .of = &(const struct shape_row){.kind = SHAPE_OBJECT,
                                     .shape = &clock_source_shape},
     .sentence = "Clock sources; the first runs after a reset, and always."},
};

static const struct shape clock_shape = {
    .what = "the clock", SHAPE_ROWS(clock_rows), .sourced = true};

/* --- memory ----------------------------------------------------------------
 */

static const struct shape_row memory_rows[] = {
    {"name", SHAPE_NAME, SHAPE_REQUIRED, offsetof(struct part_memory, name),
     .sentence = "What the region is called."},
    {"kind", SHAPE_CHOICE, SHAPE_REQUIRED, offsetof(struct part_memory, kind),
     .words = memory_kind_words, .sentence = "What keeps the bytes."},
    {"at", SHAPE_HEX, SHAPE_REQUIRED, offsetof(struct part_memory, at),
     .multiple = KIB, .sentence = "Address of the first byte."},
    {"size", SHAPE_BYTES, SHAPE_REQUIRED, offsetof(struct part_memory, size),
     .min = KIB, .max = 16 * MIB, .multiple = KIB,
     .sentence = "Bytes in the region."},
    {"page", SHAPE_BYTES, SHAPE_OPTIONAL, offsetof(struct part_memory, page),
     .min = 16, .max = MIB,
     .sentence = "Flash only: bytes erased together; left out, 1 KiB."},
    {"unit", SHAPE_BYTES, SHAPE_OPTIONAL, offsetof(struct part_memory, unit),
     .min = 1, .max = 256,
     .sentence = "Flash only: bytes programmed together; left out, 4."},
    {"wait_states", SHAPE_COUNT, SHAPE_OPTIONAL,
     offsetof(struct part_memory, wait_states), .max = 15, .initial = "0",
     .sentence = "Cycles added to each fetch and each data read."},
    {"image", SHAPE_TEXT, SHAPE_OPTIONAL, offsetof(struct part_memory, image),
     .sentence = "ROM only: the program in it, a path beside this file."},
    {"preset", SHAPE_LIST, SHAPE_OPTIONAL,
     offsetof(struct part_memory, presets), .max = PART_MAX_PRESETS,
     .stride = sizeof(struct part_preset),
     .counted = offsetof(struct part_memory, preset_count),
     .of = &(const struct shape_row){.kind = SHAPE_OBJECT,
                                     .shape = &part_preset_shape},
     .sentence = "Information words only: what they say; the rest reads all "
                 "ones."},
};

static const struct shape memory_shape = {.what = "a memory region",
                                          SHAPE_ROWS(memory_rows),
                                          .sourced = true,
                                          .fact = true};

static const struct shape_row torn_form = {.kind = SHAPE_CHOICE,
                                           .words = torn_words};

#define TORN_ROW(key, what)                                                   \
  {                                                                           \
    key, SHAPE_LIST, SHAPE_OPTIONAL,                                          \
        offsetof(struct part_flash, torn_##what.kinds),                       \
        .min = 1, .max = TORN_COUNT_, .initial = "[ \"old\" ]",               \
        .stride = sizeof(enum torn),                                          \
        .counted = offsetof(struct part_flash, torn_##what.count),            \
        .of = &torn_form,                                                     \
        .sentence = "The same where it is this that is cut."                  \
  }

static const struct shape_row torn_rows[] = {
    TORN_ROW("program", program),
    TORN_ROW("erase", erase),
    TORN_ROW("options", options),
};

static const struct shape torn_shape = {.what = "what a cut order may leave",
                                        SHAPE_ROWS(torn_rows)};

static const struct shape_row flash_rows[] = {
    {"program", SHAPE_QUANTITY, SHAPE_OPTIONAL,
     offsetof(struct part_flash, program), .unit = UNIT_TIME,
     .initial = "50us", .min = PS_PER_NS, .max = PS_PER_S,
     .sentence = "Time to program a unit."},
    {"erase_page", SHAPE_QUANTITY, SHAPE_OPTIONAL,
     offsetof(struct part_flash, erase_page), .unit = UNIT_TIME,
     .initial = "20ms", .min = PS_PER_NS, .max = 10 * PS_PER_S,
     .sentence = "Time to erase a page."},
    {"erase_all", SHAPE_QUANTITY, SHAPE_OPTIONAL,
     offsetof(struct part_flash, erase_all), .unit = UNIT_TIME,
     .initial = "40ms", .min = PS_PER_NS, .max = 100 * PS_PER_S,
     .sentence = "Time to erase all of the flash."},
    {"option_program", SHAPE_QUANTITY, SHAPE_OPTIONAL,
     offsetof(struct part_flash, option_program), .unit = UNIT_TIME,
     .initial = "20ms", .min = PS_PER_NS, .max = 10 * PS_PER_S,
     .sentence = "Time to program an option word."},
    {"while_busy", SHAPE_CHOICE, SHAPE_OPTIONAL,
     offsetof(struct part_flash, while_busy), .initial = "stall",
     .words = while_busy_words,
     .sentence = "What becomes of a program in flash that is busy: it waits, "
                 "or has a bus error."},
    {"read_while_write", SHAPE_FLAG, SHAPE_OPTIONAL,
     offsetof(struct part_flash, read_while_write), .initial = "false",
     .sentence = "Whether only the region that an order acts on is busy."},
    {"ecc", SHAPE_FLAG, SHAPE_OPTIONAL, offsetof(struct part_flash, ecc),
     .initial = "false",
     .sentence = "Whether 8 check bits for each 64 bits correct one wrong bit "
                 "and find two."},
    {"torn", SHAPE_OBJECT, SHAPE_OPTIONAL, 0, .shape = &torn_shape,
     .sentence = "What an order that is cut short may leave: the first in a "
                 "plain run, the others in a sweep."},
};

static const struct shape flash_shape = {
    .what = "the flash", SHAPE_ROWS(flash_rows), .sourced = true};

/* --- probe -----------------------------------------------------------------
 */

static const struct shape_row probe_rows[] = {
    {"attach", SHAPE_QUANTITY, SHAPE_OPTIONAL,
     offsetof(struct part_probe, attach), .unit = UNIT_TIME,
     .initial = "200us", .max = MAX_WAIT,
     .sentence = "Time from asking for the core to having it."},
    {"transfer", SHAPE_QUANTITY, SHAPE_OPTIONAL,
     offsetof(struct part_probe, transfer), .unit = UNIT_TIME,
     .initial = "5us", .min = PS_PER_NS, .max = PS_PER_S,
     .sentence = "Time of one access of 32 bits."},
    {"memory_in_reset", SHAPE_FLAG, SHAPE_OPTIONAL,
     offsetof(struct part_probe, memory_in_reset), .initial = "false",
     .sentence = "Whether memory can be reached while the reset line is "
                 "low."},
    {"port_in_reset", SHAPE_FLAG, SHAPE_OPTIONAL,
     offsetof(struct part_probe, port_in_reset), .initial = "true",
     .sentence = "Whether the debug port answers while the reset line is "
                 "low."},
    {"port_in_deep_sleep", SHAPE_FLAG, SHAPE_OPTIONAL,
     offsetof(struct part_probe, port_in_deep_sleep), .initial = "false",
     .sentence = "Whether the debug port answers while the core sleeps "
                 "deeply."},
    {"shut_in_rom", SHAPE_FLAG, SHAPE_OPTIONAL,
     offsetof(struct part_probe, shut_in_rom), .initial = "false",
     .sentence = "Whether the debug port is shut, in reset and while the boot "
                 "ROM runs, until that has gone elsewhere."},
};

static const struct shape probe_shape = {
    .what = "the probe section", SHAPE_ROWS(probe_rows), .sourced = true};

/* --- the part --------------------------------------------------------------
 */

static const struct shape_row reset_form = {.kind = SHAPE_OBJECT,
                                            .shape = &part_reset_shape};

static const struct shape_row block_form = {.kind = SHAPE_OBJECT,
                                            .shape = &part_block_shape};

/* The reset table of a part whose file has none: the causes that happen to
 * any part. Each resets what can be reset; RAM is lost with the supply, debug
 * logic too. Assumed. */
#define USUAL_RESET(cause, ram, debug)                                        \
  "{ \"cause\": \"" cause "\", \"options\": \"load\", \"latch\": \"keep\", "  \
  "\"straps\": \"sample\", \"alias\": \"select\", \"ram\": \"" ram "\", "     \
  "\"backup\": \"" ram "\", \"debug\": \"" debug "\", "                       \
  "\"watchdog\": \"stop\", \"clocks\": \"reset\", \"flash_lock\": \"lock\", " \
  "\"pins\": \"reset\", \"line\": \"leave\", \"flag\": true }"
#define USUAL_POWER_ON  USUAL_RESET("power_on", "lose", "lose")
#define USUAL_BROWN_OUT USUAL_RESET("brown_out", "keep", "lose")
#define USUAL_SOFTWARE  USUAL_RESET("software", "keep", "keep")
#define USUAL_PIN       USUAL_RESET("pin", "keep", "keep")
#define USUAL_RESETS                                                          \
  "{ \"resets\": [ " USUAL_POWER_ON ", " USUAL_BROWN_OUT ", " USUAL_SOFTWARE  \
  ", " USUAL_PIN " ] }"

static const struct shape_row answer_form = {.kind = SHAPE_OBJECT,
                                             .shape = &part_answer_shape};

/* The section of a row, as 0 means none. */
#define IN(section) (SECTION_##section + 1u)

static const struct shape_row rows[] = {
    {"part", SHAPE_NAME, SHAPE_REQUIRED, offsetof(struct part, name),
     .sentence = "What the part is called."},
    {"about", SHAPE_TEXT, SHAPE_OPTIONAL, offsetof(struct part, about),
     .sentence = "What is special about it, in one sentence."},
    {"core", SHAPE_OBJECT, SHAPE_REQUIRED, offsetof(struct part, core),
     .shape = &core_shape, .section = IN(CORE), .sentence = "The processor."},
    {"clock", SHAPE_OBJECT, SHAPE_OPTIONAL, offsetof(struct part, clock),
     .shape = &clock_shape, .section = IN(CLOCK),
     .sentence = "What the core clock comes from."},
    {"memory", SHAPE_LIST, SHAPE_REQUIRED, offsetof(struct part, memory),
     .min = 1, .max = PART_MAX_MEMORY, .stride = sizeof(struct part_memory),
     .counted = offsetof(struct part, memory_count),
     .of = &(const struct shape_row){.kind = SHAPE_OBJECT,
                                     .shape = &memory_shape},
     .section = IN(MEMORY), .sentence = "Regions of memory."},
    {"flash", SHAPE_OBJECT, SHAPE_OPTIONAL, offsetof(struct part, flash),
     .shape = &flash_shape, .section = IN(FLASH),
     .sentence = "How long flash operations take."},
    {"power", SHAPE_OBJECT, SHAPE_OPTIONAL, offsetof(struct part, power),
     .shape = &part_power_shape, .section = IN(POWER),
     .sentence = "What the supply voltage allows."},
    {"boot", SHAPE_OBJECT, SHAPE_OPTIONAL, offsetof(struct part, boot),
     .shape = &part_boot_shape, .section = IN(BOOT),
     .sentence = "The sequence from reset to the first fetch."},
    {"resets", SHAPE_LIST, SHAPE_OPTIONAL, offsetof(struct part, resets),
     .min = 1, .max = CAUSE_COUNT_, .initial = USUAL_RESETS,
     .of = &(const struct shape_row){.kind = SHAPE_CUSTOM,
                                     .of = &reset_form,
                                     .of_count = 1,
                                     .read = part_read_reset},
     .section = IN(RESET),
     .sentence = "The reset table: what each cause does; a cause without a "
                 "row can't happen."},
    {"options", SHAPE_OBJECT, SHAPE_OPTIONAL, offsetof(struct part, options),
     .shape = &part_options_shape, .section = IN(OPTIONS),
     .sentence = "Non-volatile settings."},
    {"watchdog", SHAPE_OBJECT, SHAPE_OPTIONAL, offsetof(struct part, watchdog),
     .has = offsetof(struct part, watchdog.present),
     .shape = &part_watchdog_shape, .section = IN(WATCHDOG),
     .sentence = "The watchdog; left out, there is none."},
    {"reset_line", SHAPE_OBJECT, SHAPE_OPTIONAL,
     offsetof(struct part, reset_line), .shape = &part_reset_line_shape,
     .section = IN(RESET), .sentence = "The two-way reset line."},
    {"deep_sleep", SHAPE_OBJECT, SHAPE_OPTIONAL,
     offsetof(struct part, deep_sleep),
     .has = offsetof(struct part, deep_sleep.present),
     .shape = &part_deep_sleep_shape, .section = IN(DEEP_SLEEP),
     .sentence = "Deep sleep, which ends with a reset; left out, sleep is "
                 "never deep."},
    {"pins", SHAPE_OBJECT, SHAPE_OPTIONAL, offsetof(struct part, pins),
     .shape = &part_pins_shape, .section = IN(PINS), .sentence = "The pins."},
    {"straps", SHAPE_LIST, SHAPE_OPTIONAL, offsetof(struct part, straps),
     .max = PART_MAX_STRAPS, .stride = sizeof(struct part_strap),
     .counted = offsetof(struct part, strap_count),
     .of = &(const struct shape_row){.kind = SHAPE_OBJECT,
                                     .shape = &part_strap_shape},
     .section = IN(BOOT),
     .sentence = "Pins whose level is sampled to choose a start."},
    {"blank_check", SHAPE_OBJECT, SHAPE_OPTIONAL,
     offsetof(struct part, blank_check), .shape = &part_blank_check_shape,
     .section = IN(BOOT),
     .sentence = "How the part finds out whether its flash is erased; left "
                 "out, it does not."},
    {"protection", SHAPE_OBJECT, SHAPE_OPTIONAL,
     offsetof(struct part, protection), .shape = &part_protection_shape,
     .section = IN(OPTIONS),
     .sentence = "What option fields keep from being read or changed."},
    {"start_rules", SHAPE_LIST, SHAPE_OPTIONAL, offsetof(struct part, rules),
     .min = 1, .max = PART_MAX_RULES, .stride = sizeof(struct part_rule),
     .counted = offsetof(struct part, rule_count),
     .of = &(const struct shape_row){.kind = SHAPE_OBJECT,
                                     .shape = &part_rule_shape},
     .section = IN(BOOT),
     .sentence = "Where a start begins: the first rule that holds decides; "
                 "left out, in the first flash region."},
    {"probe", SHAPE_OBJECT, SHAPE_OPTIONAL, offsetof(struct part, probe),
     .shape = &probe_shape, .section = IN(PROBE),
     .sentence = "What a debug probe can do."},
    {"blocks", SHAPE_LIST, SHAPE_OPTIONAL, offsetof(struct part, blocks),
     .max = PART_MAX_BLOCKS, .stride = sizeof(struct part_block),
     .counted = offsetof(struct part, block_count),
     .of = &(const struct shape_row){.kind = SHAPE_CUSTOM,
                                     .of = &block_form,
                                     .of_count = 1,
                                     .read = part_read_block},
     .sentence = "Peripheral registers."},
    {"unknown", SHAPE_CHOICE, SHAPE_OPTIONAL, offsetof(struct part, unknown),
     .words = unknown_words, .initial = "learn",
     .sentence = "What becomes of an access to a peripheral register that "
                 "nothing describes: it reads as written and polling loops "
                 "are let go by trial; or it reads 0 and takes no writes; or "
                 "it is a bus error."},
    {"answers", SHAPE_LIST, SHAPE_OPTIONAL, offsetof(struct part, answers),
     .max = PART_MAX_ANSWERS, .pointed = true,
     .stride = sizeof(struct part_answer),
     .counted = offsetof(struct part, answer_count),
     .of = &(const struct shape_row){.kind = SHAPE_CUSTOM,
                                     .of = &answer_form,
                                     .of_count = 1,
                                     .read = part_read_answer},
     .sentence = "Bits of registers that nothing else describes: learned in "
                 "a run, or known."},
};

const struct shape part_shape = {
    .what = "a part", SHAPE_ROWS(rows), .sourced = true};

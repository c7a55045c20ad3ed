/* part.h -- a microcontroller as plain data: what a file in models/ says.
 *
 * Everything a part is comes from its file; no part's name appears in the
 * program. The description is const after reading and is shared by all that
 * simulate it.
 *
 * Owns: nothing; all memory is in the arena it was read into.
 */
#ifndef DESCRIBE_PART_H
#define DESCRIBE_PART_H

#include <stdbool.h>
#include <stdint.h>

#include "base/arena.h"
#include "base/status.h"
#include "base/units.h"
#include "describe/part_power.h"
#include "describe/quantity.h"

#define PART_MAX_MEMORY    16
#define PART_MAX_CLOCKS    8
#define PART_MAX_STRAPS    8
#define PART_MAX_RULES     32
#define PART_MAX_TERMS     8
#define PART_MAX_WORDS     16
#define PART_MAX_FIELDS    16
#define PART_MAX_VALUES    16
#define PART_MAX_PINS      64
#define PART_MAX_PORTS     2 /* serial */
#define PART_MAX_READS     4
#define PART_MAX_KEYS      4
#define PART_MAX_BLOCKS    32
#define PART_MAX_REGISTER  256
#define PART_MAX_PRESETS   8
#define PART_MAX_PROTECTED 8
#define PART_MAX_ANSWERS   256
#define PART_NONE          0xffffffffu

/* Why a reset happens, in order of priority. */
enum cause {
#define X(name, word, sentence) CAUSE_##name,
#include "describe/causes.def"
#undef X
  CAUSE_COUNT_
};

/* What a reset cause does: the columns of the reset table. */
enum reset_column {
#define X(name, key, yes, no, sentence) RESET_##name,
#include "describe/reset_columns.def"
#undef X
  RESET_COLUMN_COUNT_
};

enum role {
  ROLE_NONE,
#define X(name, word, phase, reading, writing) ROLE_##name,
#include "describe/roles.def"
#undef X
  ROLE_COUNT_
};

/* The parts of a description whose assumed values are counted together:
 * they count for a result once its trace touched the block. A value is a
 * quantity, or a statement about behaviour that a document could confirm or
 * refute: a memory region, a row of the reset table, an option field, a
 * strap, the blank check, a start rule. */
enum part_section {
  SECTION_CORE,
  SECTION_CLOCK,
  SECTION_MEMORY,
  SECTION_POWER,
  SECTION_BOOT,
  SECTION_RESET,
  SECTION_OPTIONS,
  SECTION_FLASH,
  SECTION_PINS,
  SECTION_PROBE,
  SECTION_WATCHDOG,
  SECTION_DEEP_SLEEP,
  SECTION_COUNT_
};

enum core_kind {
  CORE_KIND_M0, /* ARMv6-M */
  CORE_KIND_M0PLUS,
  CORE_KIND_M3, /* from here ARMv7-M */
  CORE_KIND_M4,
  CORE_KIND_M4F
};

/* A span of addresses that loads and stores reach in one cycle (M0+); size 0:
 * the core was built without it. */
struct part_io_port {
  addr_t at;
  uint32_t size;
};

struct part_core {
  enum core_kind kind;        /* "cortex-m0" ... */
  struct quantity multiplier; /* cycles of MULS: 1 or 32; v7-M: 1 */
  uint32_t interrupts;        /* 0..32; v7-M: 0..240 */
  uint32_t priority_bits;     /* 2; v7-M: 3..8; 0: the least of the two */
  bool vector_base;           /* the vector base register is there (M0+; always
                                 on v7-M) */
  bool bit_band;              /* M3, M4: the bit-band aliases are there */
  uint32_t fetch_bytes;       /* 2 or 4: width of an instruction fetch */
  uint32_t prefetch_words;    /* fetched ahead while an instruction executes */
  struct part_io_port io_port;
  bool semihosting; /* BKPT 0xAB calls the host */
};

struct part_clock_source {
  const char *name;
  struct quantity frequency; /* Hz */
  struct quantity start_up;  /* ps from enable to ready */
};

/* sources[0] runs after reset. */
struct part_clock {
  struct part_clock_source sources[PART_MAX_CLOCKS];
  uint32_t source_count;
};

/* INFO is read-only and holds no program: factory information words. */
enum memory_kind { MEMORY_FLASH, MEMORY_ROM, MEMORY_RAM, MEMORY_INFO };

/* What information words say: literal words, or a file's bytes. */
struct part_preset {
  addr_t at;             /* a multiple of 4, inside the region */
  const uint32_t *words; /* NULL: the file */
  uint32_t word_count;
  const char *file; /* path as written in the part file */
};

struct part_memory {
  const char *name;
  enum memory_kind kind;
  addr_t at;
  uint32_t size;        /* bytes, a multiple of 1 KiB */
  uint32_t page, unit;  /* flash: bytes erased, bytes programmed at once;
                           powers of two */
  uint32_t wait_states; /* extra cycles of each fetch and data read */
  const char *image;    /* rom: path as written in the part file */
  struct part_preset presets[PART_MAX_PRESETS]; /* info; what they leave out
                                                   is erased */
  uint32_t preset_count;
};

/* What an order that is cut short leaves in its cells. */
enum torn {
  TORN_OLD,   /* what they held before */
  TORN_NEW,   /* what the order was for */
  TORN_PART,  /* of each cell one or the other */
  TORN_ONES,  /* all ones */
  TORN_ZEROS, /* all zeros */
  TORN_WEAK,  /* NEW, which reads differently after a later power-on */
  TORN_COUNT_
};

/* The first is what happens in a plain run; none: TORN_OLD. */
struct part_torn {
  enum torn kinds[TORN_COUNT_];
  uint32_t count;
};

/* What becomes of a program in flash that is busy. */
enum while_busy {
  WHILE_BUSY_STALL, /* it waits */
  WHILE_BUSY_FAULT  /* bus error */
};

struct part_flash {
  struct quantity program;        /* ps a unit */
  struct quantity erase_page;     /* ps a page */
  struct quantity erase_all;      /* ps; of a bank, too */
  struct quantity option_program; /* ps an option word */
  enum while_busy while_busy;
  bool read_while_write; /* a region that no order acts on answers meanwhile */
  bool ecc;              /* 8 check bits for each 64 bits */
  struct part_torn torn_program, torn_erase, torn_options;
};

struct part_boot {
  struct quantity option_load;  /* cycles */
  struct quantity blank_check;  /* cycles */
  struct quantity strap_delay;  /* cycles from line high to strap sample */
  struct quantity vector_fetch; /* cycles from selection to first fetch */
  bool in_reset; /* options and latch are done while the line is still low */
};

/* One cause; a part may lack it (`present` false: it can't happen). */
struct part_reset {
  bool present;
  bool does[RESET_COLUMN_COUNT_];
  bool flag; /* sets its cause flag */
};

/* A named pin level sampled at reset. */
struct part_strap {
  const char *name;
  uint32_t pin;
  int pull; /* +1 pulled up, -1 down, 0 floating: reads low (assumed) */
};

struct part_option_value {
  const char *name;
  uint32_t value;
};

struct part_option_field {
  const char *name;
  uint32_t lsb, width;
  struct part_option_value values[PART_MAX_VALUES];
  uint32_t value_count;
  uint32_t factory;
  uint32_t fallback; /* loaded where the cells fail their check */
};

/* Fields do not overlap; every value fits its field. */
struct part_option_word {
  const char *name;
  struct part_option_field fields[PART_MAX_FIELDS];
  uint32_t field_count;
};

/* How the cells of the option words are checked when they are loaded. */
enum integrity {
  INTEGRITY_NONE,
  INTEGRITY_COMPLEMENT, /* a complement beside each word; a word that fails
                           loads its fallback */
  INTEGRITY_CHECKSUM    /* one complemented sum of all words; if it fails, all
                           load their fallback */
};

struct part_options {
  enum integrity integrity;
  struct part_option_word words[PART_MAX_WORDS];
  uint32_t word_count;
};

enum blank_held {
  BLANK_NONE,    /* the part makes no blank check */
  BLANK_LATCHED, /* kept until the reset table says: sample */
  BLANK_AFRESH   /* made at every reset; nothing is kept */
};

/* What a start rule asks. */
enum term_kind { TERM_OPTION, TERM_LATCH, TERM_STRAP };

struct part_term {
  enum term_kind kind;
  uint32_t index, field; /* word and field; strap; unused for the latch */
  uint32_t value; /* option: value; latch: 1 programmed; strap: 1 high */
};

/* A range of flash that counts while all of its terms hold, which ask for
 * option fields only. */
struct part_span {
  uint32_t memory; /* index */
  uint32_t offset, bytes;
  struct part_term terms[PART_MAX_TERMS];
  uint32_t term_count;
};

struct part_blank_check {
  enum blank_held held;
  struct part_span reads[PART_MAX_READS];
  uint32_t read_count; /* blank when all that count are all-ones */
  bool bad_is_blank;   /* a read that ECC can't correct counts as all-ones */
  bool ones_are_blank; /* so do all-ones that were programmed (ECC only) */
};

/* What option fields keep from being read or changed. */
struct part_protection {
  struct part_span pages[PART_MAX_PROTECTED]; /* refuse every order */
  uint32_t page_count;
  struct part_term readout[PART_MAX_TERMS]; /* all hold: flash is locked */
  uint32_t readout_count;                   /* 0: there is no such lock */
  bool denies_debug;  /* locked, the debug port neither reads nor changes it */
  bool denies_starts; /* locked, it reads as zeros to a start from elsewhere */
};

struct part_rule {
  const char *name;
  const char *about, *newcomer; /* why it decides, in a sentence; or NULL */
  struct part_term terms[PART_MAX_TERMS];
  uint32_t term_count; /* all must hold; none: always */
  uint32_t memory;     /* region aliased at 0, where execution begins */
};

/* How a register or field may be accessed. */
enum access {
  ACCESS_RW,  /* read, write */
  ACCESS_RO,  /* writes ignored */
  ACCESS_WO,  /* reads as 0 */
  ACCESS_W1C, /* writing 1 clears */
  ACCESS_W1S, /* writing 1 sets; the part clears it */
  ACCESS_RC   /* reading clears */
};

struct part_field {
  const char *name;
  uint32_t lsb, width;
  enum access access;
  enum role role;
  uint32_t index; /* which of several: data word, option word, clock, pin */
  uint32_t keys[PART_MAX_KEYS];
  uint32_t key_count;
};

struct part_register {
  const char *name;
  const char *block;
  addr_t at; /* absolute */
  uint32_t reset;
  struct part_field *fields;
  uint32_t field_count;
};

/* A span of addresses whose registers are described. */
struct part_block {
  const char *name;
  addr_t at;
  uint32_t size;
};

/* What becomes of an access to a peripheral register that nothing
 * describes. */
enum unknown {
  UNKNOWN_LEARN, /* reads as written; polls are let go by trial */
  UNKNOWN_ZERO,  /* reads 0, takes no writes */
  UNKNOWN_FAULT  /* bus error */
};

/* Bits of a register that nothing else describes. */
enum answer_when {
  ANSWER_ALWAYS, /* they read so, whatever is written */
  ANSWER_POLLED, /* they come to read so while a program polls them */
  ANSWER_OUTSIDE /* something outside would make them read so: a program
                    that polls them waits */
};

struct part_answer {
  addr_t at;     /* of the word */
  uint32_t mask; /* OUTSIDE: may be 0, which bits is not known */
  uint32_t value;
  enum answer_when when;
};

struct part_pins {
  const char *names[PART_MAX_PINS];
  uint32_t count;
  uint64_t debug;                   /* bit per pin: alive during reset */
  struct quantity drive_resistance; /* milliohm of an output */
  struct quantity current_limit;    /* nA a pin may carry */
  struct quantity total_limit;      /* nA all pins together may carry */
  uint64_t pulled_up, pulled_down;  /* by the part, while it drives them not */
  bool undefined_below;             /* below power-on anything may be driven */
  struct quantity clamp_drop;       /* uV from a pin to the rail */
  struct quantity clamp_resistance; /* milliohm on that way */
  uint32_t serial_transmit;         /* pin, or PART_NONE */
  uint32_t serial_receive;
  uint32_t serial_baud;   /* of a part without a divider */
  uint32_t more_transmit; /* of the second port, or PART_NONE */
  uint32_t more_receive;
};

/* The pins of one serial port; PART_NONE where it has none. */
struct part_port {
  uint32_t transmit, receive;
};

struct part_probe {
  struct quantity attach;   /* ps from request to halted or ready */
  struct quantity transfer; /* ps a 32-bit access */
  bool memory_in_reset;     /* memory can be reached while the line is low */
  bool port_in_reset;       /* the debug port answers while it is low */
  bool port_in_deep_sleep;  /* ... while the core sleeps deeply */
  bool shut_in_rom;         /* it does not in reset and in the boot ROM */
};

/* A value that has a source, in the order of the file's shape. */
struct part_value {
  const char *path; /* in the part file: "power.on.rise" */
  uint32_t line;    /* of what is there; 0: all of it is a default */
  enum part_section section;
  struct provenance from;
};

struct part {
  const char *name, *file;
  const char *about; /* or NULL */
  struct part_core core;
  struct part_clock clock;
  struct part_memory memory[PART_MAX_MEMORY];
  uint32_t memory_count;
  struct part_flash flash;
  struct part_power power;
  struct part_boot boot;
  struct part_reset resets[CAUSE_COUNT_];
  struct part_strap straps[PART_MAX_STRAPS];
  uint32_t strap_count;
  struct part_options options;
  struct part_protection protection;
  struct part_blank_check blank_check;
  struct part_rule rules[PART_MAX_RULES];
  uint32_t rule_count;
  struct part_watchdog watchdog;
  struct part_deep_sleep deep_sleep;
  struct part_reset_line reset_line;
  struct part_pins pins;
  struct part_probe probe;
  struct part_block blocks[PART_MAX_BLOCKS];
  uint32_t block_count;
  struct part_register *registers; /* ascending by address */
  uint32_t register_count;
  enum unknown unknown;
  struct part_answer *answers;
  uint32_t answer_count;
  struct part_value *values;
  uint32_t value_count;
  uint32_t assumed[SECTION_COUNT_]; /* values with SOURCE_ASSUMED */
};

/* Read and check a part file. What can contradict itself is refused here:
 * regions that overlap or leave 32 bits, rules that name nothing, a reset
 * table without power_on, brown_out or pin, a rule that can never decide,
 * fields that overlap, `fall` above `rise`, and so on (part_check.c,
 * part_check_registers.c). *part is set only if it returns SIM_OK.
 *
 * A file needs a name, the kind of core, a flash and a RAM. What else it
 * leaves out has defaults, which count as assumed. */
enum sim_status part_read(struct arena *arena, const char *file,
                          const struct part **part, struct sim_error *err);

/* Index of a memory region or PART_NONE. */
uint32_t part_memory_named(const struct part *part, const char *name);
uint32_t part_memory_of(const struct part *part, enum memory_kind kind);

/* True if the region of this name is what was asked for: by its name or,
 * where no region is called so, by its kind ("flash" on a part with banks). */
bool part_region_is(const struct part *part, const char *asked,
                    const char *region);

/* True if some region can be asked for like that. */
bool part_has_region(const struct part *part, const char *asked);

/* True if the region that a start rule chooses is seen at address 0: no
 * region lies there by itself. Where one does, a start takes its vectors from
 * the base of the chosen region. */
bool part_has_alias(const struct part *part);

/* True if the file says what a cut order leaves: more than the old content. */
bool part_declares_torn(const struct part *part);

/* Index of a pin by name, or PART_NONE. */
uint32_t part_pin_named(const struct part *part, const char *name);

/* How many serial ports are wired to pins, and one of them (number below
 * PART_MAX_PORTS). */
uint32_t part_ports(const struct part *part);
struct part_port part_port(const struct part *part, uint32_t number);

/* First field with this role, or NULL; its register goes to *reg if that is
 * not NULL. */
const struct part_field *part_field_of(const struct part *part, enum role role,
                                       const struct part_register **reg);

/* The option field named "word.field": indexes of both. False: there is none.
 */
bool part_option_named(const struct part *part, const char *name,
                       uint32_t *word, uint32_t *field);

/* The name of the value that a field of the loaded option words (by word) has,
 * or NULL. `name` is that of a field that exists. */
const char *part_option_value_name(const struct part *part, const char *name,
                                   const uint32_t *options);

/* The brown-out level that the loaded option words ask for, or PART_NONE.
 * Only of a part whose detector has an option. */
uint32_t part_brown_out_level(const struct part *part,
                              const uint32_t *options);

/* True if the outcome of the blank check is kept, so that it can go stale. */
static inline bool part_has_latch(const struct part *part)
{
  return part->blank_check.held == BLANK_LATCHED;
}

#endif

/* case.h -- a script as plain data: part, images, board, steps, expectations.
 *
 * Owns: nothing; all memory is in the arena it was read into.
 */
#ifndef DESCRIBE_CASE_H
#define DESCRIBE_CASE_H

#include <stdbool.h>
#include <stdint.h>

#include "base/arena.h"
#include "base/status.h"
#include "base/units.h"
#include "describe/part.h"
#include "describe/trace_kinds.h"

#define CASE_MAX_IMAGES     16
#define CASE_MAX_NETS       64
#define CASE_MAX_DRIVERS    4
#define CASE_MAX_SET        16
#define CASE_MAX_PARTS      16
#define CASE_MAX_NEVERS     32
#define CASE_MAX_MEASURES   16
#define CASE_NAME_NONE      0xffffffffu
#define CASE_MAX_NEIGHBOURS 4
#define CASE_MAX_OCTETS     512

enum verb {
#define X(name, word, sentence) VERB_##name,
#include "describe/verbs.def"
#undef X
  VERB_COUNT_
};

#define CASE_MAX_PATCHES 16
#define CASE_MAX_SEEN    64

struct case_patch {
  addr_t at; /* a multiple of 4 */
  uint32_t word;
};

/* What is done to an image between its file and the part. */
struct case_change {
  uint32_t offset;  /* it goes this many bytes higher */
  uint32_t without; /* so many of its first bytes are left out */
  uint32_t keep;    /* only so many of its first bytes; 0: all */
  struct case_patch patches[CASE_MAX_PATCHES]; /* behind all that */
  uint32_t patch_count;
};

struct case_image {
  const char *name;
  const char *path; /* resolved against the case file */
  bool has_base;    /* raw binary: where it goes */
  addr_t base;
  struct case_change change;
};

/* A fact that somebody saw on the bench, both sides as text: "latch",
 * "blank". sight.h says what there is to see. */
struct case_sight {
  const char *key, *value;
  uint32_t line, column; /* of the case file */
};

enum net_level { NET_GROUND, NET_SUPPLY };
enum drive_level { DRIVE_LOW, DRIVE_HIGH, DRIVE_RELEASE };

/* Something on the board that drives a net: another chip's output. */
struct case_driver {
  const char *name; /* for `drive` steps */
  bool open_drain;  /* it only ever pulls low */
  int64_t resistance_mohm;
  enum drive_level level; /* when the script begins */
  uint32_t line;          /* of the case file */
};

/* A light-emitting diode: nothing flows below its forward voltage. */
struct case_led {
  enum net_level to; /* where its other end is */
  int64_t drop_uv, through_mohm;
};

/* A net of the board. It joins pins of the part, and what else is on it. */
struct case_net {
  const char *name;
  const char *pins[8]; /* names; resolved against the part at run */
  uint32_t pin_count;
  int64_t series_mohm; /* between each of its pins and the net */
  bool fixed;          /* tied to `to` through `through` */
  enum net_level to;
  int64_t through_mohm;
  int64_t pull_up_mohm, pull_down_mohm; /* 0: there is none */
  bool has_led;
  struct case_led led;
  struct case_driver drivers[CASE_MAX_DRIVERS];
  uint32_t driver_count;
  uint32_t line; /* of the case file */
};

/* Octets, written as hexadecimal digits. */
struct case_octets {
  const uint8_t *at;
  uint32_t count;
};

/* A computer on a serial line. */
struct case_host {
  bool present;
  const char *to, *from; /* pins of the part; NULL: those of its first port */
  uint32_t baud;
  ps_t timeout;
  uint32_t retries;
  bool attached;
  uint32_t line; /* of the case file */
};

/* Another chip that talks on a serial line. */
struct case_neighbour {
  const char *name, *to; /* pin of the part that it drives */
  uint32_t baud;
  struct case_octets octets;
  ps_t every;
  uint32_t line; /* of the case file */
};

struct case_supply {
  int64_t source_uv;       /* open-circuit voltage */
  int64_t resistance_mohm; /* source resistance */
  int64_t bulk_pf;         /* capacitance on the rail */
  int64_t ramp_ps;         /* from 0 to full when switched on; 0: at once */
  int64_t load_na;         /* of the rest of the board */
  bool removable;          /* can be switched off at all */
};

/* What the board has on the reset line. */
struct case_reset_line {
  int64_t pull_mohm;    /* to the rail; 0: none */
  int64_t capacitor_pf; /* 0: none */
  bool push_pull;       /* the bench drives it high while it does not pull */
  int64_t host_mohm;    /* of the bench's and the probe's drivers */
};

/* What drives signals from outside: the bench, and a probe and a host whose
 * lines stay high. Signals that are high feed a rail that is lower, through
 * the clamps of the pins. */
struct case_signals {
  int64_t level_uv;     /* of a signal that is high; 0: that of the rail */
  int64_t through_mohm; /* of its driver */
  bool probe;           /* an attached probe holds the debug pins high */
  bool host;            /* the line of an idle host stays high */
};

struct case_bound {
  bool asked;
  bool in_cycles; /* else in ps */
  int64_t value;
};

enum never_kind {
  NEVER_ROM_RUNS,   /* an instruction of the boot ROM */
  NEVER_PIN_DRIVEN, /* a pin, by the boot ROM or by anything */
  NEVER_CONTENTION,
  NEVER_START_IN, /* a region */
  NEVER_LOCKUP,
  NEVER_COUNT_
};

/* What may not happen at any instant of the run. */
struct case_never {
  enum never_kind kind;
  struct case_bound beyond; /* ROM_RUNS: so long in one start is allowed */
  const char *pin;          /* PIN_DRIVEN, CONTENTION: this one; NULL: any */
  bool by_anything;         /* PIN_DRIVEN: not only by the boot ROM */
  const char *region;       /* START_IN */
  uint32_t line, column;    /* of the case file */
};

enum power_action { POWER_ON, POWER_OFF, POWER_DIP };
enum reset_action { RESET_CAUSE, RESET_HOLD, RESET_RELEASE };
enum write_target { WRITE_IMAGE, WRITE_LATCH, WRITE_OPTIONS, WRITE_ADDRESS };
enum actor { BY_DEFAULT, BY_PROBE, BY_PRESET, BY_HOST };
enum erase_extent { ERASE_PAGES, ERASE_ALL, ERASE_NONE };

/* The vectors are the first 8 bytes of an image: stack pointer and entry. */
enum write_order {
  ORDER_ASCENDING,
  ORDER_VECTORS_FIRST,
  ORDER_VECTORS_LAST /* the image's first unit as the very last */
};
enum probe_action {
  PROBE_ATTACH,
  PROBE_DETACH,
  PROBE_HALT,
  PROBE_GO,
  PROBE_READ,
  PROBE_ERASE,
  PROBE_STEP,
  PROBE_SET,
  PROBE_REGISTERS,
  PROBE_RESET,
  PROBE_START
};
enum attach_reset { ATTACH_RUNNING, ATTACH_HELD, ATTACH_PULSED };
enum reset_way { RESET_BY_LINE, RESET_BY_REQUEST, RESET_OF_CORE };
/* How a start goes on; also the words of "outcome". */
enum outcome {
  OUTCOME_RUNNING,
  OUTCOME_WAITING,  /* polls one register that does not change */
  OUTCOME_SLEEPING, /* WFI or WFE */
  OUTCOME_HALTED,   /* by the probe */
  OUTCOME_LOCKUP,
  OUTCOME_EXITED,   /* by a call of the host (semihosting) */
  OUTCOME_RESET,    /* ended by the next reset */
  OUTCOME_HANDOVER, /* ended by a jump into the boot ROM, or by a launch */
  OUTCOME_OFF,      /* ended by loss of power */
  OUTCOME_COUNT_
};

/* Of a mark: a start after a reset of any cause. */
#define MARK_ANY_CAUSE (-1)

enum mark_kind { MARK_SYMBOL, MARK_ADDRESS, MARK_PIN, MARK_START, MARK_LINE };

/* An instant that a measure goes from or to. Fields of other kinds are
 * zero. */
struct case_mark {
  enum mark_kind kind;
  uint32_t line, column; /* of the case file */
  const char *symbol;    /* entered */
  addr_t address;        /* entered */
  const char *pin;       /* pin or strap that the part drives or lets go */
  enum drive_level level;
  int cause; /* of a start: enum cause, or MARK_ANY_CAUSE */
  bool high; /* reset line */
};

/* How long it takes from one mark to another, each time. */
struct case_measure {
  const char *name;
  uint32_t line; /* of the case file */
  struct case_mark from, to;
  struct case_bound at_most, at_least;
};

/* What is asked of the last start. A key that is absent is not asked. */
struct expectation {
  const char *region;  /* where it began */
  const char *landing; /* where execution went after the boot ROM */
  const char *rule;
  const char *symbol;  /* of the first fetch */
  const char *reaches; /* symbol or "0x..." entered */
  bool has_cause, has_outcome, has_latch, has_stale, has_sp, has_pc;
  bool has_rom_instructions, has_pins_driven, has_read, has_host;
  bool has_exit_status;
  enum cause cause;
  enum outcome outcome;
  bool latch_programmed;
  bool stale;
  addr_t sp, pc;
  int64_t rom_instructions;
  int64_t pins_driven;   /* pins the part has driven since the start */
  uint32_t read;         /* last word that the probe read */
  enum trace_reply host; /* how the host's last doing ended */
  int64_t exit_status;   /* that the program gave to the host */
};

/* What is expected on one part, instead of what the step expects of all. */
struct expectation_on {
  const char *part; /* its name; not checked here */
  struct expectation what;
};

struct option_setting {
  const char *field; /* "word.field" */
  const char *value; /* a value's name, or a number as text */
};

/* Fields that the verb has no key for are zero. */
struct step {
  enum verb verb;
  const char *label; /* of this step alone, or NULL */
  uint32_t line, column;
  uint32_t number; /* from 0 */

  enum power_action power;
  uv_t dip_uv;   /* to which the source sags */
  ps_t ramp;     /* of the source */
  bool has_ramp; /* else that of the board, or at once */
  ps_t lasts;    /* power: time passes after it; reset: hold; run: how long */
  enum reset_action reset;
  enum cause cause;
  enum write_target target; /* reload: WRITE_OPTIONS */
  enum actor by;
  enum erase_extent erase;
  enum write_order order;
  uint32_t image; /* index, for WRITE_IMAGE */
  addr_t at;      /* WRITE_ADDRESS, PROBE_READ, PROBE_ERASE */
  bool has_at;
  uint32_t value; /* WRITE_ADDRESS; WRITE_LATCH: 1 programmed */
  struct option_setting set[CASE_MAX_SET];
  uint32_t set_count;
  enum probe_action probe;
  enum attach_reset attach;
  ps_t after;         /* attach: time that passes first */
  enum reset_way way; /* PROBE_RESET */
  bool catch;         /* PROBE_RESET: halt at the vector */
  bool cleans;        /* PROBE_DETACH: debug enable is cleared, too */
  uint32_t count;     /* PROBE_STEP: instructions */
  bool has_reg;       /* PROBE_READ, PROBE_SET: of the core: */
  int reg;            /* index of core_register_words */
  bool has_image;     /* PROBE_START */
  bool has_through;   /* WRITE_IMAGE: by a loader that runs on the core: */
  uint32_t through;   /* index of its image */
  const char *pin;    /* drive */
  enum drive_level level;
  enum trace_request request; /* send */
  uint32_t pages;             /* send wipe, with has_at */
  struct case_octets octets;  /* send bytes */
  const char *until; /* run: symbol or "0x..." ; NULL: the whole time */
  struct expectation expect;
  struct expectation_on on[CASE_MAX_PARTS];
  uint32_t on_count;
  ps_t within; /* expect: how long to wait at most */
};

struct json;
struct route_spec;

struct case_script {
  const char *title, *file;
  const struct json *source; /* the document it was read from */
  const char *goal;          /* what it teaches, or NULL */
  const char *part; /* name in models/, or a path ending in .json(c) */
  struct case_image images[CASE_MAX_IMAGES];
  uint32_t image_count;
  struct case_supply supply;
  bool no_reset_line; /* of the probe */
  struct case_signals signals;
  struct case_reset_line reset_line;
  struct case_net nets[CASE_MAX_NETS];
  uint32_t net_count;
  struct case_host host;
  struct case_neighbour neighbours[CASE_MAX_NEIGHBOURS];
  uint32_t neighbour_count;
  struct case_never *never;
  uint32_t never_count;
  struct case_measure *measures;
  uint32_t measure_count;
  struct step *steps;
  uint32_t step_count;
  struct case_sight seen[CASE_MAX_SEEN]; /* on the bench, after the steps */
  uint32_t seen_count;
  const char *never_from;         /* label of the step from which on nevers are
                                     watched, or NULL: the first */
  const struct route_spec *route; /* NULL: nothing is asked of `route`;
                                     describe/route.h */
};

/* Read and check a case file. What can be wrong without knowing the part is
 * refused here: an image that is not listed, a step that needs a probe where
 * none is attached, a supply that can't be switched off, and so on
 * (case_check.c). Names of pins, regions, rules, symbols and option fields
 * are resolved at run. *script is set only if it returns SIM_OK. */
enum sim_status case_read(struct arena *arena, const char *file,
                          const struct case_script **script,
                          struct sim_error *err);

/* The built-in script for `run --image FILE --part P`: power on blank, attach
 * with reset held, write the image, detach, pin reset, then power off and on.
 * It judges nothing. `image` is a path as given on the command line. */
const struct case_script *case_builtin(struct arena *arena, const char *part,
                                       const char *image, bool has_base,
                                       addr_t base);

#endif

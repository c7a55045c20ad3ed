/* result.h -- what a run found, as plain data: the reports' only source.
 *
 * Owns: nothing; texts and lists are in the arena of the run.
 */
#ifndef DESCRIBE_RESULT_H
#define DESCRIBE_RESULT_H

#include <stdbool.h>
#include <stdint.h>

#include "base/units.h"
#include "describe/case.h"
#include "describe/part.h"
#include "describe/residue.h"

enum finding_kind {
#define X(name, word, sentence) FINDING_##name,
#include "describe/findings.def"
#undef X
  FINDING_COUNT_
};

/* The word of a kind ("stale-latch"), and what it means in one sentence. */
const char *finding_word(enum finding_kind kind);
const char *finding_sentence(enum finding_kind kind);

/* How a start came about. */
enum start_how {
  START_RESET,    /* after a reset: `cause` says which */
  START_HANDOVER, /* a program left one region for the other by itself, or the
                    boot ROM did because the host had it launch */
  START_PROBE /* the probe set stack pointer, program counter, vector base */
};

/* Bytes of code around an instruction, as they were when it was its turn. */
#define RESULT_CODE_BYTES 40
struct code_bytes {
  addr_t at;   /* the instruction */
  addr_t from; /* the first byte; at or below `at` */
  uint32_t count;
  uint8_t bytes[RESULT_CODE_BYTES];
};

/* Where execution went after the boot ROM. */
struct landing {
  bool landed;
  ps_t at;
  const char *region;
  addr_t pc;
  const char *symbol; /* or NULL */
};

/* The first fault that a program met, if it did. */
struct start_fault {
  const char *exception; /* "HardFault"; NULL: there was none */
  ps_t at;
  addr_t pc;          /* where it will be returned to: the instruction */
  const char *symbol; /* or NULL */
  const char *source; /* or NULL */
};

/* A pin that the part drove, first time in this start. */
struct start_pin {
  const char *pin;
  ps_t at;
  bool high;
};

struct start {
  uint32_t number; /* from 1 */
  ps_t at;
  cycle_t cycle;
  enum start_how how;
  enum cause cause;
  bool launched;                /* HANDOVER: by the boot ROM, for the host */
  uint32_t step;                /* of the script, from 0, that led to it */
  bool has_latch;               /* the part has a blank check */
  bool latch_programmed, stale; /* when the start began */
  const char *rule; /* name; "alias kept" where the table keeps it; NULL at a
                       hand-over */
  const char *rule_expert, *rule_newcomer; /* why it decided; NULL as well */
  const char *region;
  addr_t sp, pc;
  const char *symbol;     /* "rom_entry", "main+0x12"; NULL if unknown */
  const char *source;     /* "main.c:42" of the first instruction; or NULL */
  struct code_bytes code; /* from the first instruction on */
  addr_t alias_word;      /* what address 0 reads when it begins */
  enum outcome outcome;
  enum outcome doing; /* until RESET, HANDOVER or OFF ended it; unused with
                         the other outcomes: see start_doing */
  addr_t waits_on, waits_pc; /* WAITING: polled address, by which pc */
  const char *waits_name;    /* "SERIAL.STATE", or NULL */
  const char *waits_source;  /* of waits_pc, or NULL */
  bool waits_for_host;       /* it holds a field of role serial.received */
  bool waits_tried;          /* nothing describes it, and answers were tried */
  uint32_t waits_mask, waits_value; /* bits that would let it go, and how they
                                       must read; 0: none was found */
  uint32_t exit_status;    /* EXITED: what the program told the host */
  addr_t stop_pc;          /* where it was halted, exited, locked up, reset */
  const char *stop_source; /* of stop_pc, or NULL */
  struct code_bytes stop_code; /* around waits_pc if it was waiting, else
                                  around stop_pc; if start_has_stopped */
  struct start_fault fault;
  const char *reached[8]; /* watched symbols entered, in order */
  ps_t reached_at[8];
  uint32_t reached_count;
  uint64_t instructions, rom_instructions;
  cycle_t cycles;
  struct landing landing;
  const char *landing_source; /* of its pc, or NULL */
  struct code_bytes landing_code;
  struct start_pin pins[16];
  uint32_t pin_count; /* distinct pins driven; at most 16 are listed */
  ps_t ended;         /* or the end of the run */
};

/* True where something ended the start before the run was over. */
static inline bool start_was_ended(const struct start *s)
{
  return s->outcome == OUTCOME_RESET || s->outcome == OUTCOME_HANDOVER ||
         s->outcome == OUTCOME_OFF;
}

/* What it did to the last: RUNNING, WAITING, SLEEPING, HALTED, LOCKUP or
 * EXITED. */
static inline enum outcome start_doing(const struct start *s)
{
  return start_was_ended(s) ? s->doing : s->outcome;
}

/* True where its last place is told: it waited, slept, was halted or locked
 * up, or a reset ended it where it was. */
static inline bool start_has_stopped(const struct start *s)
{
  return start_doing(s) != OUTCOME_RUNNING || s->outcome == OUTCOME_RESET;
}

struct finding {
  enum finding_kind kind;
  uint32_t start;          /* number, or 0 */
  enum residue residue;    /* FINDING_RESIDUE: which */
  const char *text;        /* whole sentences */
  const char *remedies[8]; /* what mends it on this part */
  uint32_t remedy_count;
};

/* What it means in one sentence, and in one for a newcomer: those of its kind,
 * or of what is left. */
const char *finding_meaning(const struct finding *f);
const char *finding_explained(const struct finding *f);

/* A pin against its net, over the whole run. */
struct fight {
  const char *pin, *net; /* net: NULL: it is on none */
  uint32_t start;        /* number of the first, or 0 */
  uint32_t step;         /* of the script, in which the first began */
  ps_t at;               /* when it began */
  bool by_instruction;   /* the first; else the bench or the board began it */
  addr_t pc;             /* by this one */
  const char *symbol, *source; /* of the pc, or NULL */
  uint32_t count;
  uint32_t most_ma;
  int64_t limit_na; /* of one pin */
  ps_t lasted;      /* all of them together, in whole us but for one that
                       goes on */
  uint64_t part_nj, net_nj; /* in the part's driver; in the whole net */
  bool more;                /* the energy is larger than can be told */
  bool goes_on;             /* at the end of the run */
};

/* Bits of a register that nothing describes, found by letting a program out of
 * a loop that polls it. */
struct learned {
  addr_t at;        /* of the word */
  const char *name; /* "UART0.STATE", or NULL */
  uint32_t mask, value;
  addr_t pc;          /* of the instruction that polled it first */
  const char *symbol; /* or NULL */
  const char *source; /* or NULL */
  uint32_t start;     /* number of the start, or 0 */
  bool withdrawn;     /* the program waits for it by design */
};

/* Shortest, longest and last of what was measured. */
struct measured_range {
  int64_t least, most, last;
};

/* A measure of the script, over all times that it was taken. */
struct measured {
  const char *name;
  uint64_t count;               /* from "from" to "to" */
  uint64_t begun;               /* a "from" that no "to" followed before the
                                   next "from" or the end */
  struct measured_range time;   /* ps; zero where count is 0 */
  struct measured_range cycles; /* core clock edges; the same */
};

/* Was that a power cycle? */
enum power_cycle_answer {
  POWER_CYCLE_POWER_ON,  /* yes */
  POWER_CYCLE_BROWN_OUT, /* the part was reset, by another row of the table */
  POWER_CYCLE_UNNOTICED, /* the part ran on */
  POWER_CYCLE_OPEN       /* it had not come up when the run was over */
};

/* "power-on", "brown-out", "unnoticed", "open" */
const char *power_cycle_word(enum power_cycle_answer a);

/* The supply was off, or sagged. */
struct power_cycle {
  uint32_t step; /* of the script, that did it */
  bool dip;      /* it sagged */
  ps_t at;
  bool came_back;
  ps_t back; /* came_back */
  enum power_cycle_answer answer;
  uv_t lowest;      /* rail; came_back; whole millivolts */
  ps_t below_rearm; /* after a reset: longest time below the re-arm level */
  bool ram_kept;    /* the rail stayed where RAM keeps its content */
  bool fed;         /* signal pins fed the rail */
  uint32_t started; /* so often the part came up while the source was away */
  uv_t resets;      /* came_back: below this the part would have been reset */
  const char *missed; /* the threshold that was missed, or NULL */
  bool never;         /* came_back: off for ever would not have sufficed ... */
  uv_t stays;         /* ... because the rail stays here */
  ps_t enough;        /* else: off for so long would have; from `at`, rounded
                         up to microseconds */
};

/* The step of a judgement that belongs to no step: a `never`, a measure. */
#define RESULT_NO_STEP UINT32_MAX

enum judgement_kind { JUDGED_EXPECTATION, JUDGED_NEVER, JUDGED_MEASURE };

/* One expectation, `never` or bound of a measure, judged. */
struct judgement {
  enum judgement_kind kind;
  uint32_t step, line; /* of the case file; step may be RESULT_NO_STEP */
  const char *label;   /* of the step, or NULL */
  bool held;
  const char *asked; /* "region rom, outcome waiting within 3 ms" */
  const char *seen;  /* what was seen instead; NULL if held */
  bool broken;       /* a never that something broke: */
  ps_t broken_at;    /* the first time */
};

/* A run judges nothing where the script has no expectation and no never. */
enum verdict { VERDICT_NONE, VERDICT_HELD, VERDICT_FAILED };

struct after;

struct result {
  const char *title;
  const char *case_file; /* as given */
  const char *part, *about;
  enum verdict verdict;
  struct start *starts;
  uint32_t start_count;
  struct finding *findings;
  uint32_t finding_count;
  struct fight *fights; /* by pin, in the order of their first */
  uint32_t fight_count;
  struct power_cycle *power_cycles; /* in order */
  uint32_t power_cycle_count;
  uint32_t brown_outs; /* resets by the rail that no off and no dip led to */
  int64_t charge_nc;   /* that the source gave */
  struct learned *learned; /* in the order in which it was found */
  uint32_t learned_count;
  uint64_t trials;           /* answers tried on the way */
  struct measured *measures; /* in the order of the script */
  uint32_t measure_count;
  struct judgement *judgements;
  uint32_t judgement_count, held, failed;
  uint32_t touched; /* blocks of the part, bit per enum part_section */
  uint32_t assumed; /* assumed numbers in the blocks that the trace touched */
  ps_t end;
  const char *stopped;       /* why a limit ended the run early, or NULL */
  bool contention;           /* some net was fought over: caution is due */
  const struct after *after; /* NULL: not asked for; describe/answer.h */
};

#endif

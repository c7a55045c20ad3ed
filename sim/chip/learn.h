/* learn.h -- answers for peripheral registers that nothing describes, found
 * by letting the program out of its polling loops.
 *
 * A register reads as written; before that, as it is after a reset. Where a
 * program polls one, answers are tried, each at one read of the poll, until
 * the loop is left:
 *
 *   read        1   2    ...    7    8    9    10
 *   answered    0   0           0    1    2     4  <- the loop is left: bit 2
 *                   |                |                is learned
 *          known answers         trials begin
 *          from here on
 *
 * A poll is a row of reads of one address from one instruction with one
 * answer, with at most LEARN_OTHERS other accesses between them. With the
 * LEARN_READS-th (LEARN_WORKING-th, where the program also writes in between)
 * answers begin, in this order: each bit toggled alone; two bits side by side;
 * any two; three and four side by side; all ones, zero, the complement. Bits
 * outside the bytes that were read, and bits that the part's description
 * fixes, stay.
 *
 * The loop counts as left as soon as more other accesses happen than a round
 * of it had, or LEARN_PATIENCE rounds' worth of instructions go by without
 * the poll, or the core falls asleep. Then the answer sticks: a bit learned
 * as 1 reads 1 whatever is written, until it is learned as 0; one learned as
 * 0 reads 0 until the next write of the register. Where the poll comes back
 * first, the answer is taken back and the next one tried.
 *
 * What was learned is knowledge, not state: a reset takes the bits away, and
 * the second read of a poll brings them back.
 *
 * Two ways to find that a program waits by design:
 *   - no answer lets it go: it is left alone, until it writes to the same
 *     block of LEARN_BLOCK bytes;
 *   - an answer lets it go, and LEARN_PASSES times in a row the program comes
 *     back to the same poll without a write to that block: it asked for
 *     nothing, so what it consumes there would come from outside. The bit is
 *     withdrawn.
 *
 * The rule a reader would get wrong: while an answer is tried, every read of
 * the register shows it, from any instruction; firmware reads again after the
 * loop. But only the poll itself judges it.
 *
 * Not modelled: a wait on several registers of which each alone lets nothing
 * go; a loop that gives up by itself while answers are tried (it teaches the
 * answer of that moment); an answer that leads into an error handler (it
 * counts as one that lets the program go, so look at what was learned).
 *
 * Owns: its fields, plain data. Borrows: nothing.
 */
#ifndef CHIP_LEARN_H
#define CHIP_LEARN_H

#include <stdbool.h>
#include <stdint.h>

#include "base/trace.h"
#include "base/units.h"
#include "describe/part.h"

struct fold;

/* Registers that a program touches: assumed, several times what start-up code
 * does. What comes after them is not learned: reads 0 and takes no writes. */
#define LEARN_REGISTERS 1024
#define LEARN_POLLS     64  /* the one not read for longest gives way */
#define LEARN_ANSWERS   512 /* known: described, and learned */

/* Assumed: more than a polite second look, fewer than any time-out. Coverage
 * of real programs does not depend on it (4 to 2000, measured). */
#define LEARN_READS 8
/* Assumed: above what a driver sends byte by byte at start-up. */
#define LEARN_WORKING 256
/* Assumed: above the samples that start-up code averages. */
#define LEARN_PASSES 256
#define LEARN_OTHERS 4 /* assumed: a round with more of them is work */
/* Assumed: a round may take its slow path; leaving takes longer. */
#define LEARN_PATIENCE 4
#define LEARN_SLACK    64   /* instructions, on top of that */
#define LEARN_BLOCK    1024 /* bytes; assumed, common practice */
#define LEARN_ROUNDS   4    /* how often all answers are tried at one poll */
/* A wait that no answer is tried at is told after as many reads. */
#define LEARN_WAIT 64

struct learn_register {
  addr_t at; /* of the word */
  uint32_t reset;
  uint32_t written;            /* as software left it */
  uint32_t set;                /* bits that read 1 */
  uint32_t cleared;            /* bits that read 0 until the next write */
  uint32_t fixed, fixed_value; /* bits that the description fixes */
};

/* What the part's description says, then what was learned. */
struct learn_known {
  struct part_answer answer;
  bool learned;
};

struct learn_poll {
  addr_t at, pc;  /* the address as read, and the instruction */
  uint32_t lanes; /* bits of the word that it reads */
  bool given_up;  /* nothing lets it go, or nothing should */
  /* The row that goes on. */
  uint32_t value;                /* the same answer, untried */
  uint32_t count;                /* reads; 0: no row */
  uint32_t quiet;                /* reads since the last write to the block */
  uint64_t writes;               /* of all, when the row began */
  uint64_t step, access;         /* of the last read */
  uint64_t period, others;       /* of a round: instructions, accesses */
  uint32_t next_known, next_try; /* what is tried next */
  /* What it was let go by last. */
  uint32_t mask, answer; /* mask 0: by nothing yet */
  uint64_t tight;        /* period of that loop */
  uint32_t rounds;       /* times that everything was tried */
};

/* What is tried now. */
struct learn_trial {
  bool open;
  bool known; /* it is no trial, but an answer known before */
  uint32_t poll;
  uint32_t mask, answer; /* these bits are shown so */
};

struct learn {
  struct learn_register registers[LEARN_REGISTERS]; /* ascending */
  uint32_t register_count;
  struct learn_poll polls[LEARN_POLLS];
  uint32_t poll_count;
  struct learn_known known[LEARN_ANSWERS];
  uint32_t known_count;
  struct learn_trial trial;
  uint64_t accesses, writes; /* of all registers, described or not */
};

/* One access. `step` counts executed instructions and never goes back. */
struct learn_access {
  addr_t at;
  addr_t pc;
  uint32_t lanes; /* bits of the word at `at` that take part */
  uint64_t step;
};

/* Nothing touched yet; answers of the description are known. */
void learn_init(struct learn *l, const struct part_answer *answers,
                uint32_t answer_count);

/* True if the register at this word address has been added. */
bool learn_has(const struct learn *l, addr_t word);

/* Add a register that a program touches for the first time. False if there
 * is no room. Asserts that it is not there yet. */
bool learn_add(struct learn *l, addr_t word, uint32_t reset);

/* A read or write by the program, of a register that has been added; values
 * are in their place in the word. Adds TRACE_TRIAL for each answer tried,
 * TRACE_ANSWERED for each known one brought back, TRACE_LEARNED and
 * TRACE_LEARNED_AS when the loop was left, TRACE_WITHDRAWN, TRACE_WAITING and
 * TRACE_WAITING_FOR. */
uint32_t learn_read(struct learn *l, const struct learn_access *a,
                    struct moment now, struct trace *tr);
void learn_write(struct learn *l, const struct learn_access *a, uint32_t value,
                 struct moment now, struct trace *tr);

/* An access to another register, described or without room: it may show that
 * a loop was left. */
void learn_other(struct learn *l, bool write, uint64_t step, struct moment now,
                 struct trace *tr);

/* The core has stopped after `step` instructions; `idle` where it sleeps or
 * is locked up. It may show that a loop was left. */
void learn_settle(struct learn *l, uint64_t step, bool idle, struct moment now,
                  struct trace *tr);

/* The program was interrupted by a reset: nothing that is tried now can be
 * judged. With `registers`, they are as after a reset. */
void learn_reset(struct learn *l, bool registers);

/* --- for the files of this block ----------------------------------------- */

/* Bits to toggle in `value` as the n-th answer, of those in `lanes`; 0 if
 * that one would change nothing or bits outside. False behind the last. */
bool learn_candidate(uint32_t n, uint32_t value, uint32_t lanes,
                     uint32_t *mask);

/* As it is seen from the instruction `step` (base/fold.h): how long ago each
 * poll was read, in accesses and instructions. */
void learn_fold(const struct learn *l, uint64_t step, struct fold *f);

#endif

/* flash.h -- the flash controller: lock, orders, and the time they take.
 *
 * An order is an interval: it begins, it is busy, it ends. Cells change at
 * its end. Invariants, checked by flash_check():
 *
 *   (1) Programming takes an erased unit: every cell only goes from 1 to 0.
 *   (2) While `op` is not FLASH_IDLE, `ends_at` is not PS_NEVER.
 *   (3) An order is refused while the controller is locked or busy; a refused
 *       order changes nothing but the `refused` flag.
 *
 *   locked --(all keys, in order)--> open --(lock, or a reset)--> locked
 *   locked --(a wrong key)---------> barred --(a reset)---------> locked
 *
 * A reset here is one whose row of the reset table locks the flash.
 *
 * The cells belong to memory.c and options.c: flash_advance and flash_reset
 * tell chip_cells.c what to change.
 *
 * An order that a reset or the loss of supply cuts short leaves what the part
 * declares: the first kind of its list, or the one that `torn_choice` says,
 * for whoever wants to see them all. Weak cells are kept here until they give
 * way:
 *
 *   cut ---> weak --(a start)--> seen --(a power-on)--> reads differently
 *
 * Owns: its fields. Borrows: the part.
 */
#ifndef CHIP_FLASH_H
#define CHIP_FLASH_H

#include <stdbool.h>
#include <stdint.h>

#include "base/trace.h"
#include "base/units.h"
#include "describe/part.h"
#include "describe/trace_kinds.h"

struct fold;

enum flash_op {
  FLASH_IDLE,
  FLASH_PROGRAM,
  FLASH_ERASE_PAGE,
  FLASH_ERASE_ALL,
  FLASH_PROGRAM_OPTION,
  FLASH_UNLOCK_OPTION, /* the same behind an erase of all flash */
  FLASH_ERASE_BANK     /* the region that holds the target */
};

/* The largest programming unit that a part may have: 256 bytes. */
#define FLASH_MAX_UNIT_WORDS 64

/* Weak cells: what a cut order was for. More than so many cuts without a
 * power-on between them: the oldest stays as it reads. */
#define FLASH_MAX_WEAK 4

struct flash_weak {
  enum flash_op op;
  addr_t at;
  uint32_t data[FLASH_MAX_UNIT_WORDS];
  uint32_t seen; /* 1: a start has read them */
};

struct flash {
  const struct part_flash *part;
  uint32_t keys_given; /* of the unlock sequence */
  bool locked, barred;
  bool refused;    /* an order was refused; software clears it */
  uint32_t target; /* address that an order acts on */
  uint32_t data[FLASH_MAX_UNIT_WORDS];
  enum flash_op op;
  addr_t op_at; /* target and data as they were when the order began */
  uint32_t op_data[FLASH_MAX_UNIT_WORDS];
  uint32_t op_word; /* FLASH_PROGRAM_OPTION: which option word */
  ps_t begun_at, ends_at;
  uint32_t torn_choice; /* which kind of the part's lists; the last one where
                           it is beyond */
  struct flash_weak weak[FLASH_MAX_WEAK];
  uint32_t weak_count;
  uint32_t corrected; /* reads that ECC had to correct, 0xffff at most */
};

void flash_init(struct flash *f, const struct part_flash *part);

/* One key of the unlock sequence. */
void flash_key(struct flash *f, uint32_t key, const uint32_t *keys,
               uint32_t key_count, struct moment now, struct trace *tr);
void flash_lock(struct flash *f, struct moment now, struct trace *tr);

/* A reset: a running order is cut short and returned, FLASH_IDLE if there was
 * none. op_at, op_word and op_data are still its own. `lock` also locks again.
 */
enum flash_op flash_reset(struct flash *f, bool lock, struct moment now,
                          struct trace *tr);

/* What such an order leaves when it is cut. */
enum torn flash_left(const struct flash *f, enum flash_op op);

/* How many kinds the part declares for an order: torn_choice below it. */
uint32_t flash_torn_kinds(const struct flash *f, enum flash_op op);

/* The cells of the order just cut are weak. */
void flash_weaken(struct flash *f, enum flash_op op);

/* A start has read what is weak. */
void flash_see_weak(struct flash *f);

/* A power-on: takes the next weak cells that give way into *weak, until there
 * are none: false. */
bool flash_fade(struct flash *f, struct flash_weak *weak);

/* A read was corrected. */
void flash_count(struct flash *f);

/* Refuse an order: set the flag, say why. */
void flash_refuse(struct flash *f, enum trace_refusal why, struct moment now,
                  struct trace *tr);

/* Begin an order on `target`. Refused if locked or busy. `word` is the option
 * word for FLASH_PROGRAM_OPTION, else ignored. */
bool flash_begin(struct flash *f, enum flash_op op, uint32_t word,
                 struct moment now, struct trace *tr);

static inline bool flash_busy(const struct flash *f)
{
  return f->op != FLASH_IDLE;
}

/* The running order has ended by `now`: returns it, and goes idle. The caller
 * changes the cells (op_at, op_word, op_data). FLASH_IDLE if none has ended.
 */
enum flash_op flash_advance(struct flash *f, struct moment now,
                            struct trace *tr);

void flash_check(const struct flash *f);

/* As it is seen from now (base/fold.h). */
void flash_fold(const struct flash *flash, ps_t now, struct fold *f);

#endif

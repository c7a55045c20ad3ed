/* job.h -- what the probe and the RAM loader tell each other: words in RAM, at
 * the symbol loader_job, and the registers of this part's flash controller.
 *
 * The probe fills in the job, lets the core run from loader_run with the stack
 * at loader_stack, and waits until the breakpoint instruction there halts it.
 */
#ifndef RAM_LOADER_JOB_H
#define RAM_LOADER_JOB_H

#include <stdint.h>

#define JOB_UNIT_WORDS 64 /* the largest programming unit */
#define JOB_PAGE_WORDS 256

enum job_work {
  JOB_UNLOCK = 1, /* give the keys */
  JOB_ORDER,      /* set the target, where there is a register, and order */
  JOB_PROGRAM     /* `bytes` from `page` to `at`, unit by unit */
};

struct loader_job {
  uint32_t work;
  uint32_t at, bytes, unit_words;
  uint32_t refused; /* the controller refused: nothing more was tried */
  uint32_t done;    /* bytes programmed */
  uint32_t target_register;
  uint32_t order_register, order_word;
  uint32_t busy_register, busy_mask;
  uint32_t refused_register, refused_mask;
  uint32_t key_register, key_count, keys[4];
  uint32_t data_registers[JOB_UNIT_WORDS];
  uint32_t page[JOB_PAGE_WORDS];
};

#endif

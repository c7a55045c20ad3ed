/* svd.h -- names and reset values of peripheral registers, from a CMSIS-SVD
 * file.
 *
 * CMSIS-SVD is Arm's published XML format for the registers of a part.
 * Read here: peripherals, clusters and registers with their addresses, sizes,
 * reset values and masks; arrays (dim); derivedFrom. What it says about
 * fields, interrupts and access is skipped.
 *
 * The rule a reader would get wrong: registers may be narrower than a word
 * and may lie on one another (the first in the file is meant then), so a word
 * has a reset value of its own, put together from what lies in it.
 *
 * svd_read.c is the only file that knows the XML library. A document type
 * declaration is refused, and with it every entity but XML's own five.
 *
 * Owns: nothing; all memory is in the arena it was read into.
 */
#ifndef DESCRIBE_SVD_H
#define DESCRIBE_SVD_H

#include <stdbool.h>
#include <stdint.h>

#include "base/arena.h"
#include "base/status.h"
#include "base/units.h"

#define SVD_MAX_BYTES     (64u << 20)
#define SVD_MAX_REGISTERS (1u << 17)

struct svd_register {
  const char *name; /* "UART0.STATE", "DMA.CHANNEL2.COUNT" */
  addr_t at;
  uint32_t bytes; /* 1, 2, 4 or 8 */
  uint64_t reset; /* bits that the mask leaves out are 0 */
  uint32_t order; /* in the file */
};

struct svd {
  const char *file;
  const char *device;             /* its name in the file */
  struct svd_register *registers; /* ascending by address, then order */
  uint32_t register_count;
};

/* Errors: SIM_FILE; SIM_SYNTAX, where it is no XML or a number is none;
 * SIM_KEY, where an element lacks one that it needs; SIM_RANGE; SIM_REFERENCE,
 * where derivedFrom names nothing or leads in a circle; SIM_LIMIT. Each with
 * the line. *svd is set only if it returns SIM_OK. */
enum sim_status svd_read(struct arena *arena, const char *file,
                         const struct svd **svd, struct sim_error *err);

/* --- questions; `svd` may be NULL, which knows nothing ------------------- */

/* Name of the register that holds this byte, or NULL. */
const char *svd_name(const struct svd *svd, addr_t at);

/* True if some register lies in the word at `at`, a multiple of 4; what the
 * word reads after a reset goes to *reset. */
bool svd_word(const struct svd *svd, addr_t at, uint32_t *reset);

#endif

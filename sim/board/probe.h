/* probe.h -- a debug probe at the part's debug port: what it can reach.
 *
 * Functions here take no time; whoever plays a step lets the latencies of the
 * part's `probe` object pass around them.
 *
 * The rule a reader would get wrong: memory is usually out of reach while the
 * reset line is low. "Attach with reset held" is therefore: hold, attach, arm
 * reset catch, release; the part then goes through its boot sequence and
 * halts at the vector that the start rules chose, with no instruction
 * executed. Only then can the probe write.
 *
 * Firmware can shut the probe out: in deep sleep the debug port is dead unless
 * the part says otherwise, and a program that makes the debug pins outputs has
 * taken them until a reset lets them go. A part may keep its port shut until
 * the boot ROM has gone elsewhere.
 *
 * Debug enable outlives the probe: unless it cleans up, it stays set until a
 * reset whose row of the part's table says "debug": "lose".
 *
 * Owns: its fields. Borrows: the chip.
 */
#ifndef BOARD_PROBE_H
#define BOARD_PROBE_H

#include <stdbool.h>
#include <stdint.h>

#include "base/units.h"
#include "chip/chip.h"
#include "describe/trace_kinds.h"

struct probe {
  bool attached;
  bool no_line; /* it is not wired to the reset line */
};

/* What stands between the probe and the debug port, or and the memory.
 * Returns true if nothing does. A reset that clears debug enable detaches. */
bool probe_reaches_port(const struct chip *c, enum trace_obstacle *why);
bool probe_reaches_memory(const struct probe *p, const struct chip *c,
                          enum trace_obstacle *why);

/* Debug enable on. */
void probe_attach(struct probe *p, struct chip *c);

/* A halted core goes on, reset catch is off; the other catches, breakpoints
 * and debug enable too, if it `cleans`. */
void probe_detach(struct probe *p, struct chip *c, bool cleans, ps_t now);

/* Word at an aligned address: memory, alias, register, system control space or
 * breakpoint unit. False: nothing is there (a write to flash or ROM counts so
 * too). */
bool probe_read(struct chip *c, addr_t at, ps_t now, uint32_t *value);
bool probe_write(struct chip *c, addr_t at, uint32_t value, ps_t now);

/* Address of the register that holds the field with this role and index, and
 * the word that sets the field to `value` and every key beside it to its
 * first key. False if the part has no such field. */
bool probe_role_word(const struct part *part, enum role role, uint32_t index,
                     uint32_t value, addr_t *at, uint32_t *word);

#endif

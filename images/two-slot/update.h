/* update.h -- take a delivery into the slot that is not running.
 *
 * Erases all of the slot, programs the image, reads it back, and only then
 * programs the unit that makes the slot valid. Whatever comes in between, the
 * running slot stays as it is.
 */
#ifndef TWO_SLOT_UPDATE_H
#define TWO_SLOT_UPDATE_H

#include <stdbool.h>
#include <stdint.h>

/* A whole delivery is there. */
bool update_delivered(void);

/* The delivery is taken, or dropped. False: it did not work, and `to` is not
 * valid. */
bool update_take(uint32_t to, uint32_t sequence);

#endif

/* flash_orders.h -- orders for the flash controller of
 * models/latched-clearable.json, given from RAM.
 *
 * While the controller is busy nothing can be fetched from flash: code there
 * would stand still for all of an erase. So what gives an order and waits for
 * it is in RAM, and so must be whatever may interrupt it.
 */
#ifndef TWO_SLOT_FLASH_ORDERS_H
#define TWO_SLOT_FLASH_ORDERS_H

#include <stdbool.h>
#include <stdint.h>

void flash_unlock(void);
void flash_lock(void);

/* False: the controller refused. */
bool flash_erase_page(uint32_t at);

/* 16 bytes at a multiple of 16. */
bool flash_program(uint32_t at, const uint32_t words[4]);

#endif

/* part.h -- what the boot ROM knows of models/rom-first.json, besides what is
 * in registers.h.
 */
#ifndef ROM_PART_H
#define ROM_PART_H

#define FLASH_BANKS 1u
#define FLASH_BYTES (80u << 10)
#define FLASH_PAGE  (2u << 10)
#define FLASH_UNIT  8u
#define RAM_BYTES   (10u << 10)

#define FLASH_KEY    0x44000008u
#define FLASH_KEYS   0x48D71E93u, 0xA3096CF5u
#define FLASH_ORDER  0x44000000u
#define FLASH_STATE  0x44000004u
#define FLASH_TARGET 0x44000010u
#define FLASH_DATA   0x44000020u /* as many words as a unit has */

/* Bits of FLASH_ORDER, and of FLASH_STATE. */
#define ORDER_PROGRAM    (1u << 8)
#define ORDER_ERASE_PAGE (1u << 1)
#define ORDER_ERASE_ALL  (1u << 0)
#define ORDER_LOCK       (1u << 24)
#define STATE_BUSY       (1u << 4)
#define STATE_REFUSED    (1u << 5) /* cleared by writing 1 */

/* The clock it serves the host on; by 115200 baud, 138.9. */
#define CLOCK_KHZ      16000u
#define SERIAL_DIVIDER 139u
#define SERIAL_PORTS   1u

#endif

/* part.h -- what the boot ROM knows of models/strapped.json, besides what is
 * in registers.h.
 */
#ifndef ROM_PART_H
#define ROM_PART_H

#define FLASH_BANKS 1u
#define FLASH_BYTES (48u << 10)
#define FLASH_PAGE  (1u << 10)
#define FLASH_UNIT  4u
#define RAM_BYTES   (6u << 10)

#define FLASH_KEY    0x44000020u
#define FLASH_KEYS   0x2F8E61D4u, 0xD05B9A37u, 0x64C3E81Au
#define FLASH_ORDER  0x44000008u
#define FLASH_STATE  0x4400000Cu
#define FLASH_TARGET 0x44000000u
#define FLASH_DATA   0x44000004u /* as many words as a unit has */

/* Bits of FLASH_ORDER, and of FLASH_STATE. */
#define ORDER_PROGRAM    (1u << 1)
#define ORDER_ERASE_PAGE (1u << 2)
#define ORDER_ERASE_ALL  (1u << 3)
#define ORDER_LOCK       (1u << 0)
#define STATE_BUSY       (1u << 7)
#define STATE_REFUSED    (1u << 6) /* cleared by writing 1 */

/* The clock it serves the host on; by 115200 baud, 208.3. */
#define CLOCK_KHZ      24000u
#define SERIAL_DIVIDER 208u
#define SERIAL_PORTS   2u

#endif

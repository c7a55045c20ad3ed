/* part.h -- what the boot ROM knows of models/latched-banked.json, besides
 * what is in registers.h.
 */
#ifndef ROM_PART_H
#define ROM_PART_H

#define FLASH_BANKS  2u
#define FLASH_BYTES  (64u << 10) /* each, FLASH_STRIDE from one another */
#define FLASH_STRIDE 0x20000u
#define FLASH_PAGE   (4u << 10)
#define FLASH_UNIT   8u
#define RAM_BYTES    (20u << 10)

#define FLASH_KEY    0x44000010u
#define FLASH_KEYS   0x2F70C6E3u, 0xD18B395Au
#define FLASH_ORDER  0x44000020u
#define FLASH_STATE  0x44000000u
#define FLASH_TARGET 0x44000014u
#define FLASH_DATA   0x44000018u /* as many words as a unit has */

/* Bits of FLASH_ORDER, and of FLASH_STATE. */
#define ORDER_PROGRAM    (1u << 3)
#define ORDER_ERASE_PAGE (1u << 6)
#define ORDER_ERASE_ALL  (1u << 9)
#define ORDER_LOCK       (1u << 30)
#define STATE_BUSY       (1u << 5)
#define STATE_REFUSED    (1u << 2) /* cleared by writing 1 */

/* The clock it serves the host on; by 115200 baud, 520.8. */
#define CLOCK_KHZ      60000u
#define SERIAL_DIVIDER 521u
#define SERIAL_PORTS   1u

#endif

/* part.h -- what the boot ROM knows of models/latched-clearable.json, besides
 * registers.h.
 */
#ifndef ROM_PART_H
#define ROM_PART_H

#define FLASH_BANKS 1u
#define FLASH_BYTES (96u << 10)
#define FLASH_PAGE  (2u << 10)
#define FLASH_UNIT  16u
#define RAM_BYTES   (12u << 10)

#define FLASH_KEY    0x44000000u
#define FLASH_KEYS   0x7E41B0C9u, 0x93D6285Fu
#define FLASH_ORDER  0x44000008u
#define FLASH_STATE  0x44000004u
#define FLASH_TARGET 0x4400000Cu
#define FLASH_DATA   0x44000010u /* as many words as a unit has */

/* Bits of FLASH_ORDER, and of FLASH_STATE. */
#define ORDER_PROGRAM    (1u << 0)
#define ORDER_ERASE_PAGE (1u << 4)
#define ORDER_ERASE_ALL  (1u << 5)
#define ORDER_LOCK       (1u << 16)
#define STATE_BUSY       (1u << 0)
#define STATE_REFUSED    (1u << 8) /* cleared by writing 1 */

/* The clock it serves the host on; by 115200 baud, 208.3. */
#define CLOCK_KHZ      24000u
#define SERIAL_DIVIDER 208u
#define SERIAL_PORTS   1u

#endif

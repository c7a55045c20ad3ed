/* delivery.S -- an image in RAM, to be taken by update.c. IMAGE_FILE,
 * IMAGE_LENGTH and IMAGE_SUM come from build.sh.
 */
#include "slot.h"

  .section .delivery, "a", %progbits
  .global delivery
  .type delivery, %object
delivery:
  .word DELIVERY_MAGIC
  .word IMAGE_LENGTH
  .word IMAGE_SUM
  .word 0
  .incbin IMAGE_FILE
  .size delivery, . - delivery

/* header.S -- the unit that makes a slot valid. SEQUENCE, IMAGE_LENGTH and
 * IMAGE_SUM come from build.sh, which has linked the image once to know them.
 */
#include "slot.h"

  .section .header, "a", %progbits
  .type header, %object
header:
  .word SLOT_MAGIC
  .word SEQUENCE
  .word IMAGE_LENGTH
  .word IMAGE_SUM
  .size header, . - header

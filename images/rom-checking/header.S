/* header.S -- the header of an image. IMAGE_LENGTH and IMAGE_CRC come from
 * build.sh, which has linked the image once to know them.
 */
#include "header.h"

  .section .header, "a", %progbits
  .type header, %object
header:
  .word HEADER_MAGIC
  .word IMAGE_LENGTH
  .word IMAGE_CRC
  .fill HEADER_BYTES - (. - header), 1, 0xFF
  .size header, . - header

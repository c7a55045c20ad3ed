/* vectors.S -- a vector table whose reset vector is even.
 *
 * Bit 0 of a vector becomes the Thumb bit. Clear, the first instruction
 * faults on v6-M, which has no other instruction set: HardFault, with the
 * reset address and T = 0 on the stack (ARM DDI 0419E B1.4.2).
 *
 * even_start is a plain label, not a Thumb function, so the linker leaves
 * bit 0 clear: the same slip as a table typed by hand.
 */
#include "vectors.inc"

  vector_table even_start

  .section .text.even_start, "ax", %progbits
even_start:
  ldr r0, =start
  bx r0

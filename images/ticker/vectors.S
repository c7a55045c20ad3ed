/* vectors.S -- vector table of an application that handles SysTick. */
  .syntax unified
  .cpu cortex-m0
  .thumb

  .section .vectors, "a", %progbits
  .type vectors, %object
vectors:
  .word stack_top
  .word start
  .word unexpected /* NMI */
  .word unexpected /* HardFault */
  .fill 7, 4, 0
  .word unexpected /* SVCall */
  .fill 2, 4, 0
  .word unexpected /* PendSV */
  .word system_tick
  .size vectors, . - vectors

  .section .text.unexpected, "ax", %progbits
  .global unexpected
  .type unexpected, %function
  .thumb_func
unexpected:
  b unexpected
  .size unexpected, . - unexpected

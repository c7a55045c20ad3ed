/* start.S -- from the reset vector to main.
 *
 * Makes the stack, copies .data out of flash, clears .bss, then calls
 * prepare, which does nothing unless the image defines its own, and main.
 *
 * A debugger or a ROM may enter here with a stack pointer of its own, so the
 * stack is set again although a reset has just done it. Nothing here or in
 * the images needs the vector base or interrupts.
 */
  .syntax unified
  .cpu cortex-m0
  .thumb

  .section .text.start, "ax", %progbits
  .global start
  .type start, %function
  .thumb_func
start:
  ldr r0, =stack_top
  mov sp, r0

  ldr r0, =data_start
  ldr r1, =data_end
  ldr r2, =data_load
  b 2f
1:
  ldm r2!, {r3}
  stm r0!, {r3}
2:
  cmp r0, r1
  blo 1b

  ldr r0, =bss_start
  ldr r1, =bss_end
  movs r3, #0
  b 4f
3:
  stm r0!, {r3}
4:
  cmp r0, r1
  blo 3b

  bl prepare
  bl main
  bl unexpected /* main does not come back */
  .size start, . - start

  .section .text.prepare, "ax", %progbits
  .weak prepare
  .type prepare, %function
  .thumb_func
prepare:
  bx lr
  .size prepare, . - prepare

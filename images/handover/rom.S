/* rom.S -- a boot ROM that hands over at once to the vector table at the base
 * of flash, and leaves behind what a word of the part's information says:
 * PRIMASK set, say, or a handler active. Everything else is as a reset would
 * have it.
 *
 * The word is at 0x0A000000. Masking faults and priorities are of v7-M; whoever
 * sets those bits on v6-M ends in a fault. Architectural names: ARM DDI 0419E
 * and ARM DDI 0403E, B1.4, B3.2 to B3.4.
 */
  .equ WHAT, 0x0A000000
  .equ LEAVE_CLOCK, 0
  .equ LEAVE_PRIMASK, 1
  .equ LEAVE_FAULTMASK, 2
  .equ LEAVE_BASEPRI, 3
  .equ LEAVE_HANDLER, 4
  .equ LEAVE_PROCESS_STACK, 5
  .equ LEAVE_UNPRIVILEGED, 6
  .equ LEAVE_STACK, 7
  .equ LEAVE_VECTOR_BASE, 8
  .equ LEAVE_ENABLED, 9
  .equ LEAVE_PENDING, 10
  .equ LEAVE_SYSTICK, 11
  .equ LEAVE_PINS, 12

  .equ FLASH, 0x04000000
  .equ CLOCK, 0x44001004 /* registers.h */
  .equ PINS_MODE, 0x44010000
  .equ SYST_CSR, 0xE000E010
  .equ NVIC_ISER, 0xE000E100
  .equ NVIC_ISPR, 0xE000E200
  .equ VTOR, 0xE000ED08

  .syntax unified
  .cpu cortex-m0
  .thumb

  .section .vectors, "a", %progbits
  .type vectors, %object
vectors:
  .word stack_top
  .word rom_entry
  .word stray
  .word stray
  .fill 7, 4, 0
  .word hand_over /* SVCall */
  .fill 4, 4, 0
  .size vectors, . - vectors

/* Go on at `skip` unless the word says that this is to be left; r4 is it. */
  .macro unless_left bit, skip
  lsls r0, r4, #31 - \bit
  bpl \skip
  .endm

  .macro poke address, value
  ldr r0, =\address
  ldr r1, =\value
  str r1, [r0]
  .endm

  .section .text.stray, "ax", %progbits
  .type stray, %function
  .thumb_func
stray:
  b stray
  .size stray, . - stray

  .section .text.rom_entry, "ax", %progbits
  .global rom_entry
  .type rom_entry, %function
  .thumb_func
rom_entry:
  ldr r4, =WHAT
  ldr r4, [r4]
  unless_left LEAVE_CLOCK, 2f
  poke CLOCK, 1
1:
  ldr r1, [r0]
  lsls r1, r1, #30 /* ready */
  bpl 1b
  poke CLOCK, 0x11
2:
  unless_left LEAVE_ENABLED, 3f
  poke NVIC_ISER, 1 << 5
3:
  unless_left LEAVE_PENDING, 4f
  poke NVIC_ISPR, 1 << 3
4:
  unless_left LEAVE_SYSTICK, 5f
  ldr r0, =SYST_CSR
  ldr r1, =0xFFFF
  str r1, [r0, #4]
  str r1, [r0, #8]
  movs r1, #5 /* counts, and asks for nothing */
  str r1, [r0]
5:
  unless_left LEAVE_PINS, 6f
  poke PINS_MODE, 1 << 4
6:
  unless_left LEAVE_HANDLER, hand_over
  poke VTOR, vectors /* where address 0 shows something else */
  svc 0
  .size rom_entry, . - rom_entry

/* In thread mode, or as the handler of SVCall that never returns. */
  .type hand_over, %function
  .thumb_func
hand_over:
  ldr r5, =FLASH
  lsls r0, r4, #31 - LEAVE_VECTOR_BASE
  bmi 1f
  ldr r0, =VTOR
  str r5, [r0]
1:
  unless_left LEAVE_PRIMASK, 2f
  cpsid i
2:
  .cpu cortex-m3
  unless_left LEAVE_FAULTMASK, 3f
  cpsid f
3:
  unless_left LEAVE_BASEPRI, 4f
  movs r0, #0x40
  msr basepri, r0
4:
  .cpu cortex-m0
  ldr r2, [r5]
  ldr r3, [r5, #4]
  lsls r0, r4, #31 - LEAVE_STACK
  bmi 5f
  msr msp, r2
5:
  movs r1, #0 /* CONTROL */
  unless_left LEAVE_PROCESS_STACK, 6f
  ldr r0, =0x20000800
  msr psp, r0
  adds r1, r1, #2
6:
  unless_left LEAVE_UNPRIVILEGED, 7f
  adds r1, r1, #1
7:
  msr control, r1
  isb
  bx r3
  .size hand_over, . - hand_over

/* entry.S -- where the probe lets the core run: one job, then a breakpoint.
 *
 * The probe has set the stack; nothing is kept from one job to the next but
 * what stands in the job.
 */
  .syntax unified
  .cpu cortex-m0
  .thumb

  .section .vectors, "ax", %progbits
  .global loader_run
  .type loader_run, %function
  .thumb_func
loader_run:
  ldr r0, =loader_job
  bl loader_work
  bkpt #0
  b loader_run
  .ltorg
  .size loader_run, . - loader_run

  .section .bss.loader_job, "aw", %nobits
  .balign 4
  .global loader_job
  .type loader_job, %object
loader_job:
  .space (4 * (1 + 3 + 1 + 1 + 1 + 2 + 2 + 2 + 2 + 4 + 64 + 256))
  .size loader_job, . - loader_job

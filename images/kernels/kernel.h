/* kernel.h -- a computation that somebody outside feeds and reads.
 *
 * kernel_length and kernel_input are written into RAM before the core is let
 * go: start.S leaves .noinit alone. What comes of them is in kernel_result,
 * or in kernel_input where the kernel works in place; then it spins in
 * kernel_done.
 */
#ifndef KERNELS_KERNEL_H
#define KERNELS_KERNEL_H

#include <stdint.h>

#define KERNEL_INPUT_WORDS  256
#define KERNEL_RESULT_WORDS 8

extern uint32_t kernel_input[KERNEL_INPUT_WORDS];
extern uint32_t kernel_length; /* of the input: bytes, or words to be sorted */
extern uint32_t kernel_result[KERNEL_RESULT_WORDS];

/* Each kernel has its own. */
void kernel_run(void);

#endif

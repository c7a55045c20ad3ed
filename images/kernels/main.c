/* main.c -- runs one kernel, once. */
#include "kernel.h"

#define NOT_CLEARED __attribute__((noinit))

NOT_CLEARED uint32_t kernel_input[KERNEL_INPUT_WORDS];
NOT_CLEARED uint32_t kernel_length;
uint32_t kernel_result[KERNEL_RESULT_WORDS];

int main(void);
_Noreturn void kernel_done(void);

/* The empty statement has an effect as far as the compiler knows. */
__attribute__((noinline)) _Noreturn void kernel_done(void)
{
  for (;;)
    __asm__ volatile("");
}

int main(void)
{
  kernel_run();
  kernel_done();
}

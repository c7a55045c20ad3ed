/* sort.c -- sorts the input, kernel_length words, in place. */
#include "sort.h"

#include "kernel.h"

void kernel_run(void)
{
  sort(kernel_input, kernel_length);
}

/* loader.h -- a loader that runs on the core and programs flash for the probe.
 *
 * An image, all of it in RAM, with three symbols: loader_run, where it is let
 * go; loader_stack, the stack pointer it is given; loader_job, words that say
 * what to do (images/ram-loader/job.h). It does one job and stops at a
 * breakpoint instruction.
 *
 * The probe puts it into RAM, tells it the registers of this part's flash
 * controller, and a page at a time; locks, keys, refusals and busy times are
 * those of the controller, as for any program. Interrupts are masked while it
 * runs, and the registers of the core are put back when it is done; what stood
 * in that RAM is lost. Bytes that it executes belong to no start.
 *
 * Not modelled: two pages in RAM, one being filled while the other is
 * programmed.
 *
 * Owns: its fields. Borrows: the image.
 */
#ifndef RUN_LOADER_H
#define RUN_LOADER_H

#include "base/units.h"
#include "image/image.h"

struct loader {
  const struct image *image;
  addr_t run, stack, job;
};

#endif

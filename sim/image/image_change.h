/* image_change.h -- an image that reaches the part otherwise than its file
 * says: elsewhere, without its head, cut short, with other words.
 *
 * In this order: cut and left out by distance from the image's first byte,
 * then moved, then patched. Symbols and lines of what moves move along.
 *
 * Owns: nothing; what is new is in the arena. Borrows: the image.
 */
#ifndef IMAGE_IMAGE_CHANGE_H
#define IMAGE_IMAGE_CHANGE_H

#include "describe/case.h"
#include "image/image.h"

/* The changed image, or `image` itself where nothing changes. Errors name the
 * image's file: SIM_RANGE where nothing is left, where it would leave 32 bits
 * of address, or where a patch is outside of it. */
enum sim_status image_change(struct arena *arena, const struct image *image,
                             const struct case_change *change,
                             const struct image **changed,
                             struct sim_error *err);

#endif

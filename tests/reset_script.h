/* reset_script.h -- one script in two languages: the JSON that the simulator
 * plays, and what the reference model says of every start in it.
 *
 * Before each reset that is looked at the probe leaves something behind for
 * every column of the reset table: a marker in RAM, an output switched on,
 * another clock, an open flash controller, an armed vector catch. After it
 * the probe reads what is left.
 *
 * Owns: its fields. Borrows: the part and the bench's arena.
 */
#ifndef TESTS_RESET_SCRIPT_H
#define TESTS_RESET_SCRIPT_H

#include "boot_reference.h"
#include "played.h"

#define RESET_SCRIPT_STARTS 160
#define RESET_SCRIPT_TEXT   ((size_t)256 << 10)

/* Where the probe looks, on the part that these tests turn over: as in
 * models/latched.json. */
#define SCRIPT_MARKER 0x20000400u
#define SCRIPT_FLAGS  0x44001000u
#define SCRIPT_DEMCR  0xe000edfcu /* ARM DDI 0419E C1.6.6 */
#define SCRIPT_PIN    6u

struct reset_script {
  struct reference reference;
  struct reference_start expected[RESET_SCRIPT_STARTS];
  uint32_t marker[RESET_SCRIPT_STARTS]; /* that was in RAM before */
  uint32_t count;
  char *text; /* of the steps so far */
  size_t length;
};

/* An image as its first two words; where they go and the rest of it is said
 * by whoever writes the file. */
struct reset_image {
  const char *path;
  uint32_t vectors[2];
};

/* Which scripts: all the causes of the part, each after the flash was
 * programmed; and, unless `no_lockup`, after it was erased. */
void reset_script_make(struct reset_script *s, struct played_bench *bench,
                       const struct part *part, const uint32_t rom[2],
                       const struct reset_image *image, bool no_lockup);

#endif

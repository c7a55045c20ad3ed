/* plan.h -- a script with every name resolved against one part and its
 * images.
 *
 * Owns: nothing; memory is in the arena. Borrows: script, part.
 */
#ifndef RUN_PLAN_H
#define RUN_PLAN_H

#include <stdbool.h>
#include <stdint.h>

#include "base/arena.h"
#include "base/status.h"
#include "core/bus.h"
#include "describe/case.h"
#include "describe/part.h"
#include "describe/svd.h"
#include "image/image.h"
#include "run/loader.h"

struct plan_watch {
  const char *name; /* symbol, or "0x..." as written */
  addr_t at;
};

/* One option setting resolved. */
struct plan_setting {
  uint32_t word, field, value;
};

struct plan_step {
  struct expectation expect; /* with what `on` says for this part */
  uint32_t reaches;          /* watch index of expect or run, or PART_NONE */
  uint32_t pin;              /* drive; PART_NONE: the output of a chip */
  uint32_t net, driver;      /* drive: of the script, if it is one */
  addr_t at;                 /* send: where, or the base of flash */
  struct plan_setting set[CASE_MAX_SET];
  struct loader loader; /* write: through it */
};

/* The records of the trace that are an instant of a mark. */
struct plan_mark {
  uint32_t kind; /* enum trace_kind */
  bool any;      /* whatever `a` is */
  bool has_b;
  uint32_t a, b;
};

/* A never of the script. */
struct plan_never {
  uint32_t pin;       /* PART_NONE: any */
  const char *region; /* NULL: any */
};

struct plan_measure {
  struct plan_mark from, to;
};

/* Words that an image has for option cells: they are no part of its
 * segments. */
struct plan_cells {
  uint32_t count;
  uint32_t words[PART_MAX_WORDS], values[PART_MAX_WORDS];
  addr_t at[PART_MAX_WORDS]; /* of the cells */
};

struct plan {
  const struct case_script *script;
  const struct part *part;
  const struct svd *svd; /* names of unknown registers, or NULL */
  const struct image *images[CASE_MAX_IMAGES];
  struct plan_cells cells[CASE_MAX_IMAGES];
  const struct image *rom[PART_MAX_MEMORY];
  struct plan_watch watches[BUS_MAX_WATCHES];
  uint32_t watch_count;
  struct plan_step *steps;       /* one a step of the script */
  struct plan_measure *measures; /* one a measure of the script */
  struct plan_never *nevers;     /* one a never of the script */
};

/* Read the images and resolve every name; errors point into the case file.
 * `rom` images are filled in before (machine_init). */
enum sim_status plan_make(struct plan *plan, struct arena *arena,
                          const struct case_script *script,
                          const struct part *part, struct sim_error *err);

/* Read the images; each segment must lie whole in one flash or RAM of the
 * part, and all of an image in flash or all in RAM; or in option cells, of
 * which it has whole words. */
enum sim_status plan_images(struct plan *plan, struct arena *arena,
                            struct sim_error *err);

/* Take the segments that lie in option cells of the part out of an image: into
 * *cells, and *image becomes one without them. */
enum sim_status plan_take_cells(const struct part *part, struct arena *arena,
                                const struct image **image,
                                struct plan_cells *cells,
                                struct sim_error *err);

/* "SERIAL.STATE" of a register that the part or the SVD file describes, or
 * NULL. */
const char *plan_register(const struct plan *plan, struct arena *arena,
                          addr_t at);
/* Watch a symbol of any image, or an address written as "0x...", which is
 * kept by reference. Errors at `place`: SIM_REFERENCE, SIM_LIMIT. */
enum sim_status plan_watch(struct plan *plan, const char *name,
                           const struct sim_place *place, uint32_t *index,
                           struct sim_error *err);

/* Find a pin of the part, or a strap's. SIM_REFERENCE at `place`. */
enum sim_status plan_pin(const struct plan *plan, const char *name,
                         const struct sim_place *place, uint32_t *pin,
                         struct sim_error *err);

/* The image of the script as a loader (loader.h). SIM_REFERENCE at `place`: it
 * is not in RAM, or has no such symbols. */
enum sim_status plan_loader(const struct plan *plan, uint32_t image,
                            const struct sim_place *place,
                            struct loader *loader, struct sim_error *err);

/* Resolve pins and regions of the script's nevers. */
enum sim_status plan_nevers(struct plan *plan, struct arena *arena,
                            struct sim_error *err);

/* Resolve the marks of the script's measures. */
enum sim_status plan_measures(struct plan *plan, struct arena *arena,
                              struct sim_error *err);

/* "symbol+0x12" of a code address in any image, or NULL. An address in the
 * window at 0 counts as `aliased`'s region (PART_NONE: nothing is there). */
const char *plan_symbol(const struct plan *plan, struct arena *arena,
                        uint32_t aliased, addr_t at);

/* "main.c:42" of the same, or NULL. */
const char *plan_source(const struct plan *plan, struct arena *arena,
                        uint32_t aliased, addr_t at);

#endif

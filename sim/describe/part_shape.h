/* part_shape.h -- the shape of a part file, and how its names are looked up.
 *
 * Read with r->user pointing to the struct part that is being built, whose
 * `registers` has room for PART_MAX_REGISTER. Registers come in the order of
 * the file.
 */
#ifndef DESCRIBE_PART_SHAPE_H
#define DESCRIBE_PART_SHAPE_H

#include "describe/part.h"
#include "describe/shape.h"

extern const struct shape part_shape; /* of a struct part */

/* part_read from a document that is there already. */
enum sim_status part_from_json(struct arena *arena, const char *file,
                               const struct json *root,
                               const struct part **part,
                               struct sim_error *err);

/* Sections with files of their own, each of the struct of the same name. */
extern const struct shape part_power_shape;
extern const struct shape part_boot_shape;
extern const struct shape part_reset_shape; /* struct part_reset_row */
extern const struct shape part_options_shape;
extern const struct shape part_protection_shape;
extern const struct shape part_watchdog_shape;
extern const struct shape part_deep_sleep_shape;
extern const struct shape part_reset_line_shape;
extern const struct shape part_pins_shape;
extern const struct shape part_strap_shape;
extern const struct shape part_blank_check_shape;
extern const struct shape part_rule_shape;
extern const struct shape part_block_shape; /* struct part_block_row */
extern const struct shape part_preset_shape;
extern const struct shape part_answer_shape; /* struct part_answer_row */

/* Units of bounds. */
#define KIB          1024
#define MIB          (1024 * KIB)
#define UV_PER_V     INT64_C(1000000)
#define MOHM_PER_OHM INT64_C(1000)
#define NA_PER_A     INT64_C(1000000000)
#define MAX_WAIT     (10 * PS_PER_S)
#define MAX_CYCLES   INT64_C(10000000)

/* What a row of the reset table and a block are read into, before they are
 * put where they belong. */
struct part_reset_row {
  struct part_reset reset;
  enum cause cause;
};

struct part_block_row {
  struct part_block block;
  struct part_register *registers; /* `at` is the offset */
  uint32_t register_count;
};

/* An answer as the file has it: "bit" and "is", or "mask" and "reads". */
struct part_answer_row {
  struct part_answer answer;
  uint32_t bit, is;
  bool has_bit, has_is, has_mask, has_reads;
};

/* Custom functions of the rows; `target` is what the comment says. */
enum sim_status part_read_reset(struct shape_reader *r, /* part_reset[] */
                                const struct shape_row *row,
                                const struct json *value, void *target);
enum sim_status part_read_block(struct shape_reader *r, /* part_block */
                                const struct shape_row *row,
                                const struct json *value, void *target);
enum sim_status part_read_answer(struct shape_reader *r, /* part_answer */
                                 const struct shape_row *row,
                                 const struct json *value, void *target);
enum sim_status part_read_factory(struct shape_reader *r, /* option_field */
                                  const struct shape_row *row,
                                  const struct json *value, void *target);
enum sim_status part_read_fallback(struct shape_reader *r, /* the same */
                                   const struct shape_row *row,
                                   const struct json *value, void *target);
enum sim_status part_read_pin(struct shape_reader *r, /* uint32_t */
                              const struct shape_row *row,
                              const struct json *value, void *target);
enum sim_status part_read_pin_in_mask(struct shape_reader *r, /* uint64_t */
                                      const struct shape_row *row,
                                      const struct json *value, void *target);
enum sim_status part_read_region(struct shape_reader *r, /* uint32_t */
                                 const struct shape_row *row,
                                 const struct json *value, void *target);
enum sim_status part_read_place(struct shape_reader *r, /* part_span */
                                const struct shape_row *row,
                                const struct json *value, void *target);
enum sim_status part_read_term(struct shape_reader *r, /* part_term */
                               const struct shape_row *row,
                               const struct json *value, void *target);

#endif

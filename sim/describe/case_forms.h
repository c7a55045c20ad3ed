/* case_forms.h -- the forms of a step, one shape each, all of a struct step.
 */
#ifndef DESCRIBE_CASE_FORMS_H
#define DESCRIBE_CASE_FORMS_H

#include "describe/case.h"
#include "describe/shape.h"

/* The keys that every form has. */
extern const struct shape case_step_shape;

extern const struct shape case_power_shape;
extern const struct shape case_power_dip_shape;
extern const struct shape case_run_shape;
extern const struct shape case_drive_shape;
extern const struct shape case_reset_pin_shape;
extern const struct shape case_reset_line_shape;
extern const struct shape case_reset_cause_shape;
extern const struct shape case_reload_shape;
extern const struct shape case_write_latch_shape;
extern const struct shape case_write_options_shape;
extern const struct shape case_write_address_shape;
extern const struct shape case_write_image_shape;
extern const struct shape case_attach_shape;
extern const struct shape case_probe_read_shape;
extern const struct shape case_probe_erase_shape;
extern const struct shape case_detach_shape;
extern const struct shape case_probe_registers_shape;
extern const struct shape case_probe_set_shape;
extern const struct shape case_probe_step_shape;
extern const struct shape case_probe_reset_shape;
extern const struct shape case_probe_start_shape;
extern const struct shape case_probe_shape;
extern const struct shape case_send_shape;
extern const struct shape case_send_wipe_shape;
extern const struct shape case_send_put_shape;
extern const struct shape case_send_compare_shape;
extern const struct shape case_send_get_shape;
extern const struct shape case_send_launch_shape;
extern const struct shape case_send_bytes_shape;
extern const struct shape case_expect_shape;

/* The words that "send" may say. */
extern const char *const case_send_words[];

/* Host and neighbours of the board. */
extern const struct shape_row case_host_form;
enum sim_status case_read_host(struct shape_reader *r,
                               const struct shape_row *row,
                               const struct json *value, void *target);
extern const struct shape_row case_neighbour_row;

/* Index of the image that `value` names; an error if it is no image. */
enum sim_status case_find_image(struct shape_reader *r,
                                const struct json *value, uint32_t *index);

/* A value by "word.field" in a map: into a struct option_setting. */
extern const struct shape_row case_setting_row;
#define CASE_NAME_PATTERN    "[A-Za-z0-9_][A-Za-z0-9_+-]*"
#define CASE_SETTING_PATTERN "^" CASE_NAME_PATTERN "\\." CASE_NAME_PATTERN "$"

/* What "reload" may say. */
extern const char *const case_reload_words[];

/* No part takes longer to do anything. */
#define CASE_MAX_TIME (90 * 24 * 3600 * PS_PER_S)

#endif

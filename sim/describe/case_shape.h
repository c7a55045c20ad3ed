/* case_shape.h -- the shape of a case file, and what it may not say although
 * each value by itself is right.
 *
 * Read with r->user pointing to the struct case_script that is being built,
 * whose `file` is set: paths of images are resolved against it.
 */
#ifndef DESCRIBE_CASE_SHAPE_H
#define DESCRIBE_CASE_SHAPE_H

#include "base/json.h"
#include "describe/case.h"
#include "describe/shape.h"

extern const struct shape case_shape; /* of a struct case_script */

/* A step: a CUSTOM row whose forms are those of case_forms.h. */
extern const struct shape_row case_step_row;

/* A net of the board: a CUSTOM row, into a struct case_net. */
extern const struct shape_row case_net_row;

/* What may never happen: a CUSTOM row, into a struct case_never. */
extern const struct shape_row case_never_row;

/* A measure: a CUSTOM row, into a struct case_measure. */
extern const struct shape_row case_measure_row;

/* The key "route" of a struct case_script. */
extern const struct shape case_route_shape;

/* Of the keys of an expectation, of a struct expectation. */
extern const struct shape case_expectation_shape;

/* A time, or a number of cycles: a CUSTOM reader into a struct case_bound. */
enum sim_status case_read_bound(struct shape_reader *r,
                                const struct shape_row *row,
                                const struct json *value, void *target);

/* Read a whole script from its document and check it. */
enum sim_status case_from_json(struct arena *arena, const char *file,
                               const struct json *root,
                               struct case_script **script,
                               struct sim_error *err);

/* Check a script that was read from `root`: its steps in their order, its
 * nets, its measures. */
enum sim_status case_check(const struct case_script *script,
                           const struct json *root, struct sim_error *err);

/* The parts of it that are about nets, nevers and measures. */
enum sim_status case_check_nets(const struct json *root,
                                struct sim_error *err);
enum sim_status case_check_nevers(const struct case_script *script,
                                  const struct json *root,
                                  struct sim_error *err);
enum sim_status case_check_measures(const struct case_script *script,
                                    const struct json *root,
                                    struct sim_error *err);

/* Steps in their order; `list` holds them as they were read. */
enum sim_status case_check_steps(const struct case_script *script,
                                 const struct step *steps, uint32_t count,
                                 const struct json *list,
                                 struct sim_error *err);

/* The part of it that is about the route. */
enum sim_status case_check_route(const struct case_script *script,
                                 const struct json *root,
                                 struct sim_error *err);

/* Does an expectation ask for anything; and the error where it does not. */
bool case_asks(const struct expectation *e);
enum sim_status case_refuse_empty(const struct json *expectation,
                                  struct sim_error *err);

#endif

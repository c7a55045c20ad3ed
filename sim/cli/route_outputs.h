/* route_outputs.h -- what `route` writes: text or JSON, and with --write each
 * procedure as cases that `run` holds and as a work instruction.
 *
 * Owns: nothing.
 */
#ifndef CLI_ROUTE_OUTPUTS_H
#define CLI_ROUTE_OUTPUTS_H

#include "base/arena.h"
#include "base/status.h"
#include "describe/route.h"

/* `json` may be NULL, or "-", which takes the place of the text. Errors:
 * SIM_FILE. */
enum sim_status route_outputs_tell(const struct route_result *result,
                                   const char *json, struct arena *arena,
                                   struct sim_error *err);

/* Into `folder`, which is made where there is none: procedure-1.md,
 * procedure-1-factory-blank.json ..., alone-reworked.md ... Images and part
 * files are named as seen from there. Errors: SIM_FILE. */
enum sim_status route_outputs_write(const struct route_result *result,
                                    const char *folder, struct arena *arena,
                                    struct sim_error *err);

#endif

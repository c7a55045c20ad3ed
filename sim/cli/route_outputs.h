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

/* Text, JSON and page; `json` and `html` may be NULL, or one of them "-",
 * which takes the place of the text. Errors: SIM_FILE; those of route_page. */
enum sim_status route_outputs_tell(const struct route_result *result,
                                   const char *json, const char *html,
                                   struct arena *arena, struct sim_error *err);

/* Into `folder`, which is made where there is none: procedure-1.md,
 * procedure-1-factory-blank.json ..., alone-reworked.md ... Images and part
 * files are named as seen from there. Errors: SIM_FILE. */
enum sim_status route_outputs_write(const struct route_result *result,
                                    const char *folder, struct arena *arena,
                                    struct sim_error *err);

#endif

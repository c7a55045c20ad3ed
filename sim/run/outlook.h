/* outlook.h -- from the state a machine is in: where would it start after
 * this?
 *
 * The event happens on a side branch (fork.h), time passes until it is clear
 * where the part got to, and all is as before.
 *
 *   event   what happens on the bench
 *   POWER   the rail falls to 0 V at once, whatever the bulk capacitor holds
 *           and whatever signals would feed it (supply_cut):
 *           what the part does on a falling rail is what the points behind
 *           this one show. The probe and the bench let go of the reset line,
 *           the probe is gone; pins that the bench drives stay driven
 *           (jumpers). Off for long enough that the rise is a power-on, then
 *           on again.
 *   CYCLE   the source is switched off for a minute (assumed: as long as a
 *           person waits) and on again; what holds the rail up holds it up,
 *           so this may be a brown-out, or nothing. The probe and the bench
 *           let go as with POWER.
 *   CAUSE   one row of the reset table. For pin the bench pulls the line for
 *           `hold`; a line that somebody holds already brings no reset. For
 *           brown_out the rail dips below the level that resets the part, and
 *           comes back. Everything attached stays attached.
 *
 * The rule a reader would get wrong: an event that cuts a flash order short is
 * asked once for each kind of thing that the part says such an order may leave
 * (flash_left), and the answer is that of the worst. Cells that are left weak
 * are followed to the start behind one more power-on, where they have given
 * way.
 *
 * It is clear where the part got to as soon as it locks up, sleeps, halts,
 * waits for a host, or reaches a watched symbol outside the boot ROM; else
 * after `patience`.
 *
 * Owns: nothing. Borrows: machine, plan, store.
 */
#ifndef RUN_OUTLOOK_H
#define RUN_OUTLOOK_H

#include "describe/answer.h"
#include "run/fork.h"
#include "run/plan.h"

enum outlook_kind { OUTLOOK_POWER, OUTLOOK_CYCLE, OUTLOOK_CAUSE };

struct outlook_event {
  enum outlook_kind kind;
  enum cause cause; /* of OUTLOOK_CAUSE */
  ps_t hold;        /* of the pin */
};

struct outlook {
  struct machine *machine;
  const struct plan *plan;
  struct page_store *store;
  ps_t patience; /* after the event */
};

/* Time for which the reset line is pulled where nobody says otherwise, and
 * patience: assumed. */
#define OUTLOOK_HOLD     (20 * PS_PER_US)
#define OUTLOOK_PATIENCE (10 * PS_PER_MS)

void outlook_ask(const struct outlook *o, const struct outlook_event *event,
                 struct answer *answer);

/* True if nothing but the non-volatile cells and the levels that the bench
 * drives outlives a power-on, as this part's reset table has it. */
bool outlook_forgets(const struct part *part);

/* How much has been learned about registers that nothing describes: it is
 * knowledge, not state, and outlives everything. */
uint64_t outlook_knowledge(const struct chip *c);

/* The non-volatile cells as they are, the flash order that a cut would tear,
 * the pins that the bench drives, and how much has been learned. */
struct hash128 outlook_cells(const struct outlook *o);

#endif

/* feed.h -- which signals from outside would feed a rail that is lower.
 *
 * One driver a net that the bench drives high (a pin that is on no net is a
 * net of its own), and one a debug pin while a probe is attached that holds
 * them high, and the line of a serial host that idles high. Each is a voltage
 * behind the resistance of its driver and of the pin's clamp; they count as
 * equal and in parallel.
 *
 * The rule a reader would get wrong: only a board that says at which level its
 * signals are driven feeds anything. One that does not has them from the rail
 * itself, as a jumper does: they go down with it.
 *
 * Not modelled: outputs of other chips on the board (they have the same rail);
 * two pins on one net as two clamps.
 *
 * Owns: nothing.
 */
#ifndef BOARD_FEED_H
#define BOARD_FEED_H

#include "board/nets.h"
#include "board/probe.h"
#include "board/supply.h"
#include "describe/case.h"
#include "describe/part.h"

struct feed feed_of(const struct case_script *script, const struct part *part,
                    const struct nets *nets, const struct probe *probe);

#endif

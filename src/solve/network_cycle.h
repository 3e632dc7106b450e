/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Inside the output cycle, in its steady state: the six switches of the bridge take turns, and
 * cases and sink ripple with them.  The cycle is cut into equal steps with constant power; each
 * mode of the network repeats after a cycle, which gives its start in closed form; losses are
 * worked out again at the temperatures found until these stand still.
 *
 * Equations: docs/method.md, eq. 17.12 to 17.13. */
#ifndef SM_SOLVE_NETWORK_CYCLE_H
#define SM_SOLVE_NETWORK_CYCLE_H

#include "solve/electrothermal.h"
#include "swapmargin/network.h"
#include "thermal/heat_network.h"

/* Given: a plan with the bridge's switches apart; an operating point of the same case.
 * Returned: *out; what it does not tell, and why, is a result.  Errors: SM_ERR_MEMORY.  scratch is
 * cleared. */
enum sm_status network_cycle_solve(struct arena *scratch, const struct stage *stage,
                                   const struct operating_point *point,
                                   const struct heat_network_plan *plan,
                                   struct sm_network_cycle *out);

#endif

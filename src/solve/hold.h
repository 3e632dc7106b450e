/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Zero-speed hold: full torque at 0 Hz, the current of one leg standing at its peak for good.
 *
 * Hot leg: one IGBT and the opposite diode at the peak; the other two legs: one IGBT and one diode
 * each at half of it; duty 1/2, always switching.  No ripple: every temperature stands still. */
#ifndef SM_SOLVE_HOLD_H
#define SM_SOLVE_HOLD_H

#include "solve/electrothermal.h"

/* Given: stage; i_peak, A per module at the hot leg; switching_hz; parallel modules per position.
 * Returned: *out.  Runaway is a result.  Errors: SM_ERR_CONVERGE, SM_ERR_MEMORY. */
enum sm_status hold_solve(struct arena *arena, const struct stage *stage, double i_peak,
                          double switching_hz, int parallel, struct sm_hold *out);

#endif

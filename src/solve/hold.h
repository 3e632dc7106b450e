/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Zero-speed hold: full torque at 0 Hz, the current of one leg standing at its peak for good.
 *
 * Hot leg: one IGBT and the opposite diode at the peak; the other two legs: one IGBT and one diode
 * each at half of it; duty 1/2, always switching.  No ripple: every temperature stands still.
 *
 * Equations: docs/method.md, eq. 10.1 to 10.6. */
#ifndef SM_SOLVE_HOLD_H
#define SM_SOLVE_HOLD_H

#include "solve/electrothermal.h"
#include "swapmargin/case.h"

/* Given: stage and drive of one case; i_drive, A, the drive's rms current whose peak stands, for
 * all modules of a position together.
 * Returned: *out, without allowed_current.  Runaway is a result.
 * Errors: SM_ERR_CONVERGE, SM_ERR_MEMORY. */
enum sm_status hold_solve(struct arena *arena, const struct stage *stage,
                          const struct sm_drive *drive, double i_drive, struct sm_hold *out);

/* The same for a search that comes near the edge of equilibrium on its way, where the iteration
 * creeps: taken for no equilibrium.  Errors: SM_ERR_MEMORY. */
enum sm_status hold_try(struct arena *arena, const struct stage *stage,
                        const struct sm_drive *drive, double i_drive, struct sm_hold *out);

/* hold_solve() at the test load whatever torque says, and the largest current that may stand:
 * allowed_current, at which the hotter chip is at tvj_op_max.  Searched from SM_HOLD_LEAST
 * to SM_HOLD_MOST of output_current; not given when none is within.  `scratch` is cleared. */
enum sm_status hold_allowed(struct arena *scratch, const struct stage *stage,
                            const struct sm_drive *drive, struct sm_hold *out);

/* A: the drive's rms current of the hold, the test load's whatever torque says. */
double hold_current(const struct sm_drive *drive);

#endif

/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * One test frequency as the verdict sees it: the periodic solution at the test load, and below 1 Hz
 * the zero-speed hold where that is the worse of the two. */
#ifndef SM_SOLVE_TEST_POINT_H
#define SM_SOLVE_TEST_POINT_H

#include "solve/electrothermal.h"
#include "swapmargin/case.h"

/* Hz: below this the zero-speed hold counts too. */
#define SLOW_OUTPUT 1.0

/* Given: stage, drive of one case; output_hz > 0; hold, solved for the same stage and drive (looked
 * at below 1 Hz only).
 * Returned: *out.  Runaway is a result.  Errors: SM_ERR_CONVERGE, SM_ERR_MEMORY. */
enum sm_status test_point_solve(struct arena *arena, const struct stage *stage,
                                const struct sm_drive *drive, double output_hz,
                                const struct sm_hold *hold, struct sm_point *out);

/* The second half of it: what a solved point becomes by the hold. */
void test_point_hold(const struct sm_hold *hold, double tvj_op_max, struct sm_point *point);

#endif

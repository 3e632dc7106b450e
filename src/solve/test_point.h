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

/* Prepared once, for whoever asks more of the same point. */
struct test_point {
    struct operating_point at;
    struct chip_state chip[SM_CHIP_COUNT];
};

/* Given: stage, drive of one case; output_hz > 0.  Errors: SM_ERR_MEMORY. */
enum sm_status test_point_prepare(struct arena *arena, const struct stage *stage,
                                  const struct sm_drive *drive, double output_hz,
                                  struct test_point *point);

/* Given: hold, solved for the same stage and drive (looked at below 1 Hz only).
 * Returned: *out.  Runaway is a result.  Errors: SM_ERR_CONVERGE. */
enum sm_status test_point_settle(const struct stage *stage, const struct sm_hold *hold,
                                 struct test_point *point, struct sm_point *out);

/* The same for what nothing of the verdict rests on, taken for no equilibrium where the iteration
 * does not end. */
void test_point_try(const struct stage *stage, const struct sm_hold *hold, struct test_point *point,
                    struct sm_point *out);

/* The second half of it: what a solved point becomes by the hold. */
void test_point_hold(const struct sm_hold *hold, double tvj_op_max, struct sm_point *point);

#endif

/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The plain way to the same temperatures, for comparison: a uniform grid over the whole output
 * cycle, a march over it, the loop of losses and temperatures repeated until nothing moves.  Shares
 * no code with the engine; operating point, joint and sink are taken from the engine's result, for
 * they are not what is compared. */
#ifndef SM_BENCH_SPEED_GRID_H
#define SM_BENCH_SPEED_GRID_H

#include "swapmargin/case.h"
#include "swapmargin/result.h"

struct grid_point {
    double tvj_max[SM_CHIP_COUNT]; /* K */
    double t_case[SM_CHIP_COUNT];  /* K */
    int turns;
};

/* Given: a case whose curves have two temperatures and two currents at least; its result; one of
 * the result's points, which is no runaway; n points in a cycle, a multiple of 12.
 * Returned: false when the case is none of these or memory ran out. */
bool grid_solve(const struct sm_case *c, const struct sm_result *result,
                const struct sm_point *point, size_t n, struct grid_point *out);

#endif

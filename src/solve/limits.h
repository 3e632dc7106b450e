/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Limits: how far one value alone can go until the margin is the required one at the worst test
 * frequency.  Each is a bracketed root of the margin; no equilibrium counts as a margin below any.
 *
 * A test frequency at a time: the one that is worst as things stand first; of the others, only
 * those whose margin is short at the limit found so far are searched too.
 *
 * Equations: docs/method.md, eq. 15.1. */
#ifndef SM_SOLVE_LIMITS_H
#define SM_SOLVE_LIMITS_H

#include "solve/electrothermal.h"
#include "swapmargin/case.h"

/* Given: a case, its stage and its result, whose joint, points, worst_point and runaway are filled;
 * two arenas: one keeps the chips of all test frequencies, `scratch` is cleared again and again.
 * Returned: limits[SM_LIMIT_COUNT].
 * Valid: the margin falls along each search, as it does wherever more current, heat or resistance
 * warms the junctions.  The margin at a limit is the required one within 0.3 mK.
 * Errors: SM_ERR_CONVERGE, SM_ERR_MEMORY. */
enum sm_status limits_solve(struct arena *arena, struct arena *scratch, const struct sm_case *c,
                            const struct stage *stage, const struct sm_result *result,
                            struct sm_limit *limits);

/* Puts a limit's value into a drive.  The lowest output frequency is a point's and changes nothing
 * of it. */
void limit_put(enum sm_limit_id id, double value, struct sm_drive *drive);

#endif

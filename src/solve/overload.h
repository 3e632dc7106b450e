/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Overload: from the settled state of a test frequency the current steps up for overload_time; the
 * sink follows in time, cases and chips follow the sink at once.
 *
 * Equations: docs/method.md, eq. 12.1 to 12.2. */
#ifndef SM_SOLVE_OVERLOAD_H
#define SM_SOLVE_OVERLOAD_H

#include "solve/electrothermal.h"
#include "swapmargin/case.h"

/* Given: a drive with overload_current and overload_time; the point at the test load that the
 * overload starts from.
 * Without sink_capacity: the sink settled at the overload current, the safe side.
 * Returned: *out.  Runaway is a result.  Errors: SM_ERR_CONVERGE, SM_ERR_MEMORY. */
enum sm_status overload_solve(struct arena *arena, const struct stage *stage,
                              const struct sm_drive *drive, const struct sm_point *start,
                              struct sm_overload *out);

#endif

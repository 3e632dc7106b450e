/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * One run of the load machine at one test frequency: the sink's way in time, what stands over it,
 * and the sink at which the hottest junction is at its limit.
 *
 * Equations: docs/method.md, eq. 16.1 to 16.5. */
#ifndef SM_SOLVE_LOAD_RUN_H
#define SM_SOLVE_LOAD_RUN_H

#include "solve/electrothermal.h"
#include "swapmargin/loadrun.h"

/* K: half the width of the band of what stands this far over ambient. */
double reading_band(double rise);

/* What a run starts from. */
struct load_run_start {
    enum sm_untold_id untold; /* SM_TOLD: the sink is known */
    double t_sink;            /* K */
};

/* Given: stage and drive of one case; settled, its solved test point there (of sm_run()), which
 * gives frequency and current; *start, the sink at the beginning.
 * Returned: *out but for what the bus reads; *start as the next run finds the sink.
 * Errors: SM_ERR_CONVERGE, SM_ERR_MEMORY.  scratch is cleared. */
enum sm_status load_run_solve(struct arena *scratch, const struct stage *stage,
                              const struct sm_drive *drive, const struct sm_point *settled,
                              struct load_run_start *start, struct sm_load_run *out);

#endif

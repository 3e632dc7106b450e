/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The curves that a page of one check draws, gathered from the engine. */
#ifndef SWAPMARGIN_CMD_CHECK_CURVES_H
#define SWAPMARGIN_CMD_CHECK_CURVES_H

#include "swapmargin/report.h"

struct check_curves {
    struct sm_cycle *cycles; /* owned */
    size_t n_cycles;
    struct sm_sweep frequency, thickness;
    struct sm_check_curves drawn; /* what of them the report gets */
};

void check_curves_init(struct check_curves *curves);
void check_curves_release(struct check_curves *curves);

/* Given: a case and what sm_run() and sm_run_limits() made of it.  A curve that cannot be computed
 * is left out: the sheet does not depend on it.  Errors: SM_ERR_MEMORY, one fault. */
enum sm_status check_curves_gather(struct check_curves *curves, const struct sm_case *c,
                                   const struct sm_result *result, struct sm_faults *faults);

/* The curve over the joint's thickness alone: *drawn is sweep, or NULL where there is none.  Given:
 * sweep from sm_sweep_init(); else as above. */
enum sm_status check_curves_thickness(const struct sm_case *c, const struct sm_result *result,
                                      struct sm_sweep *sweep, const struct sm_sweep **drawn,
                                      struct sm_faults *faults);

#endif

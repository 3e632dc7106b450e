/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * A sweep's plan: its rules, and the values that it asks for. */
#ifndef SM_SWEEP_PLAN_H
#define SM_SWEEP_PLAN_H

#include "swapmargin/sweep.h"

/* Checks a plan for a case.  Errors: as sm_sweep(), but for the runs; every fault is added. */
enum sm_status plan_check(const struct sm_case *c, const struct sm_sweep_plan *plan,
                          struct sm_faults *faults);

/* Values: plan->steps of them, SI, rising strictly; the ends as they are, all others rounded to
 * what a person would type.  Given: a plan that plan_check() accepted.
 * Errors: SM_ERR_VALUE (too near to each other), with a fault. */
enum sm_status plan_values(const struct sm_sweep_plan *plan, double *values,
                           struct sm_faults *faults);

/* A value as it would be typed: "40 degC". */
struct typed {
    char text[64];
};

struct typed plan_typed(enum sm_sweep_over over, double si);

#endif

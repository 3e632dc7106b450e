/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * From points and checks to the verdict: reject, conditional or approve, and why.
 *
 * Equations: docs/method.md, eq. 9.1. */
#ifndef SM_ASSESS_VERDICT_H
#define SM_ASSESS_VERDICT_H

#include "swapmargin/case.h"
#include "swapmargin/result.h"

/* Overall margin, worst point and runaway from the points.  First of the two: the notes need it. */
void margin_gather(struct sm_result *result);

/* Reasons and conditions of points, hold and checks, then the verdict.  Last step of a run. */
void verdict_reach(const struct sm_case *c, struct sm_result *result);

#endif

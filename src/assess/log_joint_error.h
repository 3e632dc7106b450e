/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * How far a joint from a log may be off, and whether it changes while the log runs.
 *
 * Equations: docs/method.md, eq. 18.6 to 18.9, eq. 18.18. */
#ifndef SM_ASSESS_LOG_JOINT_ERROR_H
#define SM_ASSESS_LOG_JOINT_ERROR_H

#include "assess/log_joint.h"

/* 1: change from the first to the last loaded reading over the estimate; less is not told (common
 * practice). */
#define LOG_LEAST_DRIFT 0.10

/* Given: readings with their outliers; a fit with rth.value, the offset, and how many readings it
 * uses.
 * Returned: the rest of it: intervals, settled, drift.  A change that is told is taken out of what
 * the error is found from.
 * Errors: SM_ERR_MEMORY. */
enum sm_status joint_error(struct arena *arena, const struct joint_readings *readings,
                           struct joint_fit *fit);

#endif

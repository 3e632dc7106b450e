/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * What a result holds, and differences of its temperatures: the little that every report needs to
 * ask alike. */
#ifndef SWAPMARGIN_REPORT_KNOWN_H
#define SWAPMARGIN_REPORT_KNOWN_H

#include "swapmargin/result.h"

/* Whether the zero-speed hold was computed: a sink at absolute zero was not. */
bool result_has_hold(const struct sm_result *result);

/* K  across the joint; where each switch has its own, the larger of the two. */
double point_joint_drop(const struct sm_point *point);

/* K  where the kelvins from the ambient to the highest junction temperature of one chip stand. */
struct known_path {
    double sink, joint, mean, peak; /* they add up to tvj_max - ambient */
};

struct known_path point_path(const struct sm_point *point, enum sm_chip_kind kind, double ambient);

/* Checks with this outcome. */
size_t result_checks(const struct sm_result *result, enum sm_check_result outcome);

#endif

/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * What a log says of joint and heatsink, with the model's heat.
 *
 * Equations: docs/method.md, eq. 18.1 to 18.13. */
#ifndef SM_ASSESS_LOG_THERMAL_H
#define SM_ASSESS_LOG_THERMAL_H

#include "assess/log_rows.h"

/* Each fills its part of the judgement but for causes, and puts strays aside.  Errors:
 * SM_ERR_MEMORY. */
enum sm_status log_joint_judge(const struct log_rows *rows, struct sm_log_joint *out);

/* Given: joint, as judged: where it is told, the case as read says how warm the chips are, and the
 * heatsink does not rest on the file's joint. */
enum sm_status log_sink_judge(const struct log_rows *rows, const struct sm_log_joint *joint,
                              struct sm_log_sink *out);

/* The thermistor under load. */
enum sm_status log_ntc_tell(const struct log_rows *rows, struct sm_log_ntc *out);

#endif

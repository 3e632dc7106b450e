/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * A log judged with a model that is open already: for many logs of one case. */
#ifndef SM_ASSESS_LOG_JUDGE_H
#define SM_ASSESS_LOG_JUDGE_H

#include "assess/log_rows.h"

/* As sm_log_judge().  Given: rows with arena, c, expected, log, ntc_as_case and model.  GSL's error
 * handler must be off.  Errors: SM_ERR_MEMORY. */
enum sm_status log_judge(struct log_rows *rows, struct sm_log_judgement *out);

#endif

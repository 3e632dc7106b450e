/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * What a log says of currents and bus.
 *
 * Equations: docs/method.md, eq. 18.15 to 18.17. */
#ifndef SM_ASSESS_LOG_ELECTRIC_H
#define SM_ASSESS_LOG_ELECTRIC_H

#include "assess/log_rows.h"

/* Each fills its part of the judgement but for causes.  Errors: SM_ERR_MEMORY. */
enum sm_status log_balance_judge(const struct log_rows *rows, struct sm_log_balance *out);
enum sm_status log_bus_judge(const struct log_rows *rows, struct sm_log_bus *out);
enum sm_status log_ripple_judge(const struct log_rows *rows, struct sm_log_ripple *out);

#endif

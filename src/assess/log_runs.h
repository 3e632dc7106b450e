/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The rows of a log beside the runs that the sheet asks for: what there is of each, and whether one
 * came to the reading to stop at.
 *
 * Equations: docs/method.md, eq. 18.19. */
#ifndef SM_ASSESS_LOG_RUNS_H
#define SM_ASSESS_LOG_RUNS_H

#include "assess/log_rows.h"

/* 1: of a test frequency: rows within it are of that run (common practice, no source). */
#define LOG_SAME_HZ 0.05

/* Every reading of sink and case in a run against that run's readings to stop at, whatever the
 * estimates say of it; a stray is told to be one.  A row whose currents are not known is taken to
 * be loaded: what is too hot is too hot.
 * Given: rows with their strays put aside. */
void log_stop_judge(const struct log_rows *rows, struct sm_log_stop *out);

/* What there is of each run, with a note on each that is missing, short or at another current.
 * Errors: SM_ERR_MEMORY. */
enum sm_status log_runs_tell(const struct log_rows *rows, struct sm_log_judgement *out);

#endif

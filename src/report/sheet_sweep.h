/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The sheet of one sweep: the margin over the swept value, where it passes the required one, then
 * what stands behind it at each frequency. */
#ifndef SWAPMARGIN_REPORT_SHEET_SWEEP_H
#define SWAPMARGIN_REPORT_SHEET_SWEEP_H

#include "report/sheet.h"
#include "swapmargin/sweep.h"

/* Fills an empty sheet. */
void sheet_sweep(struct sheet *sheet, const struct sm_case *c, const struct sm_sweep *sweep);

#endif

/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * What is said of a sweep: its values, crossings and notes as words, kept by a sheet. */
#ifndef SWAPMARGIN_REPORT_SWEEP_WORDS_H
#define SWAPMARGIN_REPORT_SWEEP_WORDS_H

#include "report/sheet.h"
#include "swapmargin/sweep.h"

/* A swept value in the unit it is told in. */
double sweep_shown(const struct sm_sweep *sweep, double si);

/* The fewest decimals that tell all rows apart, and each near enough to what it is. */
int sweep_decimals(const struct sm_sweep *sweep);

/* "52.5 degC". */
const char *sweep_value(struct sheet *sheet, const struct sm_sweep *sweep, double si, int decimals);

/* "falls below WHAT at about ..., interpolated between the rows at ...". */
const char *sweep_crossing(struct sheet *sheet, const struct sm_sweep *sweep,
                           const struct sm_sweep_crossing *crossing, const char *what);

/* "52.5 degC": where a found crossing is about. */
const char *sweep_near(struct sheet *sheet, const struct sm_sweep *sweep,
                       const struct sm_sweep_crossing *crossing);

/* A note as a sentence, with the rows that it stands in where that is not all of them or its
 * numbers differ. */
const char *sweep_note(struct sheet *sheet, const struct sm_sweep *sweep,
                       const struct sm_sweep_note *note);

#endif

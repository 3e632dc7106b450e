/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Readings that do not belong to the rest. */
#ifndef SM_ASSESS_LOG_OUTLIERS_H
#define SM_ASSESS_LOG_OUTLIERS_H

#include "base/arena.h"

#include <stdbool.h>
#include <stddef.h>

/* Middle of n > 0 values, the mean of the two in the middle; they are sorted. */
double log_median(double *values, size_t n);

/* K: the least spread that residuals of these readings can have: half of the step in which they are
 * shown (the smallest difference between any two, where enough of them differ), and not below
 * 0.05 K (common practice: thermometers show no less than 0.1 K).
 * Given: scratch, room for n. */
double log_least_spread(const double *readings, size_t n, double *scratch);

/* Standard deviation of residuals that a few strays do not touch: their median size, scaled so that
 * it is the standard deviation of normal errors; not below `least`.
 * Given: scratch, room for n. */
double log_spread(const double *residual, size_t n, double least, double *scratch);

/* Whether a residual is farther out than an honest one would be: 4 spreads, which 1 in 16,000
 * normal errors passes, and more where the spread itself is known from few, n, residuals (both
 * common practice). */
bool log_is_outlier(double residual, double spread, size_t n);

#endif

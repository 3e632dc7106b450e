/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "assess/log_outliers.h"

#include <gsl/gsl_sort.h>
#include <math.h>

/* 1: standard deviation of a normal error over the median of its size, 1 / Phi^-1(3/4). */
#define MEDIAN_TO_DEVIATION 1.482602218505602

/* K: the finest step in which thermometers show; below ROUNDING two readings are one. */
#define FINEST_STEP 0.1
#define ROUNDING 1e-6

/* 1: different readings that tell the step they are shown in. */
enum { FEWEST_VALUES = 5 };

/* 1: spreads beyond which a residual is an outlier, were they known; that share of it, over
 * their number, farther where few tell them. */
#define FAR_OUT 4.0
#define FAR_OUT_OF_FEW 10.0

double log_median(double *values, size_t n)
{
    gsl_sort(values, 1, n);
    return 0.5 * (values[(n - 1) / 2] + values[n / 2]);
}

double log_least_spread(const double *readings, size_t n, double *scratch)
{
    double step = HUGE_VAL;
    size_t values = 1; /* different ones */
    for (size_t i = 0; i < n; i++)
        scratch[i] = readings[i];
    gsl_sort(scratch, 1, n);
    for (size_t i = 1; i < n; i++)
        if (scratch[i] - scratch[i - 1] > ROUNDING) {
            step = fmin(step, scratch[i] - scratch[i - 1]);
            values++;
        }
    return 0.5 * fmax(values >= FEWEST_VALUES ? step : 0.0, FINEST_STEP);
}

double log_spread(const double *residual, size_t n, double least, double *scratch)
{
    for (size_t i = 0; i < n; i++)
        scratch[i] = fabs(residual[i]);
    return fmax(MEDIAN_TO_DEVIATION * log_median(scratch, n), least);
}

bool log_is_outlier(double residual, double spread, size_t n)
{
    return !(fabs(residual) <= FAR_OUT * (1.0 + FAR_OUT_OF_FEW / (double)n) * spread);
}

/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Straight lines over temperature: which two rows count at t, and the value there.  Inline, for the
 * loss at every node asks for it in every turn of the loop.
 *
 * Equations: docs/method.md, eq. 3.5. */
#ifndef SM_DEVICE_SEGMENT_H
#define SM_DEVICE_SEGMENT_H

#include <stddef.h>

/* The row k so that rows k and k + 1 are the two nearest to t; the outermost two beyond the ends.
 * Given: n >= 2 temperatures, rising strictly. */
static inline size_t segment_of(const double *t_list, size_t n, double t)
{
    size_t k = 0;
    while (k + 2 < n && t_list[k + 1] <= t)
        k++;
    return k;
}

/* Slope of the straight line from `low` at row k to `high` at row k + 1. */
static inline double segment_slope(const double *t_list, size_t k, double low, double high)
{
    return (high - low) / (t_list[k + 1] - t_list[k]);
}

/* Its value at t. */
static inline double segment_value(const double *t_list, size_t k, double low, double high,
                                   double t)
{
    return low + segment_slope(t_list, k, low, high) * (t - t_list[k]);
}

#endif

/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "assess/log_outliers.h"

#include "support/near.h"

#include <criterion/criterion.h>

Test(log_outliers, median_is_the_middle_one_or_the_mean_of_two)
{
    double odd[] = { 5.0, 1.0, 3.0 }, even[] = { 8.0, 1.0, 3.0, 2.0 }, one[] = { 7.0 };
    NEAR(log_median(odd, 3), 3.0, 0.0);
    NEAR(log_median(even, 4), 2.5, 0.0);
    NEAR(log_median(one, 1), 7.0, 0.0);
}

/* Half of the step that the readings are shown in; two readings within rounding are one; fewer than
 * five different ones tell no step, and no thermometer shows finer than 0.1 K. */
Test(log_outliers, readings_spread_by_half_of_their_display_at_the_least)
{
    double scratch[7];
    const double halves[] = { 300.5, 301.0, 302.0, 303.5, 305.0, 301.0 + 1e-7, 303.5 };
    NEAR(log_least_spread(halves, 7, scratch), 0.25, 1e-6);
    NEAR(log_least_spread(&halves[1], 4, scratch), 0.05, 1e-12);
    const double fine[] = { 300.01, 300.02, 300.03, 300.04, 300.05, 300.06, 300.07 };
    NEAR(log_least_spread(fine, 7, scratch), 0.05, 1e-12);
    const double first[] = { 300.0, 300.3, 301.0, 302.0, 303.0, 304.0, 305.0 };
    NEAR(log_least_spread(first, 7, scratch), 0.15, 1e-9);
}

/* Of a normal error half is within 0.67449 of its deviation (any table of the normal law). */
Test(log_outliers, spread_is_the_median_of_the_sizes_as_a_deviation)
{
    double scratch[3];
    const double residual[] = { -0.67449, 0.1, 5.0 };
    NEAR(log_spread(residual, 3, 0.0, scratch), 1.0, 1e-5);
    NEAR(log_spread(residual, 3, 2.0, scratch), 2.0, 0.0);
}

/* Four spreads, and ten times as much over the number of readings: 8 of 10 readings, 4.4 of 100. */
Test(log_outliers, far_out_is_farther_where_few_tell)
{
    cr_expect_not(log_is_outlier(0.799, 0.1, 10));
    cr_expect(log_is_outlier(0.801, 0.1, 10));
    cr_expect_not(log_is_outlier(-0.439, 0.1, 100));
    cr_expect(log_is_outlier(-0.441, 0.1, 100));
    cr_expect(log_is_outlier(nan(""), 0.1, 100));
}

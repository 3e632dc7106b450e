/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Expected numbers: what the rule says, worked out by hand: steps of 1, 2 or 5 times a power of
 * ten. */
#include "report/ticks.h"
#include "support/near.h"

#include <criterion/criterion.h>

#include <math.h>

Test(ticks, a_number_is_rounded_up_to_one_two_or_five)
{
    static const double rows[][2] = { { 1.0, 1.0 }, { 1.0001, 2.0 },   { 2.0, 2.0 },
                                      { 3.0, 5.0 }, { 5.5, 10.0 },     { 0.03, 0.05 },
                                      { 0.1, 0.1 }, { 700.0, 1000.0 }, { 1e-9, 1e-9 } };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        NEAR(ticks_round(rows[i][0]), rows[i][1], 1e-12 * rows[i][1]);
    }
}

static void are(const struct ticks *ticks, const double *expected, size_t n, int decimals)
{
    cr_assert_eq(ticks->n, n, "%zu ticks, not %zu", ticks->n, n);
    for (size_t i = 0; i < n; i++) {
        NEAR(ticks->at[i], expected[i], 1e-9);
    }
    cr_expect_eq(ticks->decimals, decimals);
}

Test(ticks, even_ones_are_multiples_of_a_round_step_within_the_ends)
{
    const struct ticks a = ticks_even(40.0, 150.0, 6);
    are(&a, (const double[]){ 40.0, 60.0, 80.0, 100.0, 120.0, 140.0 }, 6, 0);
    const struct ticks b = ticks_even(-12.0, 31.0, 6);
    are(&b, (const double[]){ -10.0, 0.0, 10.0, 20.0, 30.0 }, 5, 0);
    const struct ticks c = ticks_even(0.0, 0.5, 6);
    are(&c, (const double[]){ 0.0, 0.1, 0.2, 0.3, 0.4, 0.5 }, 6, 1);
}

Test(ticks, zero_has_no_sign)
{
    const struct ticks ticks = ticks_even(-5.0, 5.0, 5);
    for (size_t i = 0; i < ticks.n; i++) {
        cr_expect(fabs(ticks.at[i]) > 0.0 || !signbit(ticks.at[i]));
    }
    const struct ticks from_zero = ticks_even(0.0, 50.0, 6);
    cr_expect_not(signbit(from_zero.at[0]));
}

Test(ticks, there_are_never_more_than_asked_for_and_never_fewer_than_two)
{
    for (size_t most = 3; most <= TICKS_MOST; most++) {
        for (double high = 1e-3; high < 1e6; high *= 1.37) {
            const struct ticks ticks = ticks_even(0.0, high, most);
            cr_expect_leq(ticks.n, most);
            cr_expect_geq(ticks.n, (size_t)2);
        }
    }
}

Test(ticks, widened_ends_are_ticks_themselves)
{
    double low = 81.3, high = 152.9;
    ticks_widen(&low, &high, 7);
    NEAR(low, 80.0, 1e-9);
    NEAR(high, 160.0, 1e-9);
    ticks_widen(&low, &high, 7);
    NEAR(low, 80.0, 1e-9); /* widening twice is widening once */
    NEAR(high, 160.0, 1e-9);
}

Test(ticks, decades_have_one_two_and_five)
{
    const struct ticks ticks = ticks_decades(1.0, 60.0, 8);
    are(&ticks, (const double[]){ 1.0, 2.0, 5.0, 10.0, 20.0, 50.0 }, 6, 0);
    const struct ticks small = ticks_decades(0.1, 1.0, 8);
    are(&small, (const double[]){ 0.1, 0.2, 0.5, 1.0 }, 4, 1);
}

Test(ticks, many_decades_have_powers_of_ten_alone_or_every_so_many_of_them)
{
    const struct ticks four = ticks_decades(100.0, 1e6, 8);
    are(&four, (const double[]){ 1e2, 1e3, 1e4, 1e5, 1e6 }, 5, 0);
    const struct ticks twelve = ticks_decades(1e-3, 1e9, 8);
    cr_expect_leq(twelve.n, (size_t)8);
    for (size_t i = 1; i < twelve.n; i++) {
        NEAR(log10(twelve.at[i] / twelve.at[i - 1]), 2.0, 1e-9);
    }
}

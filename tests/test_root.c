/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "solve/root.h"

#include "support/near.h"

#include <criterion/criterion.h>
#include <gsl/gsl_errno.h>

static int calls;

static double cube(double x, void *context) /* root at 2 */
{
    calls++;
    (void)context;
    return x * x * x - 8.0;
}

static double jump(double x, void *context)
{
    calls++;
    const double from = x - *(double *)context;
    return from < 0.0 ? from - 3.0 : from + 5.0;
}

static double hole(double x, void *context)
{
    calls++;
    (void)context;
    return x > 0.0 ? HUGE_VAL : nan("");
}

static struct root_search search_of(double (*f)(double, void *), void *context, double low,
                                    double high)
{
    (void)gsl_set_error_handler_off();
    calls = 0;
    return (struct root_search){ .f = f,
                                 .context = context,
                                 .low = low,
                                 .high = high,
                                 .f_low = -1.0,
                                 .f_high = 1.0,
                                 .tolerance = 1e-9,
                                 .width = 1e-12 };
}

/* 0 at 2, from -7 at 1 and 19 at 3; both ends known, so neither is asked for. */
Test(root, of_a_cube_is_found_to_the_tolerance)
{
    struct root_search search = search_of(cube, NULL, 1.0, 3.0);
    double x = 0.0;
    search.f_low = -7.0;
    search.f_high = 19.0;
    cr_assert_eq(root_find(&search, &x), SM_OK);
    NEAR(x, 2.0, 1e-9);
    cr_expect_leq(calls, 12); /* Brent's method: superlinear; halving would take 33 */
}

/* An end that is near enough is the root: nothing is tried. */
Test(root, at_an_end_is_told_without_a_try)
{
    for (int high = 0; high < 2; high++) {
        struct root_search search = search_of(cube, NULL, high ? 1.0 : 2.0, high ? 2.0 : 3.0);
        double x = 0.0;
        search.f_low = high ? -7.0 : -1e-10;
        search.f_high = high ? 1e-10 : 19.0;
        cr_assert_eq(root_find(&search, &x), SM_OK);
        NEAR(x, 2.0, 0.0);
        cr_expect_eq(calls, 0);
    }
}

/* A rise that jumps from -3 to 5 has no root: its place to the width, on the side that is nearer to
 * 0. */
Test(root, of_a_jump_is_its_place_to_the_width)
{
    double at = 0.3;
    struct root_search search = search_of(jump, &at, 0.0, 1.0);
    double x = 0.0;
    search.f_low = -3.3;
    search.f_high = 5.7;
    search.width = 1e-6;
    cr_assert_eq(root_find(&search, &x), SM_OK);
    NEAR(x, at, 1e-6);
    cr_expect_lt(x, at);
    cr_expect_lt(calls, 100);
}

static double step(double x, void *context)
{
    calls++;
    (void)context;
    return x < 0.3 ? -3.0 : 3.0;
}

/* Of places that are alike the first one tried: here an end. */
Test(root, of_a_step_with_no_place_nearer_is_the_first)
{
    struct root_search search = search_of(step, NULL, 0.0, 1.0);
    double x = 77.0;
    search.f_low = -3.0;
    search.f_high = 3.0;
    search.width = 1e-6;
    cr_assert_eq(root_find(&search, &x), SM_OK);
    NEAR(x, 1.0, 0.0);
}

Test(root, a_value_that_is_not_finite_ends_the_search)
{
    for (int k = 0; k < 2; k++) {
        struct root_search search = search_of(hole, NULL, k ? -1.0 : 0.1, k ? -0.1 : 1.0);
        double x = 77.0;
        cr_expect_eq(root_find(&search, &x), SM_ERR_CONVERGE);
        NEAR(x, 77.0, 0.0);
        cr_expect_eq(calls, 1);
    }
}

Test(root, is_refused_where_both_ends_are_on_one_side)
{
    struct root_search search = search_of(cube, NULL, 3.0, 4.0);
    double x = 77.0;
    search.f_low = 19.0;
    search.f_high = 56.0;
    cr_expect_eq(root_find(&search, &x), SM_ERR_CONVERGE);
    NEAR(x, 77.0, 0.0);
    cr_expect_eq(calls, 0);
}

/* Neither tolerance nor width can be met: the cap on turns ends it. */
Test(root, that_cannot_be_met_ends_at_the_cap)
{
    double at = 0.3, x = 77.0;
    struct root_search search = search_of(jump, &at, 0.0, 1.0);
    search.f_low = -3.3;
    search.f_high = 5.7;
    search.width = -1.0;
    cr_expect_eq(root_find(&search, &x), SM_ERR_CONVERGE);
    NEAR(x, 77.0, 0.0);
    cr_expect_leq(calls, 101);
}

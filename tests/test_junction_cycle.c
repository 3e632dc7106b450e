/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * What the curve of one cycle must have in common with the numbers of its point, which other tests
 * hold against outside values. */
#include "support/fixture.h"
#include "support/near.h"
#include "swapmargin/cycle.h"
#include "swapmargin/engine.h"

#include <criterion/criterion.h>

#include <math.h>

#define PI 3.14159265358979323846

static void solve(struct fixture *f, struct sm_result *result, struct sm_cycle *cycle, size_t point)
{
    fixture_make(f);
    sm_result_init(result);
    sm_cycle_init(cycle);
    cr_assert_eq(sm_run(&f->c, result, NULL), SM_OK);
    cr_assert_eq(sm_cycle(&f->c, result->points[point].output_hz, cycle, NULL), SM_OK);
}

static double extreme(const struct sm_cycle *cycle, int chip, double sign)
{
    double best = cycle->tvj[chip][0];
    for (size_t i = 1; i < cycle->n; i++)
        best = sign * fmax(sign * best, sign * cycle->tvj[chip][i]);
    return best;
}

/* Between the instants the curve may rise above them: no more than a chord of a smooth hill leaves,
 * 0.2 K at these ripples of some 10 K and 40 instants a cycle and more. */
Test(junction_cycle, its_highest_and_lowest_are_those_of_the_point)
{
    struct fixture f;
    struct sm_result result;
    struct sm_cycle cycle;
    for (size_t point = 0; point < 2; point++) {
        solve(&f, &result, &cycle, point);
        cr_assert_gt(cycle.n, (size_t)40);
        for (int k = 0; k < SM_CHIP_COUNT; k++) {
            const struct sm_chip_result *chip = &result.points[point].chip[k];
            NEAR(extreme(&cycle, k, 1.0), chip->tvj_max, 0.2);
            NEAR(extreme(&cycle, k, -1.0), chip->tvj_min, 0.2);
            cr_expect_leq(extreme(&cycle, k, 1.0), chip->tvj_max + 1e-4);
            cr_expect_geq(extreme(&cycle, k, -1.0), chip->tvj_min - 1e-4);
            NEAR(cycle.highest[k], chip->tvj_max, 0.0);
            NEAR(cycle.lowest[k], chip->tvj_min, 0.0);
        }
        sm_cycle_release(&cycle);
        sm_result_release(&result);
    }
}

/* The trapezium rule over instants this close together is good to some 0.1 K here. */
Test(junction_cycle, its_mean_is_that_of_the_point)
{
    struct fixture f;
    struct sm_result result;
    struct sm_cycle cycle;
    solve(&f, &result, &cycle, 0);
    for (int k = 0; k < SM_CHIP_COUNT; k++) {
        double area = 0.0;
        for (size_t i = 1; i < cycle.n; i++)
            area += 0.5 * (cycle.tvj[k][i] + cycle.tvj[k][i - 1]) *
                    (cycle.phase[i] - cycle.phase[i - 1]);
        NEAR(area / (2.0 * PI), result.points[0].chip[k].tvj_mean, 0.1);
    }
    sm_cycle_release(&cycle);
    sm_result_release(&result);
}

Test(junction_cycle, it_rises_through_one_cycle_and_ends_where_it_began)
{
    struct fixture f;
    struct sm_result result;
    struct sm_cycle cycle;
    solve(&f, &result, &cycle, 1);
    NEAR(cycle.phase[0], 0.0, 1e-12);
    NEAR(cycle.phase[cycle.n - 1], 2.0 * PI, 1e-9);
    for (size_t i = 1; i < cycle.n; i++)
        cr_assert_gt(cycle.phase[i], cycle.phase[i - 1]);
    for (int k = 0; k < SM_CHIP_COUNT; k++)
        NEAR(cycle.tvj[k][0], cycle.tvj[k][cycle.n - 1], 1e-6);
    sm_cycle_release(&cycle);
    sm_result_release(&result);
}

/* While a chip does not conduct it cools towards its case, all the time. */
Test(junction_cycle, each_chip_cools_in_the_half_that_it_does_not_carry)
{
    struct fixture f;
    struct sm_result result;
    struct sm_cycle cycle;
    solve(&f, &result, &cycle, 0);
    for (size_t i = 1; i < cycle.n; i++) {
        const int idle = cycle.phase[i] > PI + 1e-9 ? SM_IGBT : SM_DIODE;
        cr_assert_lt(cycle.tvj[idle][i], cycle.tvj[idle][i - 1]);
        cr_assert_gt(cycle.tvj[idle][i], result.points[0].chip[idle].t_case);
    }
    sm_cycle_release(&cycle);
    sm_result_release(&result);
}

Test(junction_cycle, without_equilibrium_there_is_no_curve)
{
    struct fixture f;
    struct sm_cycle cycle;
    fixture_make(&f);
    sm_cycle_init(&cycle);
    f.drive.cooling.rth_sa = 10.0; /* hundreds of watts over it: thousands of kelvins */
    cr_assert_eq(sm_cycle(&f.c, 60.0, &cycle, NULL), SM_OK);
    cr_expect(cycle.runaway);
    cr_expect_eq(cycle.n, (size_t)0);
    sm_cycle_release(&cycle);
    sm_cycle_release(&cycle);
}

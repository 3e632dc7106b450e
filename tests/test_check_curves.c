/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * What the pages of a check draw.  Expected: the sheet's own points and limits, which the engine
 * finds another way (a limit by root finding, a curve row by row), and straight lines between rows
 * of a curve. */
#include "cmd/check_curves.h"

#include "support/fixture.h"
#include "support/near.h"
#include "swapmargin/engine.h"

#include <criterion/criterion.h>

/* K: two solutions of the same point, each within the solver's tolerance of 1e-5 K. */
#define SAME 1e-4

/* K: how far a curve's highest instant may stay below the peak. */
#define PEAK 0.01

struct bench {
    struct fixture f;
    struct sm_result result;
    struct check_curves curves;
};

static void bench_gather(struct bench *b)
{
    sm_result_init(&b->result);
    check_curves_init(&b->curves);
    cr_assert_eq(sm_run(&b->f.c, &b->result, NULL), SM_OK);
    cr_assert_eq(sm_run_limits(&b->f.c, &b->result, NULL), SM_OK);
    cr_assert_eq(check_curves_gather(&b->curves, &b->f.c, &b->result, NULL), SM_OK);
}

static void bench_end(struct bench *b)
{
    check_curves_release(&b->curves);
    cr_expect_eq(b->curves.n_cycles, (size_t)0);
    check_curves_release(&b->curves);
    sm_result_release(&b->result);
}

static double highest(const double *values, size_t n)
{
    double most = values[0];
    for (size_t i = 1; i < n; i++)
        most = fmax(most, values[i]);
    return most;
}

/* The peak lies between two instants of the curve, which is thus never above it: near a peak the
 * junction bends by some mK from one instant to the next. */
Test(check_curves, each_cycle_reaches_the_highest_junction_of_its_point)
{
    struct bench b;
    fixture_warm(&b.f);
    bench_gather(&b);
    cr_assert_eq(b.curves.drawn.n_cycles, b.result.n_points);
    for (size_t i = 0; i < b.result.n_points; i++) {
        const struct sm_cycle *cycle = &b.curves.drawn.cycles[i];
        NEAR(cycle->output_hz, b.result.points[i].output_hz, 0.0);
        for (int k = 0; k < SM_CHIP_COUNT; k++) {
            const double top = b.result.points[i].chip[k].tvj_max;
            NEAR(highest(cycle->tvj[k], cycle->n), top, PEAK);
            cr_assert_leq(highest(cycle->tvj[k], cycle->n), top + SAME);
        }
    }
    bench_end(&b);
}

Test(check_curves, the_frequency_goes_from_1_hz_to_the_base_frequency_and_ends_at_its_margin)
{
    struct bench b;
    fixture_warm(&b.f);
    bench_gather(&b);
    const struct sm_sweep *sweep = b.curves.drawn.frequency;
    cr_assert_not_null(sweep);
    NEAR(sweep->rows[0].value, 1.0, 0.0);
    NEAR(sweep->rows[sweep->n_rows - 1].value, 60.0, 0.0);
    NEAR(sweep->rows[sweep->n_rows - 1].margin, b.result.points[1].margin, SAME);
    bench_end(&b);
}

Test(check_curves, test_frequencies_outside_stretch_the_curve_to_both_sides)
{
    struct bench b;
    fixture_warm(&b.f);
    b.f.frequencies[0] = 0.5;
    b.f.frequencies[1] = 90.0;
    bench_gather(&b);
    const struct sm_sweep *sweep = b.curves.drawn.frequency;
    NEAR(sweep->rows[0].value, 0.5, 0.0);
    NEAR(sweep->rows[sweep->n_rows - 1].value, 90.0, 0.0);
    bench_end(&b);
}

/* The joint of the fixture is 80 um.  Junctions rise nearly straight with the layer: over one row
 * of the curve the bend is far below 0.05 K, and 1 um stands for about 0.1 K. */
Test(check_curves, the_layers_curve_passes_the_margin_as_applied_and_the_thickest_layer_found)
{
    struct bench b;
    fixture_warm(&b.f);
    bench_gather(&b);
    const struct sm_sweep *sweep = b.curves.drawn.thickness;
    const struct sm_limit *limit = &b.result.limits[SM_LIMIT_JOINT_THICKNESS];
    cr_assert_not_null(sweep);
    cr_assert_eq(limit->state, SM_LIMIT_FOUND);
    size_t before = 0;
    while (sweep->rows[before + 1].value < 80e-6)
        before++;
    const struct sm_sweep_row *row = &sweep->rows[before];
    const double share = (80e-6 - row[0].value) / (row[1].value - row[0].value);
    NEAR(row[0].margin + share * (row[1].margin - row[0].margin), b.result.margin, 0.05);
    cr_assert_eq(sweep->n_crossings, (size_t)1);
    NEAR_REL(sweep->crossings[0].value, limit->value, 0.005);
    NEAR_REL(sweep->rows[0].value, 0.1 * 80e-6, 1e-12);
    NEAR_REL(sweep->rows[sweep->n_rows - 1].value, 1.3 * limit->value, 1e-12);
    bench_end(&b);
}

Test(check_curves, a_joint_as_printed_has_no_curve_over_a_layer)
{
    struct bench b;
    fixture_warm(&b.f);
    b.f.module.mounting.rth_cs_conductivity.given = false;
    b.f.module.mounting.rth_cs_thickness.given = false;
    bench_gather(&b);
    cr_expect_not(b.result.joint.layer_used);
    cr_expect_null(b.curves.drawn.thickness);
    cr_expect_not_null(b.curves.drawn.frequency);
    bench_end(&b);
}

/* A heatsink a hundred times worse: more heat at any temperature than it takes away. */
Test(check_curves, a_point_without_equilibrium_has_an_empty_cycle_and_the_rest_is_gathered)
{
    struct bench b;
    fixture_warm(&b.f);
    b.f.drive.cooling.rth_sa = 3.0;
    bench_gather(&b);
    cr_assert(b.result.runaway);
    cr_assert_eq(b.curves.drawn.n_cycles, b.result.n_points);
    cr_expect(b.curves.cycles[0].runaway);
    cr_expect_eq(b.curves.cycles[0].n, (size_t)0);
    cr_expect(b.curves.drawn.frequency->rows[0].runaway);
    bench_end(&b);
}

/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The pictures of a check.  Expected: the numbers of the result that they are drawn from, and the
 * rule which test frequencies have a picture. */
#include "report/sheet_pictures.h"

#include "cmd/check_curves.h"
#include "support/fixture.h"
#include "support/near.h"
#include "support/sample.h"
#include "swapmargin/engine.h"

#include <criterion/criterion.h>
#include <string.h>

#define ICE 273.15

struct bench {
    struct fixture f;
    struct sm_result result;
    struct check_curves curves;
    struct sheet sheet;
    struct check_sheet s;
};

static void bench_run(struct bench *b)
{
    sm_result_init(&b->result);
    check_curves_init(&b->curves);
    sheet_init(&b->sheet);
    cr_assert_eq(sm_run(&b->f.c, &b->result, NULL), SM_OK);
    cr_assert_eq(sm_run_limits(&b->f.c, &b->result, NULL), SM_OK);
    cr_assert_eq(check_curves_gather(&b->curves, &b->f.c, &b->result, NULL), SM_OK);
    b->s = (struct check_sheet){ &b->sheet, &b->f.c, &b->result };
}

static void bench_end(struct bench *b)
{
    sheet_release(&b->sheet);
    check_curves_release(&b->curves);
    sm_result_release(&b->result);
}

Test(sheet_pictures, up_to_three_test_frequencies_have_a_picture_each)
{
    struct sm_point points[3] = { { .output_hz = 30.0 },
                                  { .output_hz = 60.0 },
                                  { .output_hz = 5.0 } };
    const struct sm_result result = { .points = points, .n_points = 3 };
    const struct picture_points chosen = pictures_choose(&result);
    cr_assert_eq(chosen.n, (size_t)3);
    for (size_t i = 0; i < 3; i++)
        cr_expect_eq(chosen.index[i], i);
}

Test(sheet_pictures, of_more_the_lowest_the_worst_and_the_highest)
{
    struct sm_point points[4] = {
        { .output_hz = 30.0 }, { .output_hz = 5.0 }, { .output_hz = 90.0 }, { .output_hz = 60.0 }
    };
    struct sm_result result = { .points = points, .n_points = 4, .worst_point = 3 };
    struct picture_points chosen = pictures_choose(&result);
    cr_assert_eq(chosen.n, (size_t)3);
    cr_expect_eq(chosen.index[0], (size_t)1);
    cr_expect_eq(chosen.index[1], (size_t)3);
    cr_expect_eq(chosen.index[2], (size_t)2);
    result.worst_point = 1; /* the lowest is the worst: two pictures */
    chosen = pictures_choose(&result);
    cr_assert_eq(chosen.n, (size_t)2);
    cr_expect_eq(chosen.index[0], (size_t)1);
    cr_expect_eq(chosen.index[1], (size_t)2);
}

/* One cycle at 30 Hz lasts 33.3 ms; limit 150 degC, 15 K required. */
Test(sheet_pictures, a_cycle_is_drawn_in_milliseconds_and_degrees_with_both_limits)
{
    struct bench b;
    fixture_warm(&b.f);
    bench_run(&b);
    pictures_cycle(&b.s, &b.curves.drawn);
    cr_assert_eq(b.sheet.count, (size_t)2);
    const struct sheet_plot *plot = &b.sheet.blocks[0].plot;
    cr_assert_eq(plot->n_curves, (size_t)SM_CHIP_COUNT);
    for (int k = 0; k < SM_CHIP_COUNT; k++) {
        const struct plot_curve *curve = &plot->curves[k];
        double most = curve->points[0].y, least = most;
        for (size_t i = 1; i < curve->n; i++) {
            cr_assert_gt(curve->points[i].x, curve->points[i - 1].x);
            most = fmax(most, curve->points[i].y);
            least = fmin(least, curve->points[i].y);
        }
        cr_assert_leq(curve->points[curve->n - 1].x, 1e3 / 30.0 * (1.0 + 1e-12));
        cr_assert_gt(curve->points[curve->n - 1].x, 0.9 * 1e3 / 30.0);
        /* what the tables tell, though it lies between the instants */
        NEAR(most, b.result.points[0].chip[k].tvj_max - ICE, 1e-9);
        NEAR(least, b.result.points[0].chip[k].tvj_min - ICE, 1e-9);
    }
    cr_assert_eq(plot->n_levels, (size_t)2);
    NEAR(plot->levels[0].y, 150.0, 1e-9);
    cr_expect(plot->levels[0].limit);
    NEAR(plot->levels[1].y, 135.0, 1e-9);
    cr_expect_not(plot->levels[1].limit);
    NEAR(plot->y.from, b.sheet.blocks[1].plot.y.from, 0.0); /* all cycles on one scale */
    NEAR(plot->y.to, b.sheet.blocks[1].plot.y.to, 0.0);
    bench_end(&b);
}

Test(sheet_pictures, the_test_points_are_marked_on_the_curve_over_the_frequency)
{
    struct bench b;
    fixture_warm(&b.f);
    bench_run(&b);
    picture_over_frequency(&b.sheet, &b.result, b.curves.drawn.frequency);
    const struct sheet_plot *plot = &b.sheet.blocks[0].plot;
    cr_assert_eq(plot->n_marks, (size_t)2);
    for (size_t i = 0; i < 2; i++) {
        NEAR(plot->marks[i].at.x, b.f.frequencies[i], 1e-9);
        NEAR(plot->marks[i].at.y, b.result.points[i].margin, 0.0);
    }
    cr_assert_eq(plot->n_curves, (size_t)1);
    const struct plot_curve *curve = &plot->curves[0];
    NEAR(curve->points[curve->n - 1].y, plot->marks[1].at.y, 1e-4);
    cr_assert_eq(plot->n_levels, (size_t)2);
    NEAR(plot->levels[0].y, 15.0, 0.0);
    NEAR(plot->levels[1].y, 0.0, 0.0);
    bench_end(&b);
}

/* The joint of the fixture is 80 um; the thickest layer is where 15 K are left. */
Test(sheet_pictures, the_layer_as_applied_and_the_thickest_one_are_marked)
{
    struct bench b;
    fixture_warm(&b.f);
    bench_run(&b);
    picture_over_thickness(&b.sheet, &b.result, b.curves.drawn.thickness);
    const struct sheet_plot *plot = &b.sheet.blocks[0].plot;
    cr_assert_eq(plot->n_curves, (size_t)2); /* one a test frequency */
    cr_assert_eq(plot->n_marks, (size_t)2);
    NEAR(plot->marks[0].at.x, 80.0, 1e-9);
    NEAR(plot->marks[0].at.y, b.result.margin, 0.0);
    NEAR(plot->marks[1].at.x, 1e6 * b.result.limits[SM_LIMIT_JOINT_THICKNESS].value, 1e-9);
    NEAR(plot->marks[1].at.y, 15.0, 0.0);
    cr_expect_str_eq(plot->marks[1].label, /* as in the table of limits */
                     sheet_bound(&b.sheet, b.result.limits[SM_LIMIT_JOINT_THICKNESS].value, "um",
                                 PHRASE_AT_MOST));
    bench_end(&b);
}

/* Rows without equilibrium between others break the curve; only its last stretch has the label. */
Test(sheet_pictures, a_curve_is_broken_where_there_is_no_equilibrium)
{
    struct sm_point points[5] = { { .margin = 9.0 },
                                  { .runaway = true },
                                  { .margin = 5.0 },
                                  { .margin = 4.0 },
                                  { .runaway = true } };
    struct sm_sweep_row rows[5];
    struct sheet sheet;
    for (size_t i = 0; i < 5; i++)
        rows[i] = (struct sm_sweep_row){ .value = 10.0 * (double)(i + 1), .points = &points[i] };
    const struct sm_sweep sweep = {
        .plan = { .over = SM_SWEEP_OUTPUT_FREQUENCY }, .rows = rows, .n_rows = 5, .n_points = 1
    };
    sheet_init(&sheet);
    struct sheet_block *block = sheet_add(&sheet, SHEET_PLOT, "", "");
    picture_sweep_curve(&sheet, block, &sweep, 0, &(struct plot_curve){ .label = "60 Hz" });
    cr_assert_eq(block->plot.n_curves, (size_t)2);
    cr_expect_str_eq(block->plot.curves[0].label, "");
    cr_expect_eq(block->plot.curves[0].n, (size_t)1);
    cr_expect_str_eq(block->plot.curves[1].label, "60 Hz");
    cr_assert_eq(block->plot.curves[1].n, (size_t)2);
    NEAR(block->plot.curves[1].points[0].x, 30.0, 1e-12);
    NEAR(block->plot.curves[1].points[1].y, 4.0, 0.0);
    sheet_release(&sheet);
}

/* What the page says in place of a curve. */
Test(sheet_pictures, a_curve_that_could_not_be_computed_is_said)
{
    struct sample s;
    struct sm_text page;
    const struct sm_check_curves none = { .n_cycles = 0 };
    sample_make(&s);
    s.result.joint.layer_used = true;
    sm_text_init(&page);
    cr_assert_eq(sm_report_check_page(&s.c, &s.result, &none, &page, NULL), SM_OK);
    cr_expect_not_null(strstr(page.data, "over the output frequency could not be computed"));
    cr_expect_not_null(strstr(page.data, "over the thickness of the joint could not be computed"));
    sm_text_release(&page);
}

/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * A sweep against runs of the engine with the value put into the drive by hand here: all digits
 * must agree, since each row is such a run.  Physical expectations stand beside each test. */
#include <criterion/criterion.h>

#include "support/fixture.h"
#include "support/near.h"
#include "swapmargin/engine.h"
#include "swapmargin/sweep.h"

#include <string.h>

#define ZERO_CELSIUS 273.15 /* K  SI brochure */

static void swept(const struct fixture *f, const struct sm_sweep_plan *plan, struct sm_sweep *sweep)
{
    struct sm_faults faults;
    sm_faults_init(&faults);
    sm_sweep_init(sweep);
    cr_assert_eq(sm_sweep(&f->c, plan, sweep, &faults), SM_OK, "%s",
                 faults.count ? faults.list[0].message : "");
    cr_assert_eq(sweep->n_rows, plan->steps);
    sm_faults_release(&faults);
}

static void row_equals_run(const struct fixture *f, const struct sm_sweep_row *row)
{
    struct sm_result result;
    sm_result_init(&result);
    cr_assert_eq(sm_run(&f->c, &result, NULL), SM_OK);
    NEAR(row->margin, result.margin, 0.0);
    cr_expect_eq(row->worst, result.worst_point);
    for (size_t i = 0; i < result.n_points; i++) {
        const struct sm_point *a = &row->points[i], *b = &result.points[i];
        cr_expect_eq(a->runaway, b->runaway);
        NEAR(a->output_hz, b->output_hz, 0.0);
        NEAR(a->t_sink, b->t_sink, 0.0);
        NEAR(a->margin, b->margin, 0.0);
        for (int k = 0; k < SM_CHIP_COUNT; k++) {
            NEAR(a->chip[k].tvj_max, b->chip[k].tvj_max, 0.0);
            NEAR(a->chip[k].t_case, b->chip[k].t_case, 0.0);
        }
    }
    sm_result_release(&result);
}

Test(sweep, each_row_is_a_run_with_that_value_in_the_drive)
{
    static const struct sm_sweep_plan plans[] = {
        { SM_SWEEP_OUTPUT_FREQUENCY, 0.5, 60.0, 3, false },
        { SM_SWEEP_LOAD, 0.2, 1.3, 3, false },
        { SM_SWEEP_AMBIENT, 283.15, 333.15, 3, false },
        { SM_SWEEP_SWITCHING_FREQUENCY, 1000.0, 9000.0, 3, false },
        { SM_SWEEP_JOINT_THICKNESS, 20e-6, 300e-6, 3, false },
    };
    for (size_t i = 0; i < sizeof plans / sizeof plans[0]; i++) {
        struct fixture f;
        struct sm_sweep sweep;
        fixture_make(&f);
        swept(&f, &plans[i], &sweep);
        for (size_t row = 0; row < sweep.n_rows; row++) {
            const double value = sweep.rows[row].value;
            struct fixture g;
            fixture_make(&g);
            switch (plans[i].over) {
            case SM_SWEEP_OUTPUT_FREQUENCY:
                g.frequencies[0] = value;
                g.drive.test.frequencies.n = 1;
                break;
            case SM_SWEEP_LOAD:
                g.drive.test.load = value;
                break;
            case SM_SWEEP_AMBIENT:
                g.drive.cooling.ambient = value;
                break;
            case SM_SWEEP_SWITCHING_FREQUENCY:
                g.drive.rating.switching_frequency = value;
                break;
            case SM_SWEEP_JOINT_THICKNESS:
                g.drive.joint.thickness.value = value;
                break;
            case SM_SWEEP_COUNT:
                break;
            }
            row_equals_run(&g, &sweep.rows[row]);
        }
        sm_sweep_release(&sweep);
    }
}

Test(sweep, the_drive_stays_as_it_was)
{
    struct fixture f;
    struct sm_sweep sweep;
    fixture_make(&f);
    const struct sm_drive before = f.drive;
    swept(&f, &(struct sm_sweep_plan){ SM_SWEEP_OUTPUT_FREQUENCY, 10.0, 20.0, 2, false }, &sweep);
    cr_expect_eq(memcmp(&f.drive, &before, sizeof before), 0);
    sm_sweep_release(&sweep);
}

/* More heat in, or a longer way out of it, leaves less margin: the losses rise with load and
 * carrier, the way is longer through a thicker layer, and ambient is where it begins. */
Test(sweep, margin_falls_with_load_ambient_carrier_and_layer)
{
    static const struct sm_sweep_plan plans[] = {
        { SM_SWEEP_LOAD, 0.1, 1.5, 8, false },
        { SM_SWEEP_AMBIENT, 253.15, 353.15, 8, false },
        { SM_SWEEP_SWITCHING_FREQUENCY, 500.0, 16000.0, 8, true },
        { SM_SWEEP_JOINT_THICKNESS, 5e-6, 1e-3, 8, true },
    };
    for (size_t i = 0; i < sizeof plans / sizeof plans[0]; i++) {
        struct fixture f;
        struct sm_sweep sweep;
        fixture_make(&f);
        swept(&f, &plans[i], &sweep);
        for (size_t row = 1; row < sweep.n_rows; row++) {
            cr_expect_lt(sweep.rows[row].margin, sweep.rows[row - 1].margin, "%s, row %zu",
                         sm_sweep_quantity(plans[i].over)->name, row);
        }
        sm_sweep_release(&sweep);
    }
}

/* The fixture's losses do not follow temperature: the margin is linear in the ambient with a slope
 * of -1, so that the crossing lies exactly (margin at 40 degC - required) above 40 degC. */
Test(sweep, the_crossing_of_a_straight_line_is_exact)
{
    struct fixture f;
    struct sm_sweep sweep;
    struct sm_result result;
    fixture_make(&f);
    sm_result_init(&result);
    cr_assert_eq(sm_run(&f.c, &result, NULL), SM_OK);
    const double expected = f.drive.cooling.ambient + result.margin - f.drive.test.required_margin;
    swept(&f, &(struct sm_sweep_plan){ SM_SWEEP_AMBIENT, 273.15, 413.15, 5, false }, &sweep);
    cr_assert_eq(sweep.n_crossings, 1);
    cr_expect(sweep.crossings[0].falls);
    cr_expect(sweep.crossings[0].found);
    /* K: the iteration's own tolerance is 1e-5 */
    NEAR(sweep.crossings[0].value, expected, 1e-4);
    cr_expect(sm_sweep_keeps(&sweep, sweep.crossings[0].before));
    cr_expect_not(sm_sweep_keeps(&sweep, sweep.crossings[0].before + 1));
    sm_result_release(&result);
    sm_sweep_release(&sweep);
}

Test(sweep, a_margin_that_rises_over_the_required_one_crosses_upwards)
{
    struct fixture f;
    struct sm_sweep sweep;
    fixture_make(&f);
    /* slow output swings the junction more: the margin rises with the output frequency */
    swept(&f, &(struct sm_sweep_plan){ SM_SWEEP_OUTPUT_FREQUENCY, 1.0, 61.0, 7, false }, &sweep);
    cr_expect_gt(sweep.rows[6].margin, sweep.rows[0].margin);
    f.drive.test.required_margin = 0.5 * (sweep.rows[0].margin + sweep.rows[6].margin);
    sm_sweep_release(&sweep);
    swept(&f, &(struct sm_sweep_plan){ SM_SWEEP_OUTPUT_FREQUENCY, 1.0, 61.0, 7, false }, &sweep);
    cr_assert_geq(sweep.n_crossings, 1);
    cr_expect_not(sweep.crossings[0].falls);
    sm_sweep_release(&sweep);
}

static const struct sm_sweep_note *note_find(const struct sm_sweep *sweep, enum sm_note_id id)
{
    for (size_t i = 0; i < sweep->n_notes; i++) {
        if (sweep->notes[i].note.id == id) {
            return &sweep->notes[i];
        }
    }
    return NULL;
}

Test(sweep, a_note_tells_its_rows_and_what_checks_say_is_left_out)
{
    struct fixture f;
    struct sm_sweep sweep;
    fixture_make(&f);
    f.drive.joint.coverage = 0.9;
    /* the hold is judged below 1 Hz: of 0.5, 0.8, 1.1, 1.4 and 1.7 Hz in the first two rows */
    swept(&f, &(struct sm_sweep_plan){ SM_SWEEP_OUTPUT_FREQUENCY, 0.5, 1.7, 5, false }, &sweep);
    const struct sm_sweep_note *coverage = note_find(&sweep, SM_NOTE_JOINT_COVERAGE);
    const struct sm_sweep_note *hold = note_find(&sweep, SM_NOTE_HOLD_GOVERNS);
    cr_assert_not_null(coverage);
    cr_expect_eq(coverage->rows, 5);
    cr_expect(coverage->same);
    cr_assert_not_null(hold);
    cr_expect_eq(hold->rows, 2);
    cr_expect_eq(hold->first, 0);
    cr_expect_eq(hold->last, 1);
    cr_expect_not(hold->same, "each tells its own frequency");
    NEAR(hold->note.value[0], 0.5, 0.0);
    cr_expect_null(note_find(&sweep, SM_NOTE_NOT_CHECKED));
    sm_sweep_release(&sweep);
}

Test(sweep, two_frequencies_with_the_same_note_keep_one_each)
{
    struct fixture f;
    struct sm_sweep sweep;
    fixture_make(&f);
    /* 460 V from a bus of 300 V: m_req = 2 sqrt2 V / (sqrt3 Vdc) = 2.5 at 60 Hz, 1.25 at 30 Hz,
     * both above the 1.155 of the space vector */
    f.drive.rating.dc_bus_voltage.value = 300.0;
    swept(&f, &(struct sm_sweep_plan){ SM_SWEEP_LOAD, 0.1, 0.3, 3, false }, &sweep);
    size_t n = 0;
    for (size_t i = 0; i < sweep.n_notes; i++) {
        if (sweep.notes[i].note.id == SM_NOTE_OVERMODULATION) {
            cr_expect_eq(sweep.notes[i].rows, 3);
            n++;
        }
    }
    cr_expect_eq(n, 2);
    sm_sweep_release(&sweep);
}

Test(sweep, a_refused_plan_leaves_the_sweep_as_after_init)
{
    struct fixture f;
    struct sm_sweep sweep;
    struct sm_faults faults;
    fixture_make(&f);
    sm_faults_init(&faults);
    sm_sweep_init(&sweep);
    const struct sm_sweep_plan plan = { SM_SWEEP_OUTPUT_FREQUENCY, 50.0, 50.0000001, 900, false };
    cr_expect_eq(sm_sweep(&f.c, &plan, &sweep, &faults), SM_ERR_VALUE);
    cr_expect_eq(faults.count, 1);
    cr_expect_eq(sweep.n_rows, 0);
    cr_expect_null(sweep.rows);
    sm_sweep_release(&sweep);
    sm_faults_release(&faults);
}

/* What a limit of a check and a sweep have in common. */
static const struct {
    enum sm_sweep_over over;
    enum sm_limit_id limit;
    double scale; /* of the limit, to the swept value's unit; 0: by the rated current */
} pairs[] = {
    { SM_SWEEP_LOAD, SM_LIMIT_LOAD_CURRENT, 0.0 },
    { SM_SWEEP_AMBIENT, SM_LIMIT_AMBIENT, 1.0 },
    { SM_SWEEP_SWITCHING_FREQUENCY, SM_LIMIT_SWITCHING, 1.0 },
    { SM_SWEEP_JOINT_THICKNESS, SM_LIMIT_JOINT_THICKNESS, 1.0 },
};

static double pair_scale(size_t i, const struct fixture *f)
{
    return pairs[i].scale > 0.0 ? pairs[i].scale : 1.0 / f->drive.rating.output_current;
}

/* The limits are found by another way, a bracketed root search; rows 0.1 % apart bend the straight
 * line between them by far less than the 1e-5 allowed here. */
Test(sweep, crosses_where_the_limit_of_a_check_lies)
{
    struct fixture f;
    struct sm_result result;
    fixture_make(&f);
    sm_result_init(&result);
    cr_assert_eq(sm_run(&f.c, &result, NULL), SM_OK);
    cr_assert_eq(sm_run_limits(&f.c, &result, NULL), SM_OK);
    for (size_t i = 0; i < sizeof pairs / sizeof pairs[0]; i++) {
        const double limit = result.limits[pairs[i].limit].value * pair_scale(i, &f);
        struct sm_sweep sweep;
        cr_assert_eq(result.limits[pairs[i].limit].state, SM_LIMIT_FOUND);
        swept(&f, &(struct sm_sweep_plan){ pairs[i].over, 0.99 * limit, 1.01 * limit, 21, false },
              &sweep);
        cr_assert_eq(sweep.n_crossings, 1);
        NEAR_REL(sweep.crossings[0].value, limit, 1e-5);
        sm_sweep_release(&sweep);
    }
    sm_result_release(&result);
}

Test(sweep, goes_as_far_as_the_limits_of_a_check_are_searched)
{
    struct fixture f;
    struct sm_result result;
    fixture_make(&f);
    f.drive.test.required_margin = 1000.0; /* K: none is found, so that the ranges are told */
    sm_result_init(&result);
    cr_assert_eq(sm_run(&f.c, &result, NULL), SM_OK);
    cr_assert_eq(sm_run_limits(&f.c, &result, NULL), SM_OK);
    for (size_t i = 0; i < sizeof pairs / sizeof pairs[0]; i++) {
        const struct sm_limit *limit = &result.limits[pairs[i].limit];
        const struct sm_sweep_quantity *quantity = sm_sweep_quantity(pairs[i].over);
        const bool ambient = pairs[i].over == SM_SWEEP_AMBIENT;
        NEAR_REL(limit->low * pair_scale(i, &f), quantity->low, 1e-12);
        NEAR_REL(limit->high * pair_scale(i, &f), ambient ? f.module.tvj_op_max : quantity->high,
                 1e-12);
    }
    sm_result_release(&result);
}

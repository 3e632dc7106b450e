/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Limits: each is verified by its own statement.  The value found is typed into the case, the case
 * is solved anew, and the margin must be the required one at the worst test frequency. */
#include "solve/limits.h"

#include "support/fixture.h"
#include "support/near.h"
#include "support/solved.h"
#include "swapmargin/engine.h"

#include <criterion/criterion.h>

#define REQUIRED 15.0 /* K, the fixture's */
#define CLOSE 1e-3    /* K  promised; the search stops at a tenth of it */

static void type_in(struct fixture *f, enum sm_limit_id id, double value)
{
    switch (id) {
    case SM_LIMIT_LOAD_CURRENT:
        f->drive.test.load = value / f->drive.rating.output_current;
        break;
    case SM_LIMIT_AMBIENT:
        f->drive.cooling.ambient = value;
        break;
    case SM_LIMIT_SWITCHING:
        f->drive.rating.switching_frequency = value;
        break;
    case SM_LIMIT_JOINT_THICKNESS:
        f->drive.joint.thickness.value = value;
        break;
    case SM_LIMIT_RTH_SA:
        f->drive.cooling.rth_sa = value;
        break;
    case SM_LIMIT_LOWEST_OUTPUT:
        f->frequencies[0] = value; /* 60 Hz stays and is cooler */
        break;
    case SM_LIMIT_COUNT:
        break;
    }
}

/* The smallest margin, and where it is. */
static double margin_with(const struct fixture *like, enum sm_limit_id id, double value,
                          struct sm_point *worst)
{
    struct fixture f = *like;
    struct sm_result result;
    fixture_link(&f);
    f.drive.test.frequencies.n = like->drive.test.frequencies.n;
    type_in(&f, id, value);
    solved_run(&f, &result);
    *worst = result.points[result.worst_point];
    const double margin = result.runaway ? -HUGE_VAL : result.margin;
    sm_result_release(&result);
    return margin;
}

/* At the value the margin is the required one; a little hotter it is short, cooler it is kept. */
static void verify(const struct fixture *f, enum sm_limit_id id, const struct sm_limit *limit)
{
    struct sm_point worst, other;
    cr_assert_eq(limit->state, SM_LIMIT_FOUND, "limit %d", (int)id);
    cr_assert_not(limit->runaway_beyond);
    cr_assert(limit->value > limit->low && limit->value < limit->high);
    NEAR(margin_with(f, id, limit->value, &worst), REQUIRED, CLOSE);
    NEAR(limit->set_by_hz, worst.output_hz, 1e-9);
    cr_assert_eq(limit->set_by, worst.worst);
    const double hotter = id == SM_LIMIT_LOWEST_OUTPUT ? 0.99 : 1.01;
    cr_assert_lt(margin_with(f, id, limit->value * hotter, &other), REQUIRED);
    cr_assert_gt(margin_with(f, id, limit->value / hotter, &other), REQUIRED);
}

Test(limits, the_margin_at_each_is_the_required_one_when_solved_again)
{
    struct fixture f;
    struct sm_result result;
    fixture_warm(&f);
    solved_run(&f, &result);
    cr_assert_gt(result.margin, REQUIRED);
    sm_result_release(&result);
    for (int id = 0; id < SM_LIMIT_LOWEST_OUTPUT; id++) {
        const struct sm_limit limit = solved_limit(&f, (enum sm_limit_id)id);
        verify(&f, (enum sm_limit_id)id, &limit);
    }
    /* 2 K in hand at the test frequencies: a slower output swings more than that */
    f.drive.cooling.ambient = solved_limit(&f, SM_LIMIT_AMBIENT).value - 2.0;
    const struct sm_limit limit = solved_limit(&f, SM_LIMIT_LOWEST_OUTPUT);
    verify(&f, SM_LIMIT_LOWEST_OUTPUT, &limit);
    NEAR(limit.set_by_hz, limit.value, 0.0);
}

/* From a case that is too hot the same limits are found on the other side, none of them moved:
 * each alone is what it is, whatever its value is now. */
Test(limits, a_case_without_enough_margin_has_the_same_limits_below_its_values)
{
    struct fixture f;
    fixture_warm(&f);
    for (int id = 0; id < SM_LIMIT_LOWEST_OUTPUT; id++) {
        const struct sm_limit limit = solved_limit(&f, (enum sm_limit_id)id);
        struct fixture hot = f;
        fixture_link(&hot);
        type_in(&hot, (enum sm_limit_id)id, 1.3 * limit.value);
        const struct sm_limit again = solved_limit(&hot, (enum sm_limit_id)id);
        verify(&hot, (enum sm_limit_id)id, &again);
        NEAR_REL(again.value, limit.value, 2e-5); /* 1 mK over the 50 K and more that they span */
    }
}

/* Everything else cooler moves a limit to where it is hotter; everything else hotter, back. */
Test(limits, each_moves_the_right_way)
{
    static const struct {
        enum sm_limit_id id;
        double sign; /* of the way to where it is hot */
    } rows[] = { { SM_LIMIT_LOAD_CURRENT, 1.0 }, { SM_LIMIT_AMBIENT, 1.0 },
                 { SM_LIMIT_SWITCHING, 1.0 },    { SM_LIMIT_JOINT_THICKNESS, 1.0 },
                 { SM_LIMIT_RTH_SA, 1.0 },       { SM_LIMIT_LOWEST_OUTPUT, -1.0 } };
    for (size_t k = 0; k < sizeof rows / sizeof rows[0]; k++) {
        double last = -HUGE_VAL;
        for (double more = 6.0; more >= 0.0; more -= 2.0) { /* other heat falls */
            struct fixture f;
            fixture_warm(&f);
            f.drive.cooling.ambient = 345.0;
            f.drive.cooling.other_heat = 20.0 * more;
            const struct sm_limit limit = solved_limit(&f, rows[k].id);
            cr_assert_eq(limit.state, SM_LIMIT_FOUND, "%d at %g", (int)rows[k].id, more);
            cr_assert_gt(rows[k].sign * limit.value, last, "limit %d", (int)rows[k].id);
            last = rows[k].sign * limit.value;
        }
    }
}

/* The altitude thins the air: a sink that reads 0.03 K/W in the file is worse up there.  The limit
 * is told as it would be typed, so it falls by just that factor (the densities' own test stands in
 * test_heat_path.c). */
Test(limits, sink_resistance_is_told_as_typed_in_the_file)
{
    struct fixture f;
    struct sm_result low, high;
    fixture_warm(&f);
    solved_run(&f, &low);
    cr_assert_eq(sm_run_limits(&f.c, &low, NULL), SM_OK);
    f.drive.cooling.altitude = 3000.0;
    solved_run(&f, &high);
    cr_assert_eq(sm_run_limits(&f.c, &high, NULL), SM_OK);
    NEAR_REL(high.limits[SM_LIMIT_RTH_SA].value * high.rth_sa,
             low.limits[SM_LIMIT_RTH_SA].value * low.rth_sa, 2e-5);
    cr_assert_lt(high.limits[SM_LIMIT_RTH_SA].value, low.limits[SM_LIMIT_RTH_SA].value);
    sm_result_release(&low);
    sm_result_release(&high);
}

/* Closed form: losses without temperature, so T_vj - T_ambient does not depend on the ambient and
 * the limit is the ambient of now plus what is above the required margin. */
Test(limits, ambient_is_now_s_plus_what_is_in_hand_where_losses_do_not_follow_temperature)
{
    struct fixture f;
    struct sm_result result;
    fixture_make(&f);
    solved_run(&f, &result);
    const double want = 313.15 + result.margin - REQUIRED;
    sm_result_release(&result);
    NEAR(solved_limit(&f, SM_LIMIT_AMBIENT).value, want, CLOSE);
}

Test(limits, none_within_range_tells_which_side_of_it_the_margin_is_on)
{
    struct fixture f;
    fixture_warm(&f);
    f.foster_r[0][0] = f.foster_r[1][0] = 1e-4; /* next to no junction, joint or switching */
    f.module.mounting.rth_cs.value = 1e-5;
    const struct sm_limit slow = solved_limit(&f, SM_LIMIT_LOWEST_OUTPUT);
    cr_assert_eq(slow.state, SM_LIMIT_KEPT);
    NEAR(slow.low, 1.0, 0.0);
    NEAR(slow.high, 30.0, 0.0);
    fixture_warm(&f);
    f.drive.cooling.ambient = 420.0; /* the air alone is too hot */
    cr_assert_eq(solved_limit(&f, SM_LIMIT_LOAD_CURRENT).state, SM_LIMIT_SHORT);
    cr_assert_eq(solved_limit(&f, SM_LIMIT_SWITCHING).state, SM_LIMIT_SHORT);
    cr_assert_eq(solved_limit(&f, SM_LIMIT_LOWEST_OUTPUT).state, SM_LIMIT_SHORT_ALREADY);
    cr_assert_eq(solved_limit(&f, SM_LIMIT_AMBIENT).state, SM_LIMIT_FOUND);
}

Test(limits, the_layer_has_none_where_its_resistance_was_used_as_printed)
{
    struct fixture f;
    fixture_warm(&f);
    f.module.mounting.rth_cs_conductivity.given = f.module.mounting.rth_cs_thickness.given = false;
    cr_assert_eq(solved_limit(&f, SM_LIMIT_JOINT_THICKNESS).state, SM_LIMIT_NO_LAYER);
}

/* A fan runs cool when slow; the hold's hot diode counts below 1 Hz, not at 1 Hz. */
Test(limits, the_zero_speed_hold_is_no_limit_of_an_output_down_to_one_hertz)
{
    for (double hz = 1.5; hz < 20.0; hz += 0.37) {
        struct fixture f;
        struct sm_result result;
        fixture_warm(&f);
        f.drive.load.torque = SM_TORQUE_FAN;
        f.foster_r[1][0] = f.module.diode_thermal.rth_jc = 1.2;
        f.frequencies[0] = hz;
        solved_run(&f, &result);
        cr_assert_gt(result.margin, REQUIRED);
        cr_assert(result.hold.runaway || result.hold.margin < REQUIRED);
        sm_result_release(&result);
        cr_assert_eq(solved_limit(&f, SM_LIMIT_LOWEST_OUTPUT).state, SM_LIMIT_KEPT, "from %g Hz",
                     hz);
    }
}

/* Below the one test frequency, 60 Hz, the fan takes less: at 30 Hz there is margin. */
Test(limits, a_fan_that_is_short_at_the_test_frequency_is_not_called_short_all_the_way_down)
{
    struct fixture f;
    struct sm_result result;
    fixture_warm(&f);
    f.drive.load.torque = SM_TORQUE_FAN;
    f.drive.test.load = 1.5;
    f.frequencies[0] = 30.0;
    f.drive.cooling.ambient = 350.0;
    solved_run(&f, &result);
    cr_assert_gt(result.points[0].margin, REQUIRED);
    cr_assert_lt(result.points[1].margin, REQUIRED);
    sm_result_release(&result);
    f.frequencies[0] = 60.0;
    f.drive.test.frequencies.n = 1;
    cr_assert_eq(solved_limit(&f, SM_LIMIT_LOWEST_OUTPUT).state, SM_LIMIT_SHORT_ALREADY);
}

Test(limits, the_lowest_output_has_none_below_one_hertz)
{
    struct fixture f;
    fixture_warm(&f);
    f.frequencies[0] = 0.8;
    cr_assert_eq(solved_limit(&f, SM_LIMIT_LOWEST_OUTPUT).state, SM_LIMIT_NO_RANGE);
}

/* Below 1 Hz the margin is the hold's: so is the limit. */
Test(limits, below_one_hertz_follow_the_zero_speed_hold)
{
    struct fixture f;
    struct sm_result result;
    fixture_warm(&f);
    f.frequencies[0] = 0.5;
    f.drive.cooling.ambient = 290.0;
    solved_run(&f, &result);
    cr_assert(result.points[0].hold_governs);
    sm_result_release(&result);
    for (int id = 0; id < SM_LIMIT_LOWEST_OUTPUT; id++) {
        const struct sm_limit limit = solved_limit(&f, (enum sm_limit_id)id);
        verify(&f, (enum sm_limit_id)id, &limit);
        NEAR(limit.set_by_hz, 0.5, 0.0);
    }
}

/* One frequency is worst now and another at the limit: the strictest of each alone counts, in
 * whatever order they stand.  With the fan load both take the no-load current now, and a small
 * diode makes 30 Hz the worst; with more load the current grows at 60 Hz first. */
Test(limits, are_the_strictest_of_all_test_frequencies)
{
    for (int k = 0; k < 4; k++) {
        const bool fan = k / 2 == 1;
        const double hz[2] = { k % 2 == 0 ? 30.0 : 60.0, k % 2 == 0 ? 60.0 : 30.0 };
        struct fixture f;
        struct sm_result result;
        fixture_warm(&f);
        f.drive.load.torque = fan ? SM_TORQUE_FAN : SM_TORQUE_CONSTANT;
        if (fan) {
            f.drive.test.load = 0.5;
            f.drive.load.no_load_current = 60.0;
            f.foster_r[1][0] = 0.9;
        }
        for (int id = 0; id < SM_LIMIT_LOWEST_OUTPUT; id++) {
            struct sm_limit alone[2];
            f.frequencies[0] = hz[0];
            f.frequencies[1] = hz[1];
            f.drive.test.frequencies.n = 2;
            if (fan && id == SM_LIMIT_LOAD_CURRENT) {
                solved_run(&f, &result);
                NEAR(result.points[result.worst_point].output_hz, 30.0, 0.0);
                sm_result_release(&result);
            }
            const struct sm_limit both = solved_limit(&f, (enum sm_limit_id)id);
            f.drive.test.frequencies.n = 1;
            for (int i = 0; i < 2; i++) {
                f.frequencies[0] = hz[i];
                alone[i] = solved_limit(&f, (enum sm_limit_id)id);
            }
            const struct sm_limit *strict = &alone[alone[1].value < alone[0].value];
            NEAR_REL(both.value, strict->value, 2e-5);
            NEAR(both.set_by_hz, strict->set_by_hz, 0.0);
        }
    }
}

/* A value now that is beyond the range, 8 mm of layer or 1.2 MHz, is as good a start as any. */
Test(limits, a_value_outside_the_range_has_the_same_limit)
{
    static const struct {
        enum sm_limit_id id;
        double outside;
    } rows[] = { { SM_LIMIT_JOINT_THICKNESS, 8e-3 },
                 { SM_LIMIT_JOINT_THICKNESS, 0.5e-6 },
                 { SM_LIMIT_SWITCHING, 1.2e6 },
                 { SM_LIMIT_SWITCHING, 50.0 },
                 { SM_LIMIT_AMBIENT, 200.0 } };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        struct fixture f;
        fixture_warm(&f);
        const struct sm_limit limit = solved_limit(&f, rows[i].id);
        type_in(&f, rows[i].id, rows[i].outside);
        const struct sm_limit again = solved_limit(&f, rows[i].id);
        cr_assert_eq(again.state, SM_LIMIT_FOUND, "%zu", i);
        NEAR_REL(again.value, limit.value, 2e-5);
        verify(&f, rows[i].id, &again);
    }
}

/* Losses that rise steeply above 100 degC: equilibrium is lost there, with the margin still well
 * above the required one.  The edge is told as such; it is an edge of the case solved anew. */
Test(limits, where_equilibrium_ends_first_the_edge_is_the_limit)
{
    struct fixture f;
    struct sm_result result;
    fixture_make(&f);
    fixture_steepen(&f);
    const struct sm_limit limit = solved_limit(&f, SM_LIMIT_RTH_SA);
    cr_assert_eq(limit.state, SM_LIMIT_FOUND);
    cr_assert(limit.runaway_beyond);
    f.drive.cooling.rth_sa = limit.value * (1.0 - 1e-4);
    solved_run(&f, &result);
    cr_assert_not(result.runaway);
    cr_assert_gt(result.margin, REQUIRED + 10.0);
    sm_result_release(&result);
    f.drive.cooling.rth_sa = limit.value * (1.0 + 1e-4);
    solved_run(&f, &result);
    cr_assert(result.runaway);
    sm_result_release(&result);
}

/* A case that runs away as it is has limits too: what would have to be less. */
Test(limits, of_a_case_that_runs_away_are_told)
{
    struct fixture f;
    struct sm_result result;
    fixture_warm(&f);
    f.drive.cooling.rth_sa = 2.0;
    solved_run(&f, &result);
    cr_assert(result.runaway);
    sm_result_release(&result);
    static const enum sm_limit_id ids[] = { SM_LIMIT_LOAD_CURRENT, SM_LIMIT_RTH_SA };
    for (size_t k = 0; k < 2; k++) {
        const struct sm_limit limit = solved_limit(&f, ids[k]);
        verify(&f, ids[k], &limit);
    }
}

Test(limits, are_not_there_before_they_are_asked_for)
{
    struct fixture f;
    struct sm_result result;
    fixture_warm(&f);
    solved_run(&f, &result);
    for (int id = 0; id < SM_LIMIT_COUNT; id++)
        cr_assert_eq(result.limits[id].state, SM_LIMIT_NOT_COMPUTED);
    sm_result_release(&result);
}

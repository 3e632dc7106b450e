/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Overload: closed forms where losses do not follow temperature (the sink is then an exponential
 * and the junction stands a fixed way above it), and the rules for what is told.  The second
 * calculation (test_reference.c) marches the same definition with another solver. */
#include "solve/overload.h"

#include "base/maths.h"
#include "support/fixture.h"
#include "support/near.h"
#include "support/solved.h"
#include "swapmargin/engine.h"

#include <criterion/criterion.h>

#define CAPACITY 5000.0 /* J/K */
#define SHARE 1.5       /* 1    of output_current */
#define LASTS 60.0      /* s */

static void overload_fixture(struct fixture *f)
{
    fixture_make(f);
    f->drive.rating.overload_current = (struct sm_optional){ .given = true, .value = SHARE };
    f->drive.rating.overload_time = (struct sm_optional){ .given = true, .value = LASTS };
    f->drive.cooling.sink_capacity = (struct sm_optional){ .given = true, .value = CAPACITY };
}

/* Both settled states at 60 Hz, at the test load and at the overload current. */
static void settled(const struct fixture *f, struct sm_point *start, struct sm_point *end)
{
    struct fixture copy = *f;
    struct sm_result result;
    fixture_link(&copy);
    solved_run(&copy, &result);
    *start = result.points[1];
    sm_result_release(&result);
    copy.drive.test.load = SHARE;
    solved_run(&copy, &result);
    *end = result.points[1];
    sm_result_release(&result);
}

static bool has(const struct sm_notes *notes, enum sm_note_id id)
{
    for (size_t i = 0; i < notes->count; i++)
        if (notes->list[i].id == id)
            return true;
    return false;
}

Test(overload, rises_from_the_test_load_s_sink_along_the_exponential)
{
    struct fixture f;
    struct sm_point start, end;
    struct sm_result result;
    overload_fixture(&f);
    settled(&f, &start, &end);
    solved_run(&f, &result);
    cr_assert_eq(result.n_overload, 2);
    const struct sm_overload *o = &result.overload[1];
    const double left = exp(-LASTS / (0.03 * CAPACITY)); /* R_sa C */
    const double sink = end.t_sink + (start.t_sink - end.t_sink) * left;
    NEAR(o->output_hz, 60.0, 0.0);
    NEAR(o->i_drive, SHARE * 77.0, 1e-9);
    NEAR(o->t_sink, sink, 1e-4);
    NEAR(o->tvj_max, sink + end.chip[end.worst].tvj_max - end.t_sink, 1e-4);
    NEAR(o->margin, 423.15 - o->tvj_max, 1e-9);
    cr_assert_not(o->allowed_time.given || o->runaway || o->sink_settled);
    sm_result_release(&result);
}

/* The highest allowed junction put where the exponential is after 20 s: it may last 20 s. */
Test(overload, that_does_not_fit_tells_how_long_it_may_last_and_rejects)
{
    struct fixture f;
    struct sm_point start, end;
    struct sm_result result;
    overload_fixture(&f);
    settled(&f, &start, &end);
    const double sink = end.t_sink + (start.t_sink - end.t_sink) * exp(-20.0 / (0.03 * CAPACITY));
    f.module.tvj_op_max = sink + end.chip[end.worst].tvj_max - end.t_sink;
    f.drive.test.required_margin = 0.0;
    solved_run(&f, &result);
    cr_assert(result.overload[1].allowed_time.given);
    NEAR(result.overload[1].allowed_time.value, 20.0, 0.01); /* 1e-4 K over the slope, 0.1 K/s */
    cr_assert_gt(result.overload[1].tvj_max, f.module.tvj_op_max);
    const struct sm_check *check = &result.checks[SM_CHECK_OVERLOAD];
    cr_assert_eq(check->result, SM_CHECK_FAIL);
    NEAR(check->limit.value, f.module.tvj_op_max, 0.0);
    cr_assert_eq(result.verdict, SM_REJECT);
    cr_assert(has(&result.reasons, SM_NOTE_OVERLOAD_HOT));
    sm_result_release(&result);
}

/* However little it is too hot at its end, how long it may last is told: the exponential's time at
 * which the sink is 0.05 K below where it ends. */
Test(overload, that_is_hardly_too_hot_lasts_nearly_to_its_end)
{
    struct fixture f;
    struct sm_point start, end;
    struct sm_result result;
    overload_fixture(&f);
    settled(&f, &start, &end);
    solved_run(&f, &result);
    const double last = result.overload[1].t_sink;
    f.module.tvj_op_max = result.overload[1].tvj_max - 0.05;
    sm_result_release(&result);
    solved_run(&f, &result);
    const double tau = 0.03 * CAPACITY;
    const double left = (end.t_sink - last + 0.05) / (end.t_sink - start.t_sink);
    cr_assert(result.overload[1].allowed_time.given);
    NEAR(result.overload[1].allowed_time.value, -tau * log(left), 0.01);
    sm_result_release(&result);
}

Test(overload, that_is_too_hot_at_once_may_not_last_at_all)
{
    struct fixture f;
    struct sm_point start, end;
    struct sm_result result;
    overload_fixture(&f);
    settled(&f, &start, &end);
    f.module.tvj_op_max = start.t_sink + end.chip[end.worst].tvj_max - end.t_sink - 0.1;
    solved_run(&f, &result);
    cr_assert(result.overload[1].allowed_time.given);
    NEAR(result.overload[1].allowed_time.value, 0.0, 0.0);
    cr_assert(has(&result.reasons, SM_NOTE_OVERLOAD_HOT_AT_ONCE));
    sm_result_release(&result);
}

Test(overload, that_fits_is_no_condition_and_its_row_tells_the_hottest_frequency)
{
    struct fixture f;
    struct sm_result result;
    overload_fixture(&f);
    f.drive.rating.overload_current.value = 1.1;
    solved_run(&f, &result);
    const struct sm_check *check = &result.checks[SM_CHECK_OVERLOAD];
    cr_assert_eq(check->result, SM_CHECK_PASS);
    NEAR(check->value.value, fmax(result.overload[0].tvj_max, result.overload[1].tvj_max), 0.0);
    cr_assert_eq(result.reasons.count, 0);
    for (size_t i = 0; i < result.conditions.count; i++)
        cr_assert_neq(result.conditions.list[i].id, SM_NOTE_OVERLOAD_FITS);
    sm_result_release(&result);
}

Test(overload, without_capacity_is_judged_over_the_settled_sink)
{
    struct fixture f;
    struct sm_point start, end;
    struct sm_result result;
    overload_fixture(&f);
    f.drive.cooling.sink_capacity.given = false;
    settled(&f, &start, &end);
    solved_run(&f, &result);
    const struct sm_overload *o = &result.overload[1];
    cr_assert(o->sink_settled);
    NEAR(o->t_sink, end.t_sink, 1e-4);
    NEAR(o->tvj_max, end.chip[end.worst].tvj_max, 1e-4);
    f.module.tvj_op_max = o->tvj_max - 1.0;
    sm_result_release(&result);
    solved_run(&f, &result);
    cr_assert_not(result.overload[1].allowed_time.given, "not known");
    cr_assert(has(&result.reasons, SM_NOTE_OVERLOAD_HOT_SETTLED));
    sm_result_release(&result);
}

/* The safe side: however long, the march ends below the settled sink, and a long one at it. */
Test(overload, settled_sink_is_what_a_long_overload_ends_at)
{
    struct fixture f;
    struct sm_result result, safe;
    overload_fixture(&f);
    f.drive.cooling.sink_capacity.given = false;
    solved_run(&f, &safe);
    f.drive.cooling.sink_capacity.given = true;
    for (double lasts = 1.0; lasts < 1e4; lasts *= 4.0) {
        f.drive.rating.overload_time.value = lasts;
        solved_run(&f, &result);
        cr_assert_leq(result.overload[1].tvj_max, safe.overload[1].tvj_max + 1e-4);
        if (lasts > 20.0 * 0.03 * CAPACITY)
            NEAR(result.overload[1].tvj_max, safe.overload[1].tvj_max, 1e-4);
        sm_result_release(&result);
    }
    sm_result_release(&safe);
}

/* Its current is a share of the rated one, whatever the load curve says. */
Test(overload, follows_neither_test_load_nor_fan_curve_in_its_current)
{
    struct fixture f;
    struct sm_result constant, fan;
    overload_fixture(&f);
    f.drive.cooling.sink_capacity.given = false;
    solved_run(&f, &constant);
    f.drive.load.torque = SM_TORQUE_FAN;
    f.drive.test.load = 0.4;
    solved_run(&f, &fan);
    for (size_t i = 0; i < 2; i++)
        NEAR(fan.overload[i].tvj_max, constant.overload[i].tvj_max, 1e-4);
    sm_result_release(&constant);
    sm_result_release(&fan);
}

/* Two modules in parallel for twice the current on a sink twice as good and heavy: each module
 * lives as one alone does. */
Test(overload, twice_of_everything_in_parallel_changes_no_temperature)
{
    struct fixture one, two;
    struct sm_result a, b;
    overload_fixture(&one);
    overload_fixture(&two);
    two.drive.rating.parallel = 2;
    two.drive.rating.output_current *= 2.0;
    two.drive.cooling.rth_sa *= 0.5;
    two.drive.cooling.sink_capacity.value *= 2.0;
    solved_run(&one, &a);
    solved_run(&two, &b);
    for (size_t i = 0; i < 2; i++)
        NEAR(b.overload[i].tvj_max, a.overload[i].tvj_max, 1e-4);
    sm_result_release(&a);
    sm_result_release(&b);
}

Test(overload, not_given_is_not_checked)
{
    struct fixture f;
    struct sm_result result;
    fixture_make(&f);
    solved_run(&f, &result);
    cr_assert_eq(result.n_overload, 0);
    cr_assert_eq(result.checks[SM_CHECK_OVERLOAD].result, SM_CHECK_NOT_CHECKED);
    sm_result_release(&result);
}

/* Losses that follow temperature and a sink that carries the test load but not the overload: the
 * sink leaves for good.  With time enough that is runaway, a result that fails; told is when the
 * junction passes its limit, which is before. */
Test(overload, runaway_is_a_result_that_fails_and_tells_when)
{
    struct fixture f;
    struct sm_result result;
    overload_fixture(&f);
    for (int j = 0; j < 2; j++) {
        f.v_igbt[1][j] *= 1.6;
        f.v_diode[1][j] *= 1.6;
    }
    f.drive.cooling.rth_sa = 0.08;
    f.drive.rating.overload_current.value = 2.0;
    f.drive.rating.overload_time.value = 3600.0;
    f.module.tvj_op_max = 523.15;
    solved_run(&f, &result);
    cr_assert_not(result.runaway);
    const struct sm_overload *o = &result.overload[1];
    cr_assert(o->runaway);
    cr_assert(o->allowed_time.given);
    cr_assert(o->allowed_time.value > 0.0 && o->allowed_time.value < 3600.0, "%g s",
              o->allowed_time.value);
    const double allowed = o->allowed_time.value;
    cr_assert_eq(result.checks[SM_CHECK_OVERLOAD].result, SM_CHECK_FAIL);
    cr_assert_not(result.checks[SM_CHECK_OVERLOAD].value.given);
    cr_assert_eq(result.verdict, SM_REJECT);
    sm_result_release(&result);
    /* asked for just that long, it fits just so */
    f.drive.rating.overload_time.value = allowed;
    solved_run(&f, &result);
    NEAR(result.overload[1].tvj_max, f.module.tvj_op_max, 2e-3); /* of the march */
    sm_result_release(&result);
}

Test(overload, from_a_test_frequency_without_equilibrium_has_no_start)
{
    struct fixture f;
    struct sm_result result;
    overload_fixture(&f);
    for (int j = 0; j < 2; j++)
        f.v_igbt[1][j] *= 1.6;
    f.drive.cooling.rth_sa = 2.0;
    solved_run(&f, &result);
    cr_assert(result.runaway && result.overload[0].runaway);
    cr_assert_not(result.overload[0].allowed_time.given);
    sm_result_release(&result);
}

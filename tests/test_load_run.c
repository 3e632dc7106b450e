/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "solve/load_run.h"

#include "solve/held_point.h"
#include "solve/hold.h"
#include "solve/stage.h"
#include "solve/test_point.h"
#include "support/fixture.h"
#include "support/near.h"
#include "swapmargin/engine.h"

#include <criterion/criterion.h>

#define CAPACITY 9500.0 /* J/K */

/* One case, run, and what a load run needs of it. */
struct bench {
    struct fixture f;
    struct sm_result result;
    struct arena arena, scratch;
    struct stage stage;
};

static void bench_open(struct bench *b)
{
    fixture_make(&b->f);
    b->f.drive.cooling.sink_capacity = (struct sm_optional){ .given = true, .value = CAPACITY };
    b->f.drive.test.duration = 3600.0;
    b->f.drive.test.balance_limit = 0.05;
}

static void bench_run(struct bench *b)
{
    arena_init(&b->arena);
    arena_init(&b->scratch);
    sm_result_init(&b->result);
    cr_assert_eq(sm_run(&b->f.c, &b->result, NULL), SM_OK);
    b->stage = stage_build(&b->arena, &b->f.c);
}

static void bench_close(struct bench *b)
{
    sm_result_release(&b->result);
    arena_release(&b->scratch);
    arena_release(&b->arena);
}

static struct sm_load_run run_of(struct bench *b, size_t point, struct load_run_start *start)
{
    struct sm_load_run run;
    cr_assert_eq(
        load_run_solve(&b->scratch, &b->stage, &b->f.drive, &b->result.points[point], start, &run),
        SM_OK);
    return run;
}

/* Losses of the fixture do not depend on temperature: the sink is the exponential of any RC, from
 * ambient, with tau = R C, and every other temperature stands at its own constant rise over it. */
Test(load_run, constant_losses_give_the_exponential_and_constant_rises)
{
    struct bench b;
    bench_open(&b);
    bench_run(&b);
    const struct sm_point *settled = &b.result.points[1];
    struct load_run_start start = { .t_sink = b.f.drive.cooling.ambient };
    const struct sm_load_run run = run_of(&b, 1, &start);
    const double tau = CAPACITY * b.stage.path.rth_sa, t_a = b.f.drive.cooling.ambient;
    cr_assert_eq(run.n_readings, SM_READINGS);
    for (size_t i = 0; i < SM_READINGS; i++) {
        const struct sm_reading *r = &run.reading[i];
        const double way = 1.0 - exp(-run.minute[i] / tau);
        NEAR(r->t_sink, t_a + (settled->t_sink - t_a) * way, 1e-3);
        NEAR(r->share, way, 1e-4);
        NEAR(r->t_case[SM_IGBT] - r->t_sink, settled->chip[SM_IGBT].t_case - settled->t_sink, 1e-4);
        NEAR(r->tvj_max - r->t_sink, settled->chip[settled->worst].tvj_max - settled->t_sink, 1e-4);
    }
    NEAR(start.t_sink, run.reading[SM_READINGS - 1].t_sink, 1e-9);
    bench_close(&b);
}

/* Two standard deviations of 5 % of the rise over ambient and of a meter's 1 K, as squares; each at
 * its own temperature.  The phases may differ by 5 % of 77 A. */
Test(load_run, every_reading_has_its_own_band)
{
    struct bench b;
    bench_open(&b);
    bench_run(&b);
    const double t_a = b.f.drive.cooling.ambient;
    struct load_run_start start = { .t_sink = t_a };
    const struct sm_load_run run = run_of(&b, 1, &start);
    for (size_t i = 0; i <= SM_READINGS; i++) {
        const struct sm_reading *r = i < SM_READINGS ? &run.reading[i] : &run.settled;
        NEAR(r->sink_band, 2.0 * hypot(0.05 * (r->t_sink - t_a), 1.0), 1e-9);
        for (int k = 0; k < SM_CHIP_COUNT; k++)
            NEAR(r->case_band[k], 2.0 * hypot(0.05 * (r->t_case[k] - t_a), 1.0), 1e-9);
    }
    NEAR(run.output_hz, 60.0, 0.0);
    NEAR(run.i_drive, 77.0, 1e-12);
    NEAR(run.imbalance, 0.05 * 77.0, 1e-12);
    NEAR(run.v_dc, 648.0, 1e-12);
    NEAR(run.settled.share, 1.0, 0.0);
    bench_close(&b);
}

/* The same, turned about: the sink that stands at the limit is the limit less the junction's rise
 * over it. */
Test(load_run, stops_where_the_junction_is_at_its_limit)
{
    struct bench b;
    bench_open(&b);
    bench_run(&b);
    const struct sm_point *settled = &b.result.points[0];
    struct load_run_start start = { .t_sink = b.f.drive.cooling.ambient };
    const struct sm_load_run run = run_of(&b, 0, &start);
    const double rise = settled->chip[settled->worst].tvj_max - settled->t_sink;
    cr_assert_eq(run.stop_sink.untold, SM_TOLD);
    NEAR(run.stop_sink.value, b.f.module.tvj_op_max - rise, 1e-3);
    NEAR(run.stop_case[SM_IGBT].value - run.stop_sink.value,
         settled->chip[SM_IGBT].t_case - settled->t_sink, 1e-4);
    bench_close(&b);
}

/* A sink of no resistance stands at ambient: there is no way to go, and so all of it is gone. */
Test(load_run, a_sink_that_stays_at_ambient_has_gone_all_its_way)
{
    struct bench b;
    bench_open(&b);
    b.f.drive.cooling.rth_sa = 1e-300;
    bench_run(&b);
    struct load_run_start start = { .t_sink = b.f.drive.cooling.ambient };
    const struct sm_load_run run = run_of(&b, 0, &start);
    cr_assert_gt(run.n_readings, (size_t)0);
    for (size_t i = 0; i < run.n_readings; i++)
        NEAR(run.reading[i].share, 1.0, 0.0);
    bench_close(&b);
}

/* No sink above ambient is cool enough: the limit is set half a kelvin below what the junction has
 * over a sink at ambient. */
Test(load_run, too_hot_from_ambient_has_no_reading_to_stop_at)
{
    struct bench b;
    bench_open(&b);
    bench_run(&b);
    const struct sm_point *settled = &b.result.points[0];
    const double rise = settled->chip[settled->worst].tvj_max - settled->t_sink;
    b.stage.tvj_op_max = b.f.drive.cooling.ambient + rise - 0.5;
    struct load_run_start start = { .t_sink = b.f.drive.cooling.ambient };
    const struct sm_load_run run = run_of(&b, 0, &start);
    cr_expect_eq(run.stop_sink.untold, SM_UNTOLD_HOT_FROM_AMBIENT);
    cr_expect_eq(run.stop_case[SM_DIODE].untold, SM_UNTOLD_HOT_FROM_AMBIENT);
    bench_close(&b);
}

Test(load_run, the_next_run_starts_with_the_sink_of_the_one_before)
{
    struct bench b;
    bench_open(&b);
    bench_run(&b);
    struct load_run_start start = { .t_sink = b.f.drive.cooling.ambient };
    const struct sm_load_run first = run_of(&b, 0, &start), second = run_of(&b, 1, &start);
    NEAR(second.reading[0].t_sink, first.reading[SM_READINGS - 1].t_sink, 1e-9);
    bench_close(&b);
}

Test(load_run, minutes_are_sixtieths_of_the_duration)
{
    struct bench b;
    bench_open(&b);
    b.f.drive.test.duration = 600.0;
    bench_run(&b);
    struct load_run_start start = { .t_sink = b.f.drive.cooling.ambient };
    const struct sm_load_run run = run_of(&b, 0, &start);
    NEAR(run.minute[1], 10.0, 1e-12);
    NEAR(run.minute[SM_READINGS - 1], 600.0, 1e-12);
    bench_close(&b);
}

Test(load_run, without_sink_capacity_only_the_settled_state_is_told)
{
    struct bench b;
    bench_open(&b);
    b.f.drive.cooling.sink_capacity.given = false;
    bench_run(&b);
    struct load_run_start start = { .t_sink = b.f.drive.cooling.ambient };
    const struct sm_load_run run = run_of(&b, 0, &start);
    cr_expect_eq(run.untold, SM_UNTOLD_NO_SINK_CAPACITY);
    cr_expect_eq(run.n_readings, 0);
    cr_expect_eq(run.settled_untold, SM_TOLD);
    NEAR(run.settled.t_sink, b.result.points[0].t_sink, 1e-12);
    cr_expect_eq(run.stop_sink.untold, SM_TOLD);
    bench_close(&b);
}

/* Losses that rise this steeply have no equilibrium; a cold sink takes a while to get there.
 */
Test(load_run, a_runaway_ends_the_readings_and_leaves_the_next_run_without_a_start)
{
    struct bench b;
    bench_open(&b);
    for (int j = 0; j < 2; j++) {
        b.f.v_igbt[1][j] *= 7.0;
        b.f.v_diode[1][j] *= 7.0;
    }
    bench_run(&b);
    cr_assert(b.result.points[0].runaway);
    struct load_run_start start = { .t_sink = 273.15 };
    b.f.drive.cooling.ambient = 273.15;
    b.stage.path.t_base = 273.15;
    const struct sm_load_run first = run_of(&b, 0, &start);
    cr_expect_eq(first.settled_untold, SM_UNTOLD_RUNAWAY);
    cr_expect_eq(first.untold, SM_UNTOLD_RUNAWAY);
    cr_expect_geq(first.n_readings, 1);
    cr_expect_lt(first.n_readings, SM_READINGS);
    cr_expect_eq(start.untold, SM_UNTOLD_RUN_BEFORE);
    const struct sm_load_run second = run_of(&b, 1, &start);
    cr_expect_eq(second.untold, SM_UNTOLD_RUN_BEFORE);
    cr_expect_eq(second.n_readings, 0);
    bench_close(&b);
}

/* Two independent deviations, 5 % of 40 K and 1 K, make sqrt(2^2 + 1^2) = 2.236 K; twice that. */
Test(load_run, bands_add_model_and_meter_as_squares)
{
    NEAR(reading_band(40.0), 4.472136, 1e-6);
    NEAR(reading_band(0.0), 2.0, 1e-12);
    NEAR(reading_band(-40.0), reading_band(40.0), 1e-12);
}

/* Below 1 Hz the hold over the same sink counts where it is worse: with no losses from leads both
 * chips of the hot leg settle at t + R_joint P_leg + R_jc P, worked out here from the hold's own
 * watts. */
Test(load_run, below_one_hertz_the_hold_over_the_same_sink_counts)
{
    struct bench b;
    bench_open(&b);
    b.f.frequencies[0] = 0.5;
    bench_run(&b);
    struct held_point held;
    struct arena hold;
    struct sm_point point;
    arena_init(&hold);
    cr_assert_eq(held_point_open(&b.scratch, &hold, &b.stage, &b.f.drive, 0.5, &held), SM_OK);
    cr_assert_eq(held_point_solve(&held, 330.0, &point), SM_OK);
    cr_assert(point.hold_governs);
    const struct sm_hold *h = &b.result.hold; /* watts do not depend on temperature here */
    const double joint = b.result.joint.rth_module, i = h->current;
    const double leg = h->power[SM_IGBT] + h->power[SM_DIODE] + b.f.module.lead_resistance * i * i;
    const double jc = b.f.foster_r[SM_IGBT][0];
    NEAR(point.chip[SM_IGBT].tvj_max,
         330.0 + joint * (leg + b.f.drive.cooling.same_case_heat) + jc * h->power[SM_IGBT], 1e-3);
    arena_release(&hold);
    bench_close(&b);
}

/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "solve/sink_time.h"

#include "solve/stage.h"
#include "support/fixture.h"
#include "support/near.h"
#include "swapmargin/input.h"

#include <criterion/criterion.h>

#define CAPACITY 9500.0 /* J/K */
#define AMBIENT 313.15  /* K, the fixture's */
#define RTH_SA 0.03     /* K/W, the fixture's */

/* A stage of one case and the arena its solutions use up. */
struct bench {
    struct fixture f;
    struct arena arena, scratch;
    struct stage stage;
    struct operating_point point;
    struct chip_state chips[SM_CHIP_COUNT];
};

/* warmer: by how much losses are higher at 150 than at 25 degC, straight in between. */
static void bench_open(struct bench *b, double warmer)
{
    fixture_make(&b->f);
    for (int j = 0; j < 2; j++) {
        b->f.v_igbt[1][j] *= 1.0 + warmer;
        b->f.v_diode[1][j] *= 1.0 + warmer;
        b->f.e_on[1][j] *= 1.0 + warmer;
        b->f.e_off[1][j] *= 1.0 + warmer;
        b->f.e_rr[1][j] *= 1.0 + warmer;
    }
    arena_init(&b->arena);
    arena_init(&b->scratch);
    b->stage = stage_build(&b->arena, &b->f.c);
    b->point = operating_point_at(&b->f.drive, 60.0, 1.0);
    cr_assert_eq(electrothermal_prepare(&b->arena, &b->stage, &b->point, b->chips), SM_OK);
}

static void bench_close(struct bench *b)
{
    arena_release(&b->scratch);
    arena_release(&b->arena);
}

/* W: all heat into a held sink, from the solver itself. */
static double heat_at(struct bench *b, double t_sink)
{
    struct sm_point solved;
    arena_clear(&b->scratch);
    cr_assert_eq(electrothermal_solve(&b->scratch, &b->stage, &b->point, &t_sink, &solved, NULL),
                 SM_OK);
    cr_assert_not(solved.runaway);
    return solved.sink_heat;
}

static struct sink_time sink_from(struct bench *b, double t_start, double duration)
{
    const struct sink_run run = { .capacity = CAPACITY, .t_start = t_start, .duration = duration };
    return sink_time_start(&b->stage, &b->point, b->chips, &run);
}

static double marched(struct bench *b, double t_start, double time)
{
    struct sink_time sink = sink_from(b, t_start, time);
    sink_time_march(&sink, time, NULL);
    cr_assert_not(sink.runaway);
    NEAR(sink.time, time, 1e-6);
    return sink.t_sink;
}

/* Losses that go straight with temperature make the heat straight over the sink: C dT/dt = a (T -
 * e), slope a and place e of no net heat taken from two solutions.  Closed form of that: e + (start
 * - e) exp(a t / C).  a > 0: it runs away from e. */
struct straight {
    double slope, settled; /* W/K, K */
};

static struct straight straight_of(struct bench *b)
{
    const double low = heat_at(b, 320.0), high = heat_at(b, 380.0);
    const double rises = (high - low) / 60.0;
    const double slope = rises - 1.0 / b->stage.path.rth_sa;
    const double net = low - (320.0 - AMBIENT) / b->stage.path.rth_sa;
    return (struct straight){ .slope = slope, .settled = 320.0 - net / slope };
}

static double closed_form(const struct straight *s, double start, double time)
{
    return s->settled + (start - s->settled) * exp(s->slope * time / CAPACITY);
}

/* 1e-4 K: the rule's own error is below 1e-6 K, the two solutions of the closed form are good to
 * 1e-5 K. */
Test(sink_time, is_the_exponential_when_losses_go_straight_with_temperature)
{
    static const double warmer[] = { 0.0, 0.3 },
                        times[] = { 0.0, 1.0, 60.0, 285.0, 3600.0, 86400.0 };
    for (size_t w = 0; w < 2; w++) {
        struct bench b;
        bench_open(&b, warmer[w]);
        const struct straight s = straight_of(&b);
        for (size_t k = 0; k < sizeof times / sizeof times[0]; k++) {
            NEAR(marched(&b, AMBIENT, times[k]), closed_form(&s, AMBIENT, times[k]), 1e-4);
            NEAR(marched(&b, 400.0, times[k]), closed_form(&s, 400.0, times[k]), 1e-4); /* cools */
            NEAR(marched(&b, s.settled, times[k]), s.settled, 1e-4);
        }
        bench_close(&b);
    }
}

Test(sink_time, in_steps_is_where_it_is_at_once)
{
    struct bench b;
    bench_open(&b, 0.3);
    struct sink_time sink = sink_from(&b, AMBIENT, 3600.0);
    for (double minute = 0.0; minute <= 60.0; minute += 1.0)
        sink_time_march(&sink, 60.0 * minute, NULL);
    NEAR(sink.t_sink, marched(&b, AMBIENT, 3600.0), 1e-5); /* other steps of the same rule */
    NEAR(sink.time, 3600.0, 1e-9);
    bench_close(&b);
}

/* The time to a temperature: the closed form solved for it. */
Test(sink_time, stops_at_a_temperature_at_its_time)
{
    struct bench b;
    bench_open(&b, 0.3);
    const struct straight s = straight_of(&b);
    static const double shares[] = { 0.0, 0.01, 0.3, 0.9, 0.99 };
    for (size_t k = 0; k < sizeof shares / sizeof shares[0]; k++) {
        const double stop = AMBIENT + shares[k] * (s.settled - AMBIENT);
        struct sink_time sink = sink_from(&b, AMBIENT, 86400.0);
        sink_time_march(&sink, 86400.0, &stop);
        NEAR(sink.t_sink, stop, 1e-9);
        NEAR(sink.time, log(1.0 - shares[k]) * CAPACITY / s.slope, 0.01);
    }
    bench_close(&b);
}

/* The sink carries less than the losses rise: it leaves for the runaway of the chips, along the
 * closed form, and the march ends where no equilibrium is left. */
Test(sink_time, runaway_ends_the_march_and_tells_when)
{
    struct bench b;
    bench_open(&b, 0.3);
    b.stage.path.rth_sa = 1.0;
    const struct straight s = straight_of(&b);
    cr_assert(s.slope > 0.0, "gain of the loop above 1");
    struct sink_time sink = sink_from(&b, AMBIENT, 86400.0);
    sink_time_march(&sink, 86400.0, NULL);
    cr_assert(sink.runaway);
    NEAR(sink.t_sink, closed_form(&s, AMBIENT, sink.time), 0.05);
    /* 400 degC at the junction is the end: just below the sink is well, just above it is not */
    (void)heat_at(&b, sink.t_sink - 0.02);
    struct sm_point hotter;
    const double above = sink.t_sink + 0.02;
    cr_assert_eq(electrothermal_solve(&b.scratch, &b.stage, &b.point, &above, &hotter, NULL),
                 SM_OK);
    cr_assert(hotter.runaway);
    const double end = sink.time;
    sink_time_march(&sink, 2e5, NULL);
    NEAR(sink.time, end, 0.0);
    bench_close(&b);
}

/* However fast it leaves: a step of the rule may then be much longer than a piece.  The time to a
 * temperature is the closed form's. */
Test(sink_time, a_fast_runaway_passes_each_temperature_in_its_time)
{
    static const double resistances[] = { 1.0, 5.0, 20.0 }; /* K/W */
    for (size_t k = 0; k < sizeof resistances / sizeof resistances[0]; k++) {
        struct bench b;
        bench_open(&b, 0.6);
        b.stage.path.rth_sa = resistances[k];
        const struct straight s = straight_of(&b);
        cr_assert_gt(s.slope, 0.0);
        for (double stop = AMBIENT + 1.0; stop < 470.0; stop += 13.0) {
            struct sink_time sink = sink_from(&b, AMBIENT, 86400.0);
            sink_time_march(&sink, 86400.0, &stop);
            NEAR(sink.t_sink, stop, 1e-9);
            NEAR_REL(sink.time,
                     CAPACITY / s.slope * log((stop - s.settled) / (AMBIENT - s.settled)),
                     1e-4); /* 1e-5 K in the two solutions of the closed form, over 10 K and more */
        }
        bench_close(&b);
    }
}

/* The same where the heat bends on its way: against the time as an integral, C dT / net heat, by
 * the trapezoidal rule over solutions 0.25 K apart (its error goes with the square: 1e-4 of the
 * time). */
Test(sink_time, a_fast_runaway_through_a_bend_takes_the_integral_s_time)
{
    struct bench b;
    bench_open(&b, 0.0);
    double steep[3][2];
    struct sm_row rows[3];
    for (int k = 0; k < 3; k++) {
        static const double at[3] = { 298.15, 373.15, 423.15 }, times[3] = { 1.0, 1.05, 2.5 };
        for (int j = 0; j < 2; j++)
            steep[k][j] = times[k] * b.f.v_igbt[0][j];
        rows[k] = (struct sm_row){ .at = at[k], .values = { .v = steep[k], .n = 2 } };
    }
    b.f.module.igbt_conduction.voltage = (struct sm_rows){ .row = rows, .n = 3 };
    arena_clear(&b.arena);
    b.stage = stage_build(&b.arena, &b.f.c);
    b.stage.path.rth_sa = 20.0;
    cr_assert_eq(electrothermal_prepare(&b.arena, &b.stage, &b.point, b.chips), SM_OK);
    double time = 0.0, last = CAPACITY / heat_at(&b, AMBIENT);
    for (int k = 1; k <= 400; k++) {
        const double t = AMBIENT + 0.25 * k;
        const double slowness = CAPACITY / (heat_at(&b, t) - (t - AMBIENT) / 20.0);
        time += 0.25 * 0.5 * (last + slowness);
        last = slowness;
        if (k % 40 != 0)
            continue;
        struct sink_time sink = sink_from(&b, AMBIENT, 86400.0);
        sink_time_march(&sink, 86400.0, &t);
        NEAR_REL(sink.time, time, 1e-4);
        cr_assert_leq(sink.source.solves, 250, "%d at %g K", sink.source.solves, t);
    }
    struct sink_time sink = sink_from(&b, AMBIENT, 86400.0);
    sink_time_march(&sink, 86400.0, NULL);
    cr_assert(sink.runaway);
    cr_assert_gt(sink.time, time);
    bench_close(&b);
}

Test(sink_time, a_start_without_equilibrium_is_runaway_at_once)
{
    struct bench b;
    bench_open(&b, 0.3);
    struct sink_time sink = sink_from(&b, 672.0, 60.0);
    sink_time_march(&sink, 60.0, NULL);
    cr_assert(sink.runaway);
    NEAR(sink.time, 0.0, 0.0);
    bench_close(&b);
}

/* A part with three temperatures a curve: the heat bends.  Against the equation itself, marched by
 * the same rule with a whole solution at every stage, 10 s a step (a fortieth of the time constant:
 * below 1e-6 K). */
Test(sink_time, follows_the_equation_itself_for_curves_that_bend)
{
    struct sm_faults faults;
    struct sm_tables tables;
    struct bench b;
    sm_faults_init(&faults);
    sm_tables_init(&tables);
    struct sm_drive drive;
    struct sm_module module;
    sm_drive_init(&drive);
    sm_module_init(&module);
    cr_assert_eq(sm_tables_load(NULL, &tables, &faults), SM_OK);
    cr_assert_eq(sm_drive_load(SM_EXAMPLES "/drive.ini", NULL, &tables, &drive, &faults), SM_OK);
    cr_assert_eq(sm_module_load(SM_EXAMPLES "/module-marginal.ini", &module, &faults), SM_OK);
    const struct sm_case c = { .drive = &drive, .module = &module };
    arena_init(&b.arena);
    arena_init(&b.scratch);
    b.stage = stage_build(&b.arena, &c);
    b.point = operating_point_at(&drive, 60.0, 1.2);
    cr_assert_eq(electrothermal_prepare(&b.arena, &b.stage, &b.point, b.chips), SM_OK);
    const double r = b.stage.path.rth_sa, t_a = b.stage.path.t_base;
    struct sink_time sink = sink_from(&b, t_a, 1200.0);
    double t = t_a;
    for (int step = 1; step <= 120; step++) {
        double k[4];
        const double at[4] = { 0.0, 0.5, 0.5, 1.0 };
        for (int i = 0; i < 4; i++) {
            const double stage = t + (i > 0 ? 10.0 * at[i] * k[i - 1] : 0.0);
            k[i] = (heat_at(&b, stage) - (stage - t_a) / r) / CAPACITY;
        }
        t += 10.0 / 6.0 * (k[0] + 2.0 * k[1] + 2.0 * k[2] + k[3]);
        sink_time_march(&sink, 10.0 * step, NULL);
        NEAR(sink.t_sink, t, 2e-3);
    }
    cr_assert_leq(sink.source.solves, 30, "%d solutions", sink.source.solves);
    bench_close(&b);
    sm_module_release(&module);
    sm_drive_release(&drive);
    sm_tables_release(&tables);
    sm_faults_release(&faults);
}

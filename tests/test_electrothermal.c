/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "solve/electrothermal.h"

#include "base/maths.h"
#include "support/fixture.h"
#include "support/near.h"
#include "support/solved.h"
#include "swapmargin/engine.h"

#include <criterion/criterion.h>

/* The same stage that the engine builds, for runs with other panels. */
static struct stage stage_of(struct arena *arena, const struct fixture *f, double widest)
{
    const struct switching_use use = { .v_dc = 648.0 };
    const struct sm_joint_result joint = joint_of(&f->drive.joint, &f->module);
    return (struct stage){
        .device = { device_build(arena, &f->module, SM_IGBT, &use),
                    device_build(arena, &f->module, SM_DIODE, &use) },
        .foster_r = { &f->module.igbt_thermal.foster_r, &f->module.diode_thermal.foster_r },
        .foster_tau = { &f->module.igbt_thermal.foster_tau, &f->module.diode_thermal.foster_tau },
        .path = { .t_base = f->drive.cooling.ambient,
                  .rth_sa = f->drive.cooling.rth_sa,
                  .modules = 3,
                  .switches = 2,
                  .rth_module = joint.rth_module },
        .tvj_op_max = f->module.tvj_op_max,
        .loss_factor = 1.0,
        .widest = widest,
    };
}

/* Conservation of energy: what the chips lose is what flows through each resistance, and each drop
 * is its resistance times that flow.  1e-4 K and W: ten times the iteration's own bound. */
Test(electrothermal, energy_balances_at_every_interface)
{
    struct fixture f;
    struct sm_result result;
    fixture_warm(&f);
    f.module.lead_resistance = 0.4e-3;
    f.drive.cooling.other_heat = 170.0;
    f.drive.cooling.same_case_heat = 9.0;
    solved_run(&f, &result);
    for (size_t i = 0; i < result.n_points; i++) {
        const struct sm_point *p = &result.points[i];
        const struct sm_chip_result *t = &p->chip[SM_IGBT], *d = &p->chip[SM_DIODE];
        NEAR(t->total, t->conduction + t->turn_on + t->turn_off, 1e-9);
        NEAR(d->total, d->conduction + d->recovery, 1e-9);
        NEAR(p->lead, 0.4e-3 * (t->i_rms * t->i_rms + d->i_rms * d->i_rms), 1e-9);
        NEAR(p->module_heat, 2.0 * (t->total + d->total + p->lead) + 9.0, 1e-9);
        NEAR(p->sink_heat, 3.0 * p->module_heat + 170.0, 1e-9);
        NEAR(p->t_sink - 313.15, 0.03 * p->sink_heat, 1e-9);
        NEAR(t->t_case - p->t_sink, 0.05 * p->module_heat, 1e-4);
        NEAR(t->tvj_mean - t->t_case, 0.2 * t->total, 1e-9);
        NEAR(d->tvj_mean - d->t_case, 0.35 * d->total, 1e-9);
        cr_assert(t->tvj_min < t->tvj_mean && t->tvj_mean < t->tvj_max);
        cr_assert(p->residual < 1e-3 && p->iterations <= 6);
    }
    /* both chips carry the whole phase current between them */
    const struct sm_point *p = &result.points[0];
    NEAR(pow(p->chip[SM_IGBT].i_rms, 2.0) + pow(p->chip[SM_DIODE].i_rms, 2.0), 77.0 * 77.0 / 2.0,
         1e-3);
    sm_result_release(&result);
}

/* Closed form.  Losses that go with temperature by the same share everywhere, p = p0 (1 + a (T -
 * T0)), and next to no ripple (a cycle far shorter than every time constant): then the mean losses
 * solve a linear system of two, here by Cramer's rule. */
Test(electrothermal, fast_cycle_equals_the_linear_system_solved_by_hand)
{
    struct fixture f;
    fixture_warm(&f);
    f.drive.rating.base_frequency = 60.0;
    struct arena arena;
    arena_init(&arena);
    const struct stage stage = stage_of(&arena, &f, PANELS_WIDEST);
    struct operating_point point = operating_point_at(&f.drive, 60.0, 1.0);
    point.output_hz = 1e5;
    struct sm_point got;
    cr_assert_eq(electrothermal_solve(&arena, &stage, &point, NULL, &got, NULL), SM_OK);

    const double share = 0.3 / 125.0; /* 1/K of the loss at 25 degC, 298.15 K */
    double p0[2];
    for (int k = 0; k < 2; k++)
        p0[k] = got.chip[k].total / (1.0 + share * (got.chip[k].tvj_mean - 298.15));
    const double common =
        0.03 * 3.0 * 2.0 + 0.05 * 2.0; /* K/W of either chip's mean on both cases */
    const double own[2] = { 0.2, 0.35 };
    double m[2][2], rhs[2];
    for (int r = 0; r < 2; r++) {
        rhs[r] = p0[r] * (1.0 + share * (313.15 - 298.15));
        for (int c = 0; c < 2; c++)
            m[r][c] = (r == c ? 1.0 : 0.0) - p0[r] * share * (common + (r == c ? own[r] : 0.0));
    }
    const double det = m[0][0] * m[1][1] - m[0][1] * m[1][0];
    NEAR(got.chip[0].total, (rhs[0] * m[1][1] - rhs[1] * m[0][1]) / det, 1e-4);
    NEAR(got.chip[1].total, (rhs[1] * m[0][0] - rhs[0] * m[1][0]) / det, 1e-4);
    /* p0 itself, from the closed form of the space-vector scheme at 25 degC and |phi| <= 30 degrees
     * is the business of test_cycle.c; the ripple must be gone */
    NEAR(got.chip[0].tvj_max, got.chip[0].tvj_min, 1e-2);
    arena_release(&arena);
}

/* Every input that heats makes it hotter; every step strictly. */
struct knob {
    const char *name;
    void (*turn)(struct fixture *f, double share);
};

static void turn_load(struct fixture *f, double share)
{
    f->drive.test.load = share;
}
static void turn_ambient(struct fixture *f, double share)
{
    f->drive.cooling.ambient = 283.15 + 30.0 * share;
}
static void turn_layer(struct fixture *f, double share)
{
    f->drive.joint.thickness.value = 80e-6 * share;
}
static void turn_switching(struct fixture *f, double share)
{
    f->drive.rating.switching_frequency = 4000.0 * share;
}
static void turn_sink(struct fixture *f, double share)
{
    f->drive.cooling.rth_sa = 0.03 * share;
}
static void turn_coverage(struct fixture *f, double share)
{
    f->drive.joint.coverage = 1.0 / (1.0 + share);
}

Test(electrothermal, junction_rises_with_load_ambient_layer_switching_sink_and_voids)
{
    static const struct knob knobs[] = {
        { "load", turn_load },
        { "ambient", turn_ambient },
        { "layer", turn_layer },
        { "switching frequency", turn_switching },
        { "sink resistance", turn_sink },
        { "uncovered share", turn_coverage },
    };
    for (size_t k = 0; k < sizeof knobs / sizeof knobs[0]; k++) {
        double last = 0.0;
        for (int s = 1; s <= 6; s++) {
            struct fixture f;
            fixture_warm(&f);
            knobs[k].turn(&f, 0.25 * s);
            const double t = solved_hottest(&f);
            cr_assert(t > last, "%s, step %d: %g K after %g K", knobs[k].name, s, t, last);
            last = t;
        }
    }
}

/* The cycle's start is a convention: shifting it by a twelfth of a turn and solving the shifted
 * half cycle through a long march of whole cycles must end at the same temperatures.  The march is
 * a plain forward recursion on a uniform grid of 14,400 intervals, with nothing of the engine's
 * panels. */
static double marched_highest(const struct sm_point *p, double shift)
{
    enum { GRID = 14400, CYCLES = 60 };
    const double r = 0.2, tau = 0.05, h = 1.0 / p->output_hz / GRID;
    const double decay = exp(-h / tau), i_peak = SQRT2 * p->i_module;
    double x = p->chip[SM_IGBT].tvj_mean - p->chip[SM_IGBT].t_case, highest = 0.0;
    for (int n = 0; n < CYCLES * GRID; n++) {
        const double theta = shift + 2.0 * PI * ((double)(n % GRID) + 0.5) / GRID;
        const double i = i_peak * cos(theta - p->phi);
        double loss = 0.0;
        if (i > 0.0) {
            double high = -2.0, low = 2.0;
            for (int k = 0; k < 3; k++) {
                high = fmax(high, cos(theta - 2.0 * PI * k / 3.0));
                low = fmin(low, cos(theta - 2.0 * PI * k / 3.0));
            }
            const double m = p->modulation_index * (cos(theta) - 0.5 * (high + low));
            const double warm = 1.0 + 0.3 * (p->chip[SM_IGBT].t_case + x - 298.15) / 125.0;
            loss = warm * (0.5 * (1.0 + m) * i * (FIXTURE_V0_IGBT + FIXTURE_R_IGBT * i) +
                           4000.0 * (FIXTURE_E_ON + FIXTURE_E_OFF) * i);
        }
        x = x * decay + r * loss * (1.0 - decay);
        if (n >= (CYCLES - 1) * GRID)
            highest = fmax(highest, x);
    }
    return p->chip[SM_IGBT].t_case + highest;
}

Test(electrothermal, start_angle_does_not_matter_to_a_march_that_ends_at_the_same_peak)
{
    struct fixture f;
    struct sm_result result;
    fixture_warm(&f);
    solved_run(&f, &result);
    const struct sm_point *p = &result.points[0];
    const double one = marched_highest(p, 0.0), other = marched_highest(p, PI / 6.0);
    NEAR(one, other, 2e-4);                    /* one grid interval of the slope */
    NEAR(p->chip[SM_IGBT].tvj_max, one, 2e-3); /* first-order march, 14,400 steps a cycle */
    sm_result_release(&result);
}

/* Panels a quarter as wide must not move a temperature: the promised 1 mK, with a factor of two,
 * for a time constant of 2 ms and losses that reach 80 K: harder than any module of this class. */
Test(electrothermal, narrower_panels_change_no_temperature_by_half_a_millikelvin)
{
    for (int scheme = SM_MOD_SINE; scheme <= SM_MOD_CLAMPED; scheme++)
        for (double hz = 1.0; hz < 500.0; hz *= 3.0) {
            struct fixture f;
            fixture_warm(&f);
            f.drive.rating.modulation = scheme;
            f.foster_tau[0][0] = f.foster_tau[1][0] = 2e-3;
            struct arena arena;
            arena_init(&arena);
            const struct stage coarse = stage_of(&arena, &f, PANELS_WIDEST);
            const struct stage fine = stage_of(&arena, &f, PANELS_WIDEST / 4.0);
            const struct operating_point point = operating_point_at(&f.drive, hz, 1.0);
            struct sm_point a, b;
            cr_assert_eq(electrothermal_solve(&arena, &coarse, &point, NULL, &a, NULL), SM_OK);
            cr_assert_eq(electrothermal_solve(&arena, &fine, &point, NULL, &b, NULL), SM_OK);
            for (int k = 0; k < SM_CHIP_COUNT; k++) {
                NEAR(a.chip[k].tvj_max, b.chip[k].tvj_max, 5e-4);
                NEAR(a.chip[k].tvj_min, b.chip[k].tvj_min, 5e-4);
                NEAR(a.chip[k].tvj_mean, b.chip[k].tvj_mean, 5e-4);
            }
            arena_release(&arena);
        }
}

/* Symmetry: at phi = 90 degrees the scheme favours neither device: equal chips share the loss.
 * Their peaks differ: one conducts more early in its half cycle, the other late. */
Test(electrothermal, equal_chips_lose_the_same_at_zero_power_factor)
{
    struct fixture f;
    struct sm_result result;
    fixture_make(&f);
    f.power_factor[0] = 1e-12;
    for (int k = 0; k < 2; k++)
        for (int j = 0; j < 2; j++) {
            f.v_diode[k][j] = f.v_igbt[k][j];
            f.e_rr[k][j] = f.e_on[k][j] + f.e_off[k][j];
        }
    f.foster_r[1][0] = f.foster_r[0][0];
    f.foster_tau[1][0] = f.foster_tau[0][0];
    solved_run(&f, &result);
    for (size_t i = 0; i < result.n_points; i++) {
        const struct sm_point *p = &result.points[i];
        NEAR(p->chip[SM_IGBT].total, p->chip[SM_DIODE].total, 1e-6);
        NEAR(p->chip[SM_IGBT].tvj_mean, p->chip[SM_DIODE].tvj_mean, 1e-6);
    }
    sm_result_release(&result);
}

/* Motoring and regenerating swap the two devices' parts for a scheme that is odd about its peak. */
Test(electrothermal, regenerating_gives_the_diode_what_motoring_gives_the_igbt)
{
    struct fixture motor, brake;
    struct sm_result a, b;
    fixture_make(&motor);
    for (int k = 0; k < 2; k++)
        for (int j = 0; j < 2; j++)
            motor.v_diode[k][j] = motor.v_igbt[k][j];
    brake = motor;
    fixture_link(&brake);
    brake.power_factor[0] = -motor.power_factor[0];
    solved_run(&motor, &a);
    solved_run(&brake, &b);
    NEAR(a.points[0].chip[SM_IGBT].conduction, b.points[0].chip[SM_DIODE].conduction, 1e-6);
    NEAR(a.points[0].chip[SM_DIODE].conduction, b.points[0].chip[SM_IGBT].conduction, 1e-6);
    sm_result_release(&a);
    sm_result_release(&b);
}

Test(electrothermal, a_held_sink_at_the_settled_temperature_changes_nothing)
{
    struct fixture f;
    fixture_warm(&f);
    struct arena arena;
    arena_init(&arena);
    const struct stage stage = stage_of(&arena, &f, PANELS_WIDEST);
    const struct operating_point point = operating_point_at(&f.drive, 30.0, 1.0);
    struct sm_point free_sink, held;
    cr_assert_eq(electrothermal_solve(&arena, &stage, &point, NULL, &free_sink, NULL), SM_OK);
    cr_assert_eq(electrothermal_solve(&arena, &stage, &point, &free_sink.t_sink, &held, NULL),
                 SM_OK);
    NEAR(held.chip[SM_IGBT].tvj_max, free_sink.chip[SM_IGBT].tvj_max, 1e-4);
    NEAR(held.module_heat, free_sink.module_heat, 1e-4);
    arena_release(&arena);
}

/* Sinks of a 0.1 mK grid, each searched from where it has settled before. */
static void expect_goals_kept(const struct fixture *f)
{
    struct arena arena;
    arena_init(&arena);
    const struct stage stage = stage_of(&arena, f, PANELS_WIDEST);
    const struct operating_point point = operating_point_at(&f->drive, 30.0, 1.0);
    struct chip_state chips[SM_CHIP_COUNT];
    cr_assert_eq(electrothermal_prepare(&arena, &stage, &point, chips), SM_OK);
    for (int k = 0; k < 300; k++) {
        const double t_sink = 350.0 - 1e-4 * k;
        struct sm_point found = { .iterations = 0 };
        for (int again = 0; again < 20; again++)
            cr_assert_eq(electrothermal_settle(&stage, &point, &t_sink, chips, &found), SM_OK);
        cr_assert(!found.runaway);
        cr_expect_leq(found.iterations, 2);
    }
    arena_release(&arena);
}

/* At the goal the steps are the last bit of a temperature, and two of them may be equal for ever: a
 * search that starts there has settled. */
Test(electrothermal, a_search_that_starts_at_its_goal_settles)
{
    struct fixture f;
    fixture_warm(&f);
    expect_goals_kept(&f);
    cr_expect_lt(steps_left(5.7e-14, 5.7e-14), 1e-5);
    cr_expect_gt(steps_left(1e-3, 1e-3), 1e9);
}

/* So it has where the last bit is one down, with both junctions 200 K above their cases: it used to
 * look as if the coldest were to go down to its case, of which less than half was gone, and half a
 * last bit is none. */
Test(electrothermal, a_search_that_starts_at_its_goal_far_above_the_case_settles)
{
    struct fixture f;
    fixture_warm(&f);
    f.foster_r[SM_IGBT][0] *= 9.0;
    f.foster_r[SM_DIODE][0] *= 15.0;
    expect_goals_kept(&f);
}

Test(electrothermal, the_chip_with_less_margin_is_the_worst_and_of_two_alike_the_igbt)
{
    static const struct {
        double igbt, diode;
        enum sm_chip_kind worst;
    } rows[] = { { 20.0, 21.0, SM_IGBT }, { 20.0, 19.0, SM_DIODE }, { 20.0, 20.0, SM_IGBT } };
    for (size_t i = 0; i < 3; i++) {
        struct sm_point point = { .chip = { [SM_IGBT] = { .margin = rows[i].igbt },
                                            [SM_DIODE] = { .margin = rows[i].diode } } };
        point_margin(&point);
        cr_expect_eq(point.worst, rows[i].worst, "%zu", i);
        NEAR(point.margin, fmin(rows[i].igbt, rows[i].diode), 0.0);
        NEAR(point_excess(&point, 423.15), -point.margin, 0.0);
        point.runaway = true; /* 400 degC */
        NEAR(point_excess(&point, 423.15), 673.15 - 423.15, 1e-9);
    }
}

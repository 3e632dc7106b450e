/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "thermal/ripple.h"

#include "base/maths.h"
#include "support/near.h"

#include <criterion/criterion.h>

enum { PANELS = 12, NODES = PANEL_NODES * PANELS };

/* ABB HiPak 5SNA 1200E330100, IGBT and diode (values from memory): K/W and s. */
static double abb_r[] = { 5.854e-3, 1.375e-3, 0.641e-3, 0.632e-3 };
static double abb_tau[] = { 207.4e-3, 30.1e-3, 7.55e-3, 1.57e-3 };

struct bench {
    struct arena arena;
    double width[PANELS], p[NODES], rise[NODES], psi[NODES];
    struct ripple ripple;
};

static void bench_make(struct bench *b, double *r, double *tau, size_t n, double hz)
{
    arena_init(&b->arena);
    for (int i = 0; i < PANELS; i++)
        b->width[i] = PI / PANELS;
    for (int j = 0; j < NODES; j++)
        b->psi[j] = -PI / 2.0 + PI / PANELS * (j / PANEL_NODES + panel_place[j % PANEL_NODES]);
    const struct sm_list r_list = { r, n }, tau_list = { tau, n };
    b->ripple = ripple_build(&b->arena, &r_list, &tau_list, b->width, PANELS, hz);
}

static void half_sine(struct bench *b, double peak)
{
    for (int j = 0; j < NODES; j++)
        b->p[j] = peak * fmax(cos(b->psi[j]), 0.0);
    ripple_solve(&b->ripple, b->p, b->rise);
}

static struct extremes extremes_of(const struct bench *b)
{
    return ripple_extremes(&b->ripple, b->p, b->rise);
}

/* Closed form, derived here.  One term R, tau driven by P sin(x), 0 <= x <= pi, then by nothing for
 * pi; w = 2 pi f tau.  In the loaded half T' w + T = R P sin x:
 *     T(x) = R P (sin x - w cos x)/(1 + w^2) + A exp(-x/w),
 * and T(2 pi) = T(pi) exp(-pi/w) = T(0) gives A = R P w (1 + exp(-pi/w)) / ((1 + w^2)(1 -
 * exp(-2pi/w))) = R P w / ((1 + w^2)(1 - exp(-pi/w))). */
static double closed_form(const double *r, const double *tau, size_t n, double hz, double x)
{
    double t = 0.0;
    for (size_t i = 0; i < n; i++) {
        const double w = 2.0 * PI * hz * tau[i];
        const double a = w / ((1.0 + w * w) * -expm1(-PI / w));
        t += r[i] * ((sin(x) - w * cos(x)) / (1.0 + w * w) + a * exp(-x / w));
    }
    return t;
}

/* The closed form's highest (sign 1) or lowest (sign -1) on a fine grid. */
static double closed_extreme(const double *r, const double *tau, size_t n, double hz, double sign)
{
    enum { GRID = 200000 };
    double best = -1e9;
    for (int k = 0; k <= GRID; k++)
        best = fmax(best, sign * closed_form(r, tau, n, hz, PI * k / GRID));
    return sign * best;
}

static void check_half_sine(double *r, double *tau, size_t n, double hz, double scale)
{
    struct bench b;
    bench_make(&b, r, tau, n, hz);
    half_sine(&b, 1.0);
    for (int j = 0; j < NODES; j++)
        NEAR(b.rise[j], closed_form(r, tau, n, hz, b.psi[j] + PI / 2.0), 2e-6 * scale);
    /* 1e-5 of the rise: the cubic through a sine over 15 degrees */
    NEAR(extremes_of(&b).highest, closed_extreme(r, tau, n, hz, 1.0), 1e-5 * scale);
    NEAR(extremes_of(&b).lowest, closed_extreme(r, tau, n, hz, -1.0), 1e-5 * scale);
    arena_release(&b.arena);
}

Test(ripple, half_sine_pulses_through_one_term_equal_the_closed_form_from_1_to_60_hz)
{
    double r[] = { 1.0 };
    const double hz[] = { 1.0, 2.0, 5.0, 10.0, 30.0, 50.0, 60.0 };
    const double seconds[] = { 1e-4, 1e-3, 1e-2, 0.1, 1.0 };
    for (size_t f = 0; f < sizeof hz / sizeof hz[0]; f++)
        for (size_t k = 0; k < sizeof seconds / sizeof seconds[0]; k++) {
            double tau[] = { seconds[k] };
            check_half_sine(r, tau, 1, hz[f], 1.0);
        }
}

Test(ripple, half_sine_pulses_through_four_terms_equal_the_closed_form_from_1_to_60_hz)
{
    const double hz[] = { 1.0, 2.0, 5.0, 10.0, 30.0, 50.0, 60.0 };
    for (size_t f = 0; f < sizeof hz / sizeof hz[0]; f++)
        check_half_sine(abb_r, abb_tau, 4, hz[f], 8.5e-3);
}

/* Table of the closed form at unit R and peak, five digits (computed with NumPy from the formula
 * above, independent of this program). */
Test(ripple, peaks_over_omega_tau_equal_the_tabled_closed_form)
{
    static const double rows[][3] = { { 0.1, 0.99504, 0.0 },      { 0.3, 0.95838, 0.00001 },
                                      { 1.0, 0.75851, 0.02233 },  { 3.0, 0.50293, 0.15795 },
                                      { 10.0, 0.37425, 0.26469 }, { 100.0, 0.32383, 0.31281 } };
    double r[] = { 1.0 };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        double tau[] = { rows[i][0] / (2.0 * PI * 10.0) };
        struct bench b;
        bench_make(&b, r, tau, 1, 10.0);
        half_sine(&b, 1.0);
        NEAR(extremes_of(&b).highest, rows[i][1], 1e-5);
        NEAR(extremes_of(&b).lowest, rows[i][2], 1e-5);
        arena_release(&b.arena);
    }
}

/* 1 kW peak through the four-term set above: 6.3124 K at 1 Hz ... 3.2495 K at 60 Hz (NumPy, closed
 * form).  A printed application note (Mitsubishi, IPM series, December 2012, p. 42) gives a
 * variation of 30 to 35 % of the mean at 60 Hz, and a few hertz as no better than a standing peak.
 */
Test(ripple, shrinks_with_frequency_as_printed)
{
    static const double rows[][2] = { { 1.0, 6.3124 },  { 2.0, 5.2861 },  { 5.0, 4.4308 },
                                      { 10.0, 3.9627 }, { 30.0, 3.4627 }, { 60.0, 3.2495 } };
    double highest = 0.0, lowest = 0.0;
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        struct bench b;
        bench_make(&b, abb_r, abb_tau, 4, rows[i][0]);
        half_sine(&b, 1000.0);
        highest = extremes_of(&b).highest;
        lowest = extremes_of(&b).lowest;
        NEAR(highest, rows[i][1], 1e-4);
        arena_release(&b.arena);
    }
    const double swing = (highest - lowest) / (1000.0 * 8.502e-3 / PI);
    cr_assert(swing > 0.25 && swing < 0.40, "60 Hz swing is %g of the mean", swing);
}

Test(ripple, slow_output_follows_the_loss_and_fast_output_its_mean)
{
    double r[] = { 0.5 }, tau[] = { 0.01 };
    struct bench b;
    bench_make(&b, r, tau, 1, 1e-4);
    half_sine(&b, 100.0);
    NEAR(extremes_of(&b).highest, 50.0, 1e-4);
    arena_release(&b.arena);
    bench_make(&b, r, tau, 1, 1e6);
    half_sine(&b, 100.0);
    NEAR(extremes_of(&b).highest, 50.0 / PI, 1e-3);
    NEAR(extremes_of(&b).lowest, 50.0 / PI, 1e-3);
    arena_release(&b.arena);
}

/* A constant loss in the conducting half: the classical on-off rule, one RC, duty 1/2: highest
 * R P / (1 + exp(-T/2tau)), as in rectangular power pulses of application notes (onsemi AND8219,
 * form). */
Test(ripple, rectangular_pulses_equal_the_closed_form_of_application_notes)
{
    double r[] = { 0.3 }, tau[] = { 0.02 };
    struct bench b;
    bench_make(&b, r, tau, 1, 25.0);
    for (int j = 0; j < NODES; j++)
        b.p[j] = 200.0;
    ripple_solve(&b.ripple, b.p, b.rise);
    const double e = exp(-0.02 / 0.02);
    NEAR(extremes_of(&b).highest, 60.0 / (1.0 + e), 1e-10);
    NEAR(extremes_of(&b).lowest, 60.0 * e / (1.0 + e), 1e-10);
    arena_release(&b.arena);
}

Test(ripple, is_linear_in_the_loss)
{
    struct bench a, b;
    bench_make(&a, abb_r, abb_tau, 4, 30.0);
    bench_make(&b, abb_r, abb_tau, 4, 30.0);
    half_sine(&a, 100.0);
    half_sine(&b, 300.0);
    for (int j = 0; j < NODES; j++)
        NEAR(b.rise[j], 3.0 * a.rise[j], 1e-12);
    arena_release(&a.arena);
    arena_release(&b.arena);
}

/* The closed form holds in the idle half too: there its loss term falls away and the state decays,
 * x = pi + 2 pi f t. */
Test(ripple, after_the_conduction_it_decays_as_the_closed_form_does)
{
    struct bench b;
    const double hz = 30.0;
    bench_make(&b, abb_r, abb_tau, 4, hz);
    half_sine(&b, 1000.0);
    const double end = 1000.0 * closed_form(abb_r, abb_tau, 4, hz, PI);
    /* the cubic through four nodes of a panel of pi/12 follows the sine to some 1e-5 of it */
    NEAR(ripple_after(&b.ripple, b.p, 0.0), end, 1e-4 * end);
    NEAR(ripple_after(&b.ripple, b.p, 0.0), b.rise[NODES - 1], 1e-9);
    NEAR(ripple_after(&b.ripple, b.p, 0.5 / hz), b.rise[0], 1e-9);
    double later = 0.0;
    for (size_t i = 0; i < 4; i++)
        later += 1000.0 * closed_form(&abb_r[i], &abb_tau[i], 1, hz, PI) * exp(-4e-3 / abb_tau[i]);
    NEAR(ripple_after(&b.ripple, b.p, 4e-3), later, 1e-4 * later);
    arena_release(&b.arena);
}

/* One to eight terms: those of a group that is not full do not disturb the others. */
Test(ripple, any_number_of_terms_is_the_sum_of_each_alone)
{
    double r[] = { 0.03, 0.05, 0.02, 0.04, 0.01, 0.06, 0.025, 0.015 };
    double tau[] = { 0.2, 0.0015, 0.03, 0.008, 0.5, 0.1, 0.0004, 0.06 };
    for (size_t n = 1; n <= 8; n++) {
        struct bench all;
        double sum[NODES] = { 0.0 }, after = 0.0;
        bench_make(&all, r, tau, n, 20.0);
        half_sine(&all, 100.0);
        for (size_t i = 0; i < n; i++) {
            struct bench one;
            bench_make(&one, &r[i], &tau[i], 1, 20.0);
            half_sine(&one, 100.0);
            for (int j = 0; j < NODES; j++)
                sum[j] += one.rise[j];
            after += ripple_after(&one.ripple, one.p, 0.003);
            arena_release(&one.arena);
        }
        for (int j = 0; j < NODES; j++)
            NEAR_REL(all.rise[j], sum[j], 1e-12);
        NEAR_REL(ripple_after(&all.ripple, all.p, 0.003), after, 1e-12);
        arena_release(&all.arena);
    }
}

/* ------------------------------------------------------- weights and extremes */

/* One term heated by the cubic through four nodes of a panel, by Simpson's rule in 2000 steps. */
static double heated(double a, double v, int k)
{
    enum { STEPS = 2000 };
    double sum = 0.0;
    for (int s = 0; s <= STEPS; s++) {
        const double x = v * s / STEPS;
        double basis = 1.0;
        for (int q = 0; q < PANEL_NODES; q++)
            if (q != k)
                basis *= (x - panel_place[q]) / (panel_place[k] - panel_place[q]);
        const double weight = s == 0 || s == STEPS ? 1.0 : s % 2 ? 4.0 : 2.0;
        sum += weight * basis * a * exp(-a * (v - x));
    }
    return sum * v / STEPS / 3.0;
}

/* From short panels, where a series is used, to long ones; 1e-9: the rule's own error. */
Test(ripple, weights_of_the_nodes_are_the_integrals_of_their_cubics)
{
    static const double lengths[] = { 1e-6, 0.01, 0.24, 0.26, 1.0, 5.0 };
    static const double places[] = { 0.3, 1.0 };
    for (size_t i = 0; i < sizeof lengths / sizeof lengths[0]; i++)
        for (size_t v = 0; v < 2; v++) {
            double weight[PANEL_NODES];
            const double a = lengths[i];
            NEAR_REL(ripple_weights(a, places[v], weight), exp(-a * places[v]), 1e-12);
            for (int k = 0; k < PANEL_NODES; k++)
                NEAR(weight[k], heated(a, places[v], k), 1e-9 * a);
        }
}

/* Few wide panels, and losses that rise, dip and jump: an extreme is the
 * highest and lowest of the curve looked at everywhere, by weights that were checked just above.
 * 1e-6 K: the search's own 1e-7, and what 10,000 places a panel leave. */
static void expect_extremes(double hz, const double loss[3 * PANEL_NODES])
{
    enum { WIDE = 3, LOOKS = 10000 };
    double r[] = { 0.3, 0.2, 0.1 }, tau[] = { 0.001, 0.01, 0.1 },
           width[WIDE] = { 1.2, 0.9, 1.0416 };
    double p[WIDE * PANEL_NODES], rise[WIDE * PANEL_NODES], start[3], high = -1e9, low = 1e9;
    struct arena arena;
    arena_init(&arena);
    width[2] = PI - width[0] - width[1];
    const struct sm_list r_list = { r, 3 }, tau_list = { tau, 3 };
    struct ripple ripple = ripple_build(&arena, &r_list, &tau_list, width, WIDE, hz);
    for (int j = 0; j < WIDE * PANEL_NODES; j++)
        p[j] = loss[j];
    ripple_solve(&ripple, p, rise);
    const struct extremes found = ripple_extremes(&ripple, p, rise);
    for (int i = 0; i < 3; i++) { /* the state that repeats: from 0 through the cycle */
        double decay = exp(-0.5 / hz / tau[i]), x = 0.0, weight[PANEL_NODES];
        for (int panel = 0; panel < WIDE; panel++) {
            const double a = width[panel] / (2.0 * PI * hz) / tau[i];
            x *= ripple_weights(a, 1.0, weight);
            for (int k = 0; k < PANEL_NODES; k++)
                x += r[i] * weight[k] * p[PANEL_NODES * panel + k];
        }
        start[i] = x * decay / (1.0 - decay * decay);
    }
    for (int panel = 0; panel < WIDE; panel++) {
        double end[3];
        for (int look = 0; look <= LOOKS; look++) {
            double sum = 0.0, weight[PANEL_NODES];
            for (int i = 0; i < 3; i++) {
                const double a = width[panel] / (2.0 * PI * hz) / tau[i];
                end[i] = start[i] * ripple_weights(a, (double)look / LOOKS, weight);
                for (int k = 0; k < PANEL_NODES; k++)
                    end[i] += r[i] * weight[k] * p[PANEL_NODES * panel + k];
                sum += end[i];
            }
            high = fmax(high, sum);
            low = fmin(low, sum);
        }
        for (int i = 0; i < 3; i++)
            start[i] = end[i];
    }
    cr_expect_float_eq(found.highest, high, 1e-6 * high, "%g Hz: %.9g, looked at %.9g", hz,
                       found.highest, high);
    cr_expect_float_eq(found.lowest, low, 1e-6 * high, "%g Hz: %.9g, looked at %.9g", hz,
                       found.lowest, low);
    arena_release(&arena);
}

Test(ripple, extremes_are_those_of_the_curve_looked_at_everywhere)
{
    static const double losses[][3 * PANEL_NODES] = {
        { 10, 60, 90, 100, 100, 90, 70, 50, 50, 30, 20, 10 }, /* rises and falls */
        { 100, 20, 10, 5, 5, 10, 20, 100, 100, 20, 10, 0 },   /* dips */
        { 100, 100, 100, 100, 0, 0, 0, 0, 90, 90, 90, 90 },   /* jumps */
        { 0, 0, 0, 0, 10, 90, 90, 10, 0, 0, 0, 0 },           /* one hump */
        { 5, 50, 5, 50, 5, 50, 5, 50, 5, 50, 5, 50 },         /* waves */
        { 0, 10, 20, 30, 30, 40, 50, 60, 60, 70, 80, 90 },    /* a ramp: highest at the end */
        { 90, 80, 70, 60, 60, 50, 40, 30, 30, 20, 10, 0 },    /* falls: highest early */
    };
    static const double hz[] = { 1.0, 5.0, 20.0, 60.0, 400.0 };
    for (size_t i = 0; i < sizeof losses / sizeof losses[0]; i++)
        for (size_t f = 0; f < sizeof hz / sizeof hz[0]; f++)
            expect_extremes(hz[f], losses[i]);
}

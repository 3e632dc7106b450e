/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "thermal/cauer.h"

#include "support/near.h"
#include "thermal/network.h"

#include <criterion/criterion.h>
#include <stdlib.h>

/* Four parts whose maker prints Foster terms (Vishay Siliconix, R-C thermal model parameters, no.
 * 74645, 74599, 74688, 74273: read), and the ladders that are exactly theirs: continued fractions
 * in rational arithmetic, worked out beside this program, to the digits shown.  The ladders that
 * the maker prints are fits of their own and not these. */
static const struct sample {
    const char *part;
    double r[4], c[4];           /* Foster, K/W and J/K */
    double want_r[4], want_c[4]; /* ladder */
} samples[] = {
    { "Si4862DY",
      { 4.7331, 1.4307, 1.5757, 8.2605 },
      { 24.9402e-3, 23.1289e-3, 3.5274, 150.3408e-3 },
      { 4.9333, 3.3668, 6.8108, 0.8892 },
      { 0.01108, 0.02757, 0.1460, 6.011 } },
    { "Si4890DY",
      { 5.8804, 14.8471, 32.2261, 47.0464 },
      { 2.2957e-3, 30.0711e-3, 213.4549e-3, 2.2477 },
      { 6.9462, 18.6742, 33.8964, 40.4831 },
      { 0.00211, 0.02538, 0.1938, 2.374 } },
    { "Si4952DY",
      { 11.6583, 3.6731, 8.9996, 19.6690 },
      { 2.2210e-3, 170.7109e-6, 180.0765e-3, 11.0677e-3 },
      { 4.3816, 16.1522, 17.0077, 6.4585 },
      { 1.562e-4, 1.752e-3, 0.01144, 0.2353 } },
    { "Si5947DU",
      { 3.2047, 3.6406, 0.8406781, 4.3986 },
      { 203.1695e-6, 3.0822e-3, 94.0577e-3, 4.5020e-3 },
      { 3.9503, 7.0230, 0.7868, 0.3244 },
      { 1.825e-4, 1.794e-3, 0.02366, 0.2085 } },
};

enum { SAMPLES = sizeof samples / sizeof samples[0] };

static struct cauer ladder_of(const struct sample *s)
{
    struct cauer ladder;
    double tau[4];
    for (int i = 0; i < 4; i++)
        tau[i] = s->r[i] * s->c[i];
    cr_assert_eq(cauer_of_foster(s->r, tau, 4, &ladder), SM_OK);
    return ladder;
}

/* Half a unit of the last digit shown: four digits, three for one value. */
Test(cauer, finds_the_exact_ladders_of_printed_foster_terms)
{
    for (int k = 0; k < SAMPLES; k++) {
        const struct cauer ladder = ladder_of(&samples[k]);
        cr_assert_eq(ladder.n, 4);
        for (int i = 0; i < 4; i++) {
            NEAR(ladder.r[i], samples[k].want_r[i], 0.51e-4);
            NEAR_REL(ladder.c[i], samples[k].want_c[i], 2.5e-3);
        }
    }
}

/* Two terms by hand: Z = (R1 + R2 + s (R1 t2 + R2 t1)) / ((1 + s t1)(1 + s t2)).  With R 1, 1 and
 * tau 1, 3: 1/Z = (1 + 4 s + 3 s^2)/(2 + 4 s) = 3/4 s + (1 + 5/2 s)/(2 + 4 s); the rest inverted is
 * (2 + 4 s)/(1 + 5/2 s) = 8/5 + (2/5)/(1 + 5/2 s), whose inverse is 5/2 + 25/4 s. */
Test(cauer, two_terms_as_the_continued_fraction_by_hand)
{
    const double r[] = { 1.0, 1.0 }, tau[] = { 3.0, 1.0 };
    struct cauer ladder;
    cr_assert_eq(cauer_of_foster(r, tau, 2, &ladder), SM_OK);
    NEAR(ladder.c[0], 0.75, 1e-14);
    NEAR(ladder.r[0], 1.6, 1e-14);
    NEAR(ladder.c[1], 6.25, 1e-13);
    NEAR(ladder.r[1], 0.4, 1e-14);
}

/* At standstill no capacity counts; at once only the first one, in which all terms add up. */
Test(cauer, both_ends_are_those_of_the_terms)
{
    for (int k = 0; k < SAMPLES; k++) {
        const struct cauer ladder = ladder_of(&samples[k]);
        double sum = 0.0, want = 0.0, speed = 0.0;
        for (int i = 0; i < 4; i++) {
            sum += ladder.r[i];
            want += samples[k].r[i];
            speed += 1.0 / samples[k].c[i];
        }
        NEAR_REL(sum, want, 1e-13);
        NEAR_REL(1.0 / ladder.c[0], speed, 1e-13);
    }
}

/* Junction of a ladder at time t after a step of 1 W, case held. */
static double ladder_step(const struct cauer *ladder, double t)
{
    struct arena arena;
    arena_init(&arena);
    struct network net = network_new(&arena, ladder->n);
    for (size_t k = 0; k < ladder->n; k++) {
        network_store(&net, k, ladder->c[k]);
        if (k + 1 < ladder->n)
            network_join(&net, k, k + 1, ladder->r[k]);
        else
            network_ground(&net, k, ladder->r[k]);
    }
    cr_assert_eq(network_find_modes(&arena, &net), SM_OK);
    double power[CAUER_MOST] = { 1.0 }, drive[CAUER_MOST], state[CAUER_MOST] = { 0.0 };
    const struct network_step step = network_step_of(&arena, &net, t);
    network_drive(&net, power, drive);
    network_advance(&net, &step, drive, state);
    const double rise = network_rise_at(&net, state, power, 0);
    arena_release(&arena);
    return rise;
}

static double foster_step(const double *r, const double *tau, size_t n, double t)
{
    double rise = 0.0;
    for (size_t i = 0; i < n; i++)
        rise -= r[i] * expm1(-t / tau[i]);
    return rise;
}

/* The same 1 W at every time, from far before the fastest term to after the slowest: the bound of
 * the ladder itself, 1e-9. */
Test(cauer, ladder_and_terms_answer_a_step_alike_at_all_times)
{
    for (int k = 0; k < SAMPLES; k++) {
        const struct sample *s = &samples[k];
        const struct cauer ladder = ladder_of(s);
        double tau[4];
        for (int i = 0; i < 4; i++)
            tau[i] = s->r[i] * s->c[i];
        for (double t = 1e-7; t < 1e4; t *= 1.7)
            NEAR_REL(ladder_step(&ladder, t), foster_step(s->r, tau, 4, t), 1e-9);
    }
}

static double uniform(unsigned *seed)
{
    *seed = *seed * 1103515245u + 12345u;
    return (double)(*seed >> 8) / (double)(1u << 24);
}

/* 200 sets of 1 to 8 terms over five decades of time, two of resistance, time constants a factor
 * of 2 apart at least: all of them are ladders with positive parts, and answer alike. */
Test(cauer, generated_terms_answer_alike_too)
{
    unsigned seed = 7;
    for (int set = 0; set < 200; set++) {
        double r[8], tau[8], least = 1e-4;
        const size_t n = 1 + (size_t)(uniform(&seed) * 8.0);
        for (size_t i = 0; i < n; i++) {
            r[i] = pow(10.0, -2.0 * uniform(&seed));
            tau[i] = least * pow(10.0, 0.3 + 0.4 * uniform(&seed));
            least = tau[i];
        }
        struct cauer ladder;
        cr_assert_eq(cauer_of_foster(r, tau, n, &ladder), SM_OK);
        cr_assert_eq(ladder.n, n);
        for (double t = 1e-6; t < 100.0; t *= 10.0)
            NEAR_REL(ladder_step(&ladder, t), foster_step(r, tau, n, t), 1e-9);
    }
}

Test(cauer, order_of_the_terms_does_not_matter)
{
    const double r[] = { 0.1, 0.2, 0.05 }, tau[] = { 0.01, 0.2, 0.001 };
    const double r2[] = { 0.05, 0.1, 0.2 }, tau2[] = { 0.001, 0.01, 0.2 };
    struct cauer a, b;
    cr_assert_eq(cauer_of_foster(r, tau, 3, &a), SM_OK);
    cr_assert_eq(cauer_of_foster(r2, tau2, 3, &b), SM_OK);
    for (int k = 0; k < 3; k++) {
        NEAR_REL(a.r[k], b.r[k], 1e-13);
        NEAR_REL(a.c[k], b.c[k], 1e-13);
    }
}

/* Two equal terms are one of the sum; the ladder is one rung of it. */
Test(cauer, equal_time_constants_are_one_term)
{
    const double r[] = { 0.1, 0.3 }, tau[] = { 0.05, 0.05 };
    struct cauer ladder;
    cr_assert_eq(cauer_of_foster(r, tau, 2, &ladder), SM_OK);
    cr_assert_eq(ladder.n, 1);
    NEAR(ladder.r[0], 0.4, 1e-15);
    NEAR(ladder.c[0], 0.05 / 0.4, 1e-15);
}

/* Twelve terms so close together answer like one, but as a ladder they would hold more heat at the
 * case than any part: refused, and what was there is left as it was.  Spread out they are a
 * ladder. */
Test(cauer, terms_too_much_alike_are_refused)
{
    double r[CAUER_MOST], tau[CAUER_MOST];
    for (int gap = 5; gap >= 1; gap--) {
        struct cauer ladder = { .n = 99 };
        for (int i = 0; i < CAUER_MOST; i++) {
            r[i] = 0.01;
            tau[i] = 0.01 * pow(1.0 + pow(10.0, -gap), i);
        }
        cr_expect_eq(cauer_of_foster(r, tau, CAUER_MOST, &ladder), SM_ERR_CONVERGE);
        cr_expect_eq(ladder.n, 99);
    }
    struct cauer ladder;
    for (int i = 0; i < CAUER_MOST; i++)
        tau[i] = 1e-5 * pow(3.0, i);
    cr_assert_eq(cauer_of_foster(r, tau, CAUER_MOST, &ladder), SM_OK);
    cr_expect_leq(ladder.deviation, CAUER_EXACT);
}

/* What the ladder tells of itself: how far it is from the terms, at standstill, at the bend of each
 * term and ten times before and after. */
Test(cauer, deviation_is_the_largest_at_the_bends_of_the_terms)
{
    static const double around[] = { 0.0, 0.1, 1.0, 10.0 };
    double r[CAUER_MOST], tau[CAUER_MOST], largest = 0.0;
    for (int i = 0; i < CAUER_MOST; i++) {
        r[i] = 0.01 * (1.0 + i % 3);
        tau[i] = 1e-5 * pow(2.2, i);
    }
    struct cauer ladder;
    cr_assert_eq(cauer_of_foster(r, tau, CAUER_MOST, &ladder), SM_OK);
    for (int i = 0; i < CAUER_MOST; i++)
        for (int k = 0; k < 4; k++) {
            const double s = around[k] / tau[i];
            const double want = foster_impedance(r, tau, CAUER_MOST, s);
            largest = fmax(largest, fabs(cauer_impedance(&ladder, s) - want) / want);
        }
    cr_assert_gt(largest, 0.0);
    NEAR_REL(ladder.deviation, largest, 1e-9);
}

/* Terms nearer to each other than 1e-6 are one, with the mean of their times, each counted with its
 * resistance: 0.1 K/W at 0.05 s and 0.3 K/W at 8e-7 of it more. */
Test(cauer, terms_nearly_equal_are_one_with_their_mean_time)
{
    const double r[] = { 0.3, 0.2, 0.1 }, tau[] = { 0.05 * (1.0 + 8e-7), 0.5, 0.05 };
    const double r_one[] = { 0.4, 0.2 }, tau_one[] = { 0.05 * (1.0 + 6e-7), 0.5 };
    struct cauer ladder, one;
    cr_assert_eq(cauer_of_foster(r, tau, 3, &ladder), SM_OK);
    cr_assert_eq(cauer_of_foster(r_one, tau_one, 2, &one), SM_OK);
    cr_assert_eq(ladder.n, 2);
    for (size_t k = 0; k < 2; k++) {
        NEAR_REL(ladder.r[k], one.r[k], 1e-12);
        NEAR_REL(ladder.c[k], one.c[k], 1e-12);
    }
    cr_expect_leq(ladder.deviation, 1e-9);
}

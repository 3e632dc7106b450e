/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The joint from made-up readings of a known one: rise = R P + offset + error, by this formula and
 * nothing of the program's. */
#include "assess/log_joint.h"

#include "support/near.h"
#include "support/noise.h"

#include <criterion/criterion.h>

#define TRUE_RTH 0.052 /* K/W */

enum { MOST = 4000, SEEDS = 1000, FIRST_SEED = 1000004 };

/* A load run as it is logged: cold readings first, then two levels of heat. */
struct plan {
    size_t cold, loaded;
    double low, high;  /* W  heat of the first and of the second half of the loaded readings */
    double offset;     /* K  true */
    double sigma, rho; /* K, 1  of the error; 1 of neighbours */
    double slow;       /* K  of a second error, correlated by 0.99 */
    double spacing;    /* s */
};

struct made {
    double time[MOST], power[MOST], rise[MOST];
    bool cold[MOST], outlier[MOST];
    struct joint_readings readings;
};

static void make(struct made *m, const struct plan *plan, unsigned long seed)
{
    static double error[MOST], slow[MOST];
    const size_t n = plan->cold + plan->loaded;
    gsl_rng *rng = noise_seeded(seed);
    noise_fill(rng, plan->sigma, plan->rho, error, n);
    noise_fill(rng, plan->slow, 0.99, slow, n);
    gsl_rng_free(rng);
    for (size_t i = 0; i < n; i++) {
        m->time[i] = plan->spacing * (double)i;
        m->cold[i] = i < plan->cold;
        m->power[i] = m->cold[i] ? 0.0 : i < plan->cold + plan->loaded / 2 ? plan->low : plan->high;
        m->rise[i] = TRUE_RTH * m->power[i] + plan->offset + error[i] + slow[i];
    }
    m->readings =
        (struct joint_readings){ n, m->time, m->power, m->rise, m->cold, m->outlier, TRUE_RTH };
}

static struct joint_fit fit(struct made *m)
{
    struct arena arena;
    struct joint_fit out;
    arena_init(&arena);
    cr_assert_eq(joint_fit(&arena, &m->readings, &out), SM_OK);
    arena_release(&arena);
    return out;
}

/* A thousand seeds, none of which the rules were tried on.  The standard deviation of the count
 * itself is 0.7 %. */
static void coverage(const char *what, const struct plan *plan)
{
    static struct made m;
    int covered = 0;
    for (unsigned long seed = FIRST_SEED; seed < FIRST_SEED + SEEDS; seed++) {
        make(&m, plan, seed);
        const struct joint_fit f = fit(&m);
        covered += f.rth.low <= TRUE_RTH && TRUE_RTH <= f.rth.high ? 1 : 0;
    }
    noise_covers(what, covered, SEEDS, 93.0, 97.0);
}

/* Two hours, a reading a minute. */
static const struct plan usual = { .cold = 10,
                                   .loaded = 120,
                                   .low = 180.0,
                                   .high = 200.0,
                                   .offset = 0.4,
                                   .sigma = 0.3,
                                   .spacing = 60.0 };

Test(log_joint, interval_covers_the_truth_in_95_of_100_logs_when_the_offset_is_read_cold)
{
    coverage("cold readings", &usual);
}

Test(log_joint, interval_covers_the_truth_in_95_of_100_logs_without_an_offset)
{
    struct plan plan = usual;
    plan.cold = 0;
    plan.offset = 0.0;
    coverage("no offset", &plan);
}

Test(log_joint, interval_covers_the_truth_in_95_of_100_logs_when_the_offset_is_fitted)
{
    struct plan plan = usual;
    plan.cold = 0;
    plan.low = 80.0;
    coverage("fitted offset", &plan);
}

Test(log_joint, interval_covers_the_truth_in_95_of_100_logs_when_readings_hang_together)
{
    static const double correlations[] = { 0.3, 0.8 };
    for (size_t i = 0; i < sizeof correlations / sizeof correlations[0]; i++) {
        struct plan plan = usual;
        plan.rho = correlations[i];
        coverage("two hours", &plan);
        plan.cold = 5;
        plan.loaded = 60;
        coverage("one hour", &plan);
    }
}

/* Every two seconds; the slow error has 200 s, as a thermometer's mass and gusts of air would. */
Test(log_joint, interval_covers_the_truth_in_95_of_100_logs_with_quick_and_slow_errors)
{
    struct plan plan = usual;
    plan.cold = 400;
    plan.loaded = 2400;
    plan.slow = 0.1;
    plan.spacing = 2.0;
    coverage("quick and slow", &plan);
}

Test(log_joint, is_exact_without_errors)
{
    static struct made m;
    struct plan plan = usual;
    plan.sigma = 0.0;
    make(&m, &plan, 1);
    const struct joint_fit f = fit(&m);
    cr_expect(f.settled);
    cr_expect_eq(f.offset_from, SM_LOG_OFFSET_COLD);
    cr_expect_eq(f.cold, 10);
    cr_expect_eq(f.loaded, 120);
    NEAR_REL(f.rth.value, TRUE_RTH, 1e-12); /* rounding of a sum of 120 */
    NEAR(f.offset, 0.4, 1e-12);
    /* 0.05 K, half of what a thermometer shows, may be in all loaded readings alike and, apart from
     * it, in all cold ones: sum of w = sum P / sum P^2 over 60 of 180 W and 60 of 200 W */
    const double per_kelvin = (180.0 + 200.0) / (180.0 * 180.0 + 200.0 * 200.0);
    NEAR_REL(f.rth.std_error, 0.05 * sqrt(2.0) * per_kelvin, 1e-9);
    /* 5 % is one standard deviation of the model, of which 1.959964 cover 95 % (Abramowitz, Stegun,
     * table 26.1, value from memory) */
    const double both = hypot(f.rth.high - TRUE_RTH, 0.05 * 1.959964 * TRUE_RTH);
    NEAR_REL(f.rth.high_with_model, TRUE_RTH + both, 1e-7);
    NEAR_REL(f.rth.low_with_model, TRUE_RTH - both, 1e-7);
}

Test(log_joint, offset_is_fitted_only_where_the_heat_spans_two_to_one)
{
    static struct made m;
    struct plan plan = usual;
    plan.sigma = 0.0;
    plan.cold = 0;
    plan.low = 99.9;
    make(&m, &plan, 1);
    cr_expect_eq(fit(&m).offset_from, SM_LOG_OFFSET_FITTED);
    NEAR(fit(&m).offset, 0.4, 1e-10);
    NEAR_REL(fit(&m).rth.value, TRUE_RTH, 1e-10);
    plan.low = 100.1;
    make(&m, &plan, 1);
    cr_expect_eq(fit(&m).offset_from, SM_LOG_OFFSET_NONE);
    plan.low = plan.high;
    make(&m, &plan, 1);
    const struct joint_fit f = fit(&m);
    cr_expect_eq(f.offset_from, SM_LOG_OFFSET_NONE);
    NEAR(f.offset, 0.0, 0.0);
    NEAR_REL(f.rth.value, TRUE_RTH + 0.4 / 200.0, 1e-10); /* the offset passes for resistance */
    m.power[0] = 99.9; /* any one reading spans it, the first too */
    m.rise[0] = TRUE_RTH * m.power[0] + 0.4;
    cr_expect_eq(fit(&m).offset_from, SM_LOG_OFFSET_FITTED);
}

/* A touched sensor, a pulled plug, a slipped digit; and the minute in which chips and case warm. */
Test(log_joint, strays_are_set_aside_and_told)
{
    static struct made m;
    make(&m, &usual, 7);
    m.rise[3] = 12.0; /* cold */
    m.rise[10] = 2.0; /* the first loaded reading: not warm yet */
    m.rise[40] = -30.0;
    m.rise[41] = 95.0;
    m.power[90] = 2000.0;
    const struct joint_fit f = fit(&m);
    static const size_t strays[] = { 3, 10, 40, 41, 90 };
    size_t n = 0;
    for (size_t i = 0; i < m.readings.n; i++)
        n += m.outlier[i] ? 1u : 0u;
    for (size_t i = 0; i < 5; i++)
        cr_expect(m.outlier[strays[i]], "%zu", strays[i]);
    cr_expect_leq(n, 6); /* one honest reading in 16,000 would go too */
    cr_expect_eq(f.loaded + f.cold + n, m.readings.n);
    cr_expect(f.settled);
    cr_expect(f.rth.low < TRUE_RTH && TRUE_RTH < f.rth.high);
}

/* An offset of 5 K that the fit has to find itself: a reading 3 K off is a stray, the others, of
 * 0.1 K, are none. */
Test(log_joint, strays_are_told_from_what_the_line_and_its_offset_leave)
{
    static struct made m;
    struct plan plan = usual;
    plan.cold = 0;
    plan.low = 80.0;
    plan.offset = 5.0;
    plan.sigma = 0.1;
    make(&m, &plan, 11);
    m.rise[30] += 3.0;
    const struct joint_fit f = fit(&m);
    cr_assert_eq(f.offset_from, SM_LOG_OFFSET_FITTED);
    for (size_t i = 0; i < m.readings.n; i++)
        cr_expect_eq(m.outlier[i], i == 30, "%zu", i);
    cr_expect_eq(f.loaded, m.readings.n - 1);
    NEAR(f.offset, 5.0, 0.2);
}

/* A thermometer that shows whole kelvins: the errors are the rounding's, 0.29 K. */
Test(log_joint, rounded_readings_are_no_strays)
{
    static struct made m;
    make(&m, &usual, 3);
    for (size_t i = 0; i < m.readings.n; i++)
        m.rise[i] = round(m.rise[i]);
    const struct joint_fit f = fit(&m);
    cr_expect_eq(f.loaded + f.cold, m.readings.n);
    NEAR_REL(f.rth.value, TRUE_RTH, 0.05);
}

Test(log_joint, tells_nothing_from_too_little)
{
    static struct made m;
    struct plan plan = usual;
    plan.loaded = 4;
    make(&m, &plan, 1);
    cr_expect_not(fit(&m).settled);
    plan.loaded = 0;
    make(&m, &plan, 1);
    cr_expect_not(fit(&m).settled);
    cr_expect_eq(fit(&m).loaded, 0);
    plan.cold = 0;
    make(&m, &plan, 1);
    cr_expect_not(fit(&m).settled);
    /* errors as large as the rise itself */
    plan = usual;
    plan.sigma = 40.0;
    make(&m, &plan, 1);
    cr_expect_not(fit(&m).settled);
    /* a drift that is longer than the log */
    plan = usual;
    plan.sigma = 1.0;
    plan.rho = 0.999;
    make(&m, &plan, 1);
    cr_expect_not(fit(&m).settled);
}

Test(log_joint, time_that_stands_still_counts_as_one_reading_after_the_other)
{
    static struct made m;
    make(&m, &usual, 5);
    for (size_t i = 0; i < m.readings.n; i++)
        m.time[i] = 0.0;
    const struct joint_fit f = fit(&m);
    cr_expect(f.settled);
    cr_expect(f.rth.low < TRUE_RTH && TRUE_RTH < f.rth.high);
}

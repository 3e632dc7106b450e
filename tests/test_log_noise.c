/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The sums of eq. 18.6 to 18.9 against whole matrices: the program never writes down the
 * correlation of all readings, here it is an array, and products are products. */
#include "assess/log_noise.h"

#include "base/maths.h"
#include "support/near.h"

#include <criterion/criterion.h>

enum { MOST = 80, P = LOG_PARAMETERS };

/* A fit of its own; weights are any, for nothing below needs the best ones. */
struct made {
    size_t n, p;
    struct log_vector x[MOST], w[MOST];
    double residual[MOST], time[MOST];
};

static struct log_fit fit_of(const struct made *m)
{
    return (struct log_fit){
        .n = m->n, .p = m->p, .x = m->x, .w = m->w, .residual = m->residual, .time = m->time
    };
}

/* Parameters 1, t, t^2; residuals that hang together: a slow wave and a quick one. */
static void make(struct made *m, size_t n, size_t p)
{
    *m = (struct made){ .n = n, .p = p };
    for (size_t i = 0; i < n; i++) {
        const double t = (double)i / (double)n;
        m->time[i] = 60.0 * (double)i + (i % 3 == 1 ? 7.0 : 0.0) + (i > n / 2 ? 900.0 : 0.0);
        m->residual[i] = sin(9.0 * t) + 0.6 * cos(2.3 * (double)i);
        for (size_t a = 0; a < p; a++) {
            m->x[i].at[a] = pow(t, (double)a);
            m->w[i].at[a] = (1.0 + (double)a + cos((double)(i * (a + 1)))) / (double)n;
        }
    }
}

/* -------------------------------------------------------- whole matrices */

struct dense {
    double o[MOST][MOST], a[MOST][MOST],
        g;                       /* correlation; (1 - XW') O (1 - XW')'; W'OW of the first */
    double trace, squares, near; /* of A; of A A; of A next to its diagonal */
};

/* s: the middle one of the distances between readings; n is even, so that there is one. */
static double middle_distance(const struct made *m)
{
    for (size_t i = 1; i < m->n; i++) {
        size_t below = 0, same = 0;
        const double d = m->time[i] - m->time[i - 1];
        for (size_t k = 1; k < m->n; k++) {
            below += m->time[k] - m->time[k - 1] < d ? 1 : 0;
            same += m->time[k] - m->time[k - 1] == d ? 1 : 0;
        }
        if (below <= (m->n - 1) / 2 && (m->n - 1) / 2 < below + same)
            return d;
    }
    return 0.0;
}

/* 1 - X W' */
static double rest_at(const struct made *m, size_t i, size_t j)
{
    double sum = i == j ? 1.0 : 0.0;
    for (size_t a = 0; a < m->p; a++)
        sum -= m->x[i].at[a] * m->w[j].at[a];
    return sum;
}

static void correlation_fill(const struct made *m, double rho, struct dense *d)
{
    const double usual = middle_distance(m);
    for (size_t i = 0; i < m->n; i++)
        for (size_t j = 0; j < m->n; j++)
            d->o[i][j] = i == j       ? 1.0
                         : rho <= 0.0 ? 0.0
                                      : pow(rho, fabs(m->time[i] - m->time[j]) / usual);
}

static void dense_make(const struct made *m, double rho, struct dense *d)
{
    static double half[MOST][MOST];
    const double usual = middle_distance(m);
    correlation_fill(m, rho, d);
    d->g = d->trace = d->squares = d->near = 0.0;
    for (size_t i = 0; i < m->n; i++)
        for (size_t j = 0; j < m->n; j++) {
            half[i][j] = 0.0;
            for (size_t k = 0; k < m->n; k++)
                half[i][j] += rest_at(m, i, k) * d->o[k][j];
            d->g += m->w[i].at[0] * d->o[i][j] * m->w[j].at[0];
        }
    for (size_t i = 0; i < m->n; i++)
        for (size_t j = 0; j < m->n; j++) {
            d->a[i][j] = 0.0;
            for (size_t k = 0; k < m->n; k++)
                d->a[i][j] += half[i][k] * rest_at(m, j, k);
        }
    for (size_t i = 0; i < m->n; i++) {
        d->trace += d->a[i][i];
        if (i > 0 && m->time[i] - m->time[i - 1] <= 1.5 * usual)
            d->near += d->a[i][i - 1];
        for (size_t j = 0; j < m->n; j++)
            d->squares += d->a[i][j] * d->a[j][i];
    }
}

/* What residuals have in common with their near neighbours, of their squares. */
static double alikeness(const struct made *m, double *squares)
{
    const double usual = middle_distance(m);
    double alike = 0.0;
    *squares = 0.0;
    for (size_t i = 0; i < m->n; i++) {
        *squares += m->residual[i] * m->residual[i];
        if (i > 0 && m->time[i] - m->time[i - 1] <= 1.5 * usual)
            alike += m->residual[i] * m->residual[i - 1];
    }
    return alike / *squares;
}

/* ln of the variance at a correlation that its own standard error moved. */
static double log_variance(const struct made *m, double rho)
{
    static struct dense d;
    dense_make(m, fmin(rho, 0.98), &d);
    return log(d.g / d.trace);
}

static void expect_dense(const struct made *m, double least_rho)
{
    static struct dense d;
    double squares = 0.0;
    const struct log_fit fit = fit_of(m);
    const struct log_error got = log_error_of(&fit);
    const double alike = alikeness(m, &squares), rho = got.correlation;
    dense_make(m, rho, &d);
    cr_assert_geq(rho, least_rho, "%zu readings, %zu parameters: %g", m->n, m->p, rho);
    if (rho > 0.0)
        NEAR(d.near / d.trace, alike, 1e-5); /* 20 halvings of 0.98 */
    else
        cr_assert_leq(alike, d.near / d.trace);
    NEAR_REL(got.std_error, sqrt(squares / d.trace * d.g), 1e-10);
    const double doubt = sqrt((1.0 - rho * rho) / (double)m->n);
    const double moved = 0.5 * (log_variance(m, rho + doubt) - log_variance(m, rho - doubt));
    NEAR_REL(1.0 / got.freedom, d.squares / (d.trace * d.trace) + 0.5 * moved * moved, 1e-9);
}

Test(log_noise, sums_are_those_of_whole_matrices)
{
    static struct made m;
    for (size_t n = 30; n <= 74; n += 22)
        for (size_t p = 1; p <= P; p++) {
            make(&m, n, p);
            expect_dense(&m, 0.01);
        }
}

Test(log_noise, errors_that_do_not_hang_together_have_no_correlation)
{
    static struct made m;
    make(&m, 30, 2);
    for (size_t i = 0; i < m.n; i++)
        m.residual[i] = i % 2 ? 1.0 : -1.1;
    expect_dense(&m, 0.0);
    const struct log_fit fit = fit_of(&m);
    NEAR(log_error_of(&fit).correlation, 0.0, 0.0);
}

/* Residuals that are all but one course: no correlation above 0.98 is told. */
Test(log_noise, correlation_ends_at_its_bound)
{
    static struct made m;
    make(&m, 70, 1);
    for (size_t i = 0; i < m.n; i++)
        m.residual[i] = cos(PI * (double)i / 69.0);
    const struct log_fit fit = fit_of(&m);
    NEAR(log_error_of(&fit).correlation, 0.98, 1e-5);
}

/* A course of size 1 / sqrt 2 or so hangs together too much to tell freedom.  Within the claim it
 * is an error of its own size in all readings with a weight above 0, and one in all with a weight
 * below. */
Test(log_noise, what_hangs_together_within_the_claim_is_an_error_of_its_size)
{
    static struct made m;
    double squares = 0.0, up = 0.0, down = 0.0;
    make(&m, 70, 2);
    for (size_t i = 0; i < m.n; i++) {
        m.residual[i] = cos(PI * (double)i / 69.0);
        squares += m.residual[i] * m.residual[i];
        *(m.w[i].at[0] > 0.0 ? &up : &down) += m.w[i].at[0];
    }
    const double size = sqrt(squares / 70.0);
    struct log_fit fit = fit_of(&m);
    cr_assert_lt(log_error_of(&fit).freedom, 4.0);
    fit.claim = 0.999 * size;
    cr_expect_lt(log_error_of(&fit).freedom, 4.0);
    fit.claim = 1.001 * size;
    NEAR_REL(log_error_of(&fit).std_error, size * hypot(up, down), 1e-12);
    NEAR(log_error_of(&fit).freedom, 68.0, 1e-12);
}

/* The mean of n readings without anything in common: s / sqrt(n), the textbook's. */
Test(log_noise, a_mean_has_the_textbooks_standard_error)
{
    static struct made m;
    double squares = 0.0;
    make(&m, 10, 1);
    for (size_t i = 0; i < m.n; i++) {
        m.x[i].at[0] = 1.0;
        m.w[i].at[0] = 0.1;
        m.residual[i] = i % 2 ? 0.3 : -0.3;
        squares += 0.09;
    }
    const struct log_fit fit = fit_of(&m);
    NEAR_REL(log_error_of(&fit).std_error, sqrt(squares / 9.0 / 10.0), 1e-12);
}

/* All at one time: one after the other, each as far from the next as any. */
Test(log_noise, readings_of_one_instant_count_as_evenly_spaced)
{
    static struct made still, even;
    make(&still, 20, 2);
    even = still;
    for (size_t i = 0; i < still.n; i++) {
        still.time[i] = 5.0;
        even.time[i] = 10.0 * (double)i;
    }
    const struct log_fit a = fit_of(&still), b = fit_of(&even);
    const struct log_error of_still = log_error_of(&a), of_even = log_error_of(&b);
    cr_assert_gt(of_even.correlation, 0.1);
    NEAR_REL(of_still.std_error, of_even.std_error, 1e-12);
    NEAR_REL(of_still.freedom, of_even.freedom, 1e-12);
}

/* More than half of the distances are 0: the mean distance, 330 s over 11, takes the middle one's
 * place.  Readings of one instant are one to the correlation. */
Test(log_noise, readings_mostly_of_one_instant_are_as_far_apart_as_they_are_on_the_whole)
{
    static struct made m;
    make(&m, 12, 1);
    double squares = 0.0, g = 0.0, trace = 0.0;
    for (size_t i = 0; i < m.n; i++) {
        m.time[i] = i < 9 ? 0.0 : 110.0 * (double)(i - 8);
        squares += m.residual[i] * m.residual[i];
    }
    const struct log_fit fit = fit_of(&m);
    const struct log_error got = log_error_of(&fit);
    cr_assert_gt(got.correlation, 0.1);
    for (size_t k = 0; k < m.n; k++)
        for (size_t l = 0; l < m.n; l++) {
            const double o = pow(got.correlation, fabs(m.time[k] - m.time[l]) / 30.0);
            g += m.w[k].at[0] * o * m.w[l].at[0];
            for (size_t i = 0; i < m.n; i++)
                trace += rest_at(&m, i, k) * o * rest_at(&m, i, l);
        }
    NEAR_REL(got.std_error, sqrt(squares / trace * g), 1e-10);
}

/* ---------------------------------------------------------------- averages */

enum { LONG = 500 };

static struct log_vector long_x[LONG], long_w[LONG];
static double long_residual[LONG], long_time[LONG];

/* A log of n readings is judged as one of its averages of `each`, the last of what is left: how a
 * reading follows the parameters, residual and time by their means, the weights by their sums. */
static void expect_averages(size_t n, size_t each)
{
    static struct made m;
    m = (struct made){ .n = (n + each - 1) / each, .p = 2 };
    for (size_t i = 0; i < n; i++) {
        const double t = (double)i / (double)n;
        long_time[i] = 10.0 * (double)i + (i % 7 == 0 ? 3.0 : 0.0);
        long_residual[i] = sin(11.0 * t) + 0.5 * cos(2.0 * (double)i);
        long_x[i] = (struct log_vector){ { 1.0, t } };
        long_w[i] = (struct log_vector){ { (1.0 + t) / (double)n, t / (double)n } };
    }
    for (size_t k = 0; k < m.n; k++) {
        const size_t in_it = k * each + each <= n ? each : n - k * each;
        for (size_t i = k * each; i < k * each + in_it; i++) {
            m.time[k] += long_time[i] / (double)in_it;
            m.residual[k] += long_residual[i] / (double)in_it;
            for (size_t a = 0; a < 2; a++) {
                m.x[k].at[a] += long_x[i].at[a] / (double)in_it;
                m.w[k].at[a] += long_w[i].at[a];
            }
        }
    }
    const struct log_fit whole = {
        .n = n, .p = 2, .x = long_x, .w = long_w, .residual = long_residual, .time = long_time
    };
    const struct log_fit averages = fit_of(&m);
    const struct log_error got = log_error_of(&whole), want = log_error_of(&averages);
    cr_assert_gt(want.correlation, 0.1, "%zu", n);
    NEAR_REL(got.std_error, want.std_error, 1e-9);
    NEAR_REL(got.freedom, want.freedom, 1e-9);
    NEAR(got.correlation, want.correlation, 1e-9);
}

/* Up to 300 readings 75 averages at most, above, where a logger wrote them, 36. */
Test(log_noise, long_logs_are_judged_as_their_averages)
{
    expect_averages(76, 2);
    expect_averages(149, 2);
    expect_averages(300, 4);
    expect_averages(301, 9);
    expect_averages(500, 14);
}

/* ------------------------------------------------------------ the display */

/* By hand: weights that raise add up to 1.25, those that lower to 0.5. */
Test(log_noise, residuals_within_the_display_hide_one_error_up_and_one_down)
{
    const struct log_vector x[5] = {
        { { 1.0 } }, { { 1.0 } }, { { 1.0 } }, { { 1.0 } }, { { 1.0 } }
    };
    const struct log_vector w[5] = {
        { { 0.75 } }, { { -0.25 } }, { { 0.5 } }, { { 0.0 } }, { { -0.25 } }
    };
    const double time[5] = { 0.0, 1.0, 2.0, 3.0, 4.0 };
    double residual[6] = { 0.25, -0.25, 0.25, 0.25, -0.25, 9.0 }; /* the sixth is none of them */
    const struct log_fit fit = {
        .n = 5, .p = 1, .x = x, .w = w, .residual = residual, .time = time, .least = 0.25
    };
    struct log_error error = log_error_of(&fit);
    NEAR_REL(error.std_error, 0.25 * hypot(1.25, 0.5), 1e-12);
    NEAR(error.freedom, 4.0, 0.0);
    NEAR(error.correlation, 0.0, 0.0);
    residual[0] = 0.26; /* now they say more than the display hides */
    error = log_error_of(&fit);
    cr_assert_lt(error.freedom, 4.0);
}

Test(log_noise, as_many_parameters_as_readings_leave_no_freedom)
{
    static struct made m;
    make(&m, 2, 2);
    const struct log_fit fit = fit_of(&m);
    NEAR(log_error_of(&fit).freedom, 0.0, 0.0);
    make(&m, 4, 2);
    const struct log_fit more = fit_of(&m);
    cr_assert_gt(log_error_of(&more).freedom, 0.0);
}

/* ---------------------------------------------------------------- intervals */

/* Student's t, two-sided 95 %: 2.2281 at 10 degrees of freedom, 2.7764 at 4 (any table); the
 * model's 5 % is a standard error: 1.95996 of it to either side. */
Test(log_noise, intervals_are_those_of_students_t_and_of_the_models_error)
{
    const struct log_found found = { 2.0, 0.1, 10.0, 2.0 };
    struct sm_log_estimate e;
    cr_assert(log_estimate_make(&found, &e));
    NEAR(e.value, 2.0, 0.0);
    NEAR(e.std_error, 0.1, 0.0);
    NEAR(e.low, 2.0 - 0.22281, 1e-5);
    NEAR(e.high, 2.0 + 0.22281, 1e-5);
    NEAR(e.low_with_model, 2.0 - hypot(0.22281, 0.195996), 1e-5);
    NEAR(e.high_with_model, 2.0 + hypot(0.22281, 0.195996), 1e-5);
}

Test(log_noise, an_estimate_needs_four_degrees_of_freedom_and_finite_numbers)
{
    struct sm_log_estimate e;
    struct log_found found = { 2.0, 0.1, 4.0, 2.0 };
    cr_expect(log_estimate_make(&found, &e));
    NEAR(e.high, 2.0 + 0.27764, 1e-5);
    found.freedom = 3.999;
    cr_expect_not(log_estimate_make(&found, &e));
    found.freedom = nan("");
    cr_expect_not(log_estimate_make(&found, &e));
    found = (struct log_found){ 2.0, HUGE_VAL, 10.0, 2.0 };
    cr_expect_not(log_estimate_make(&found, &e));
    found = (struct log_found){ HUGE_VAL, 0.1, 10.0, 2.0 };
    cr_expect_not(log_estimate_make(&found, &e));
}

/* The interval is 2 x 2.22814 of the standard error wide. */
Test(log_noise, an_interval_wider_than_value_and_expectation_tells_nothing)
{
    struct sm_log_estimate e;
    struct log_found found = { 1.0, 1.0 / 4.456, 10.0, 0.5 };
    cr_expect_not(log_estimate_make(&found, &e));
    found.std_error = 1.0 / 4.457;
    cr_expect(log_estimate_make(&found, &e));
    found.value = 0.5;
    cr_expect_not(log_estimate_make(&found, &e));
    found.expected = 1.0;
    cr_expect(log_estimate_make(&found, &e));
}

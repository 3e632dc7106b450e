/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The heatsink from made-up readings of a known one: the closed form of a sink under constant heat,
 *
 *   T_s = T_end + (T_0 - T_end) exp(-(t - t_0) / tau),  tau = C / (1/R - slope),
 *   T_end = (heat + T_a / R) tau / C
 *
 * for each stretch of constant load, and nothing of the program's. */
#include "assess/log_sink.h"

#include "assess/log_noise.h"
#include "base/maths.h"
#include "support/near.h"
#include "support/noise.h"

#include <criterion/criterion.h>
#include <gsl/gsl_cdf.h>
#include <gsl/gsl_errno.h>

#define TRUE_RTH 0.045       /* K/W */
#define TRUE_CAPACITY 9500.0 /* J/K: tau about 7 min */
#define AMBIENT 298.15       /* K */

enum { MOST = 4000, SEEDS = 1000, FIRST_SEED = 1000004, MINUTE = 60 };

struct plan {
    size_t n;       /* readings, one every `spacing` s; half of them at each load */
    double spacing; /* s */
    double heat[2]; /* W  at 0 K of sink: what the chips would lose */
    double slope;   /* W/K */
    double sigma, rho;
};

struct made {
    double time[MOST], heat[MOST], slope[MOST], ambient[MOST], t_sink[MOST];
    bool outlier[MOST];
    struct sink_readings readings;
};

/* Two runs, 800 W and 850 W over a sink of 330 K, two hours, a reading a minute. */
static const struct plan usual = { .n = 121,
                                   .spacing = MINUTE,
                                   .heat = { 800.0 - 330.0, 850.0 - 330.0 },
                                   .slope = 1.0,
                                   .sigma = 0.3 };

static void begin(void)
{
    (void)gsl_set_error_handler_off();
}

TestSuite(log_sink, .init = begin);

static void make(struct made *m, const struct plan *plan, unsigned long seed)
{
    static double error[MOST];
    gsl_rng *rng = noise_seeded(seed);
    noise_fill(rng, plan->sigma, plan->rho, error, plan->n);
    gsl_rng_free(rng);
    const double tau = TRUE_CAPACITY / (1.0 / TRUE_RTH - plan->slope);
    double t = AMBIENT + 1.0;
    for (size_t i = 0; i < plan->n; i++) {
        const double heat = plan->heat[i < plan->n / 2 ? 0 : 1];
        m->time[i] = plan->spacing * (double)i;
        m->heat[i] = heat;
        m->slope[i] = plan->slope;
        m->ambient[i] = AMBIENT;
        m->t_sink[i] = t + error[i];
        /* the load changes half-way between two readings */
        const bool changes = i + 1 == plan->n / 2;
        for (int half = 0; half < 2; half++) {
            const double h = changes && half == 1 ? plan->heat[1] : heat;
            const double end = (h + AMBIENT / TRUE_RTH) * tau / TRUE_CAPACITY;
            t = end + (t - end) * exp(-0.5 * plan->spacing / tau);
        }
    }
    m->readings = (struct sink_readings){ plan->n,    m->time,   m->heat,    m->slope,
                                          m->ambient, m->t_sink, m->outlier, TRUE_RTH };
}

static struct sink_fit fit(struct made *m)
{
    struct arena arena;
    struct sink_fit out;
    arena_init(&arena);
    cr_assert_eq(sink_fit(&arena, &m->readings, &out), SM_OK);
    arena_release(&arena);
    return out;
}

static void coverage(const char *what, const struct plan *plan)
{
    static struct made m;
    int covered = 0;
    for (unsigned long seed = FIRST_SEED; seed < FIRST_SEED + SEEDS; seed++) {
        make(&m, plan, seed);
        const struct sink_fit f = fit(&m);
        covered += f.rth.low <= TRUE_RTH && TRUE_RTH <= f.rth.high ? 1 : 0;
    }
    noise_covers(what, covered, SEEDS, 93.0, 97.0);
}

Test(log_sink, interval_covers_the_truth_in_95_of_100_logs)
{
    coverage("two hours", &usual);
}

Test(log_sink, interval_covers_the_truth_in_95_of_100_logs_when_readings_hang_together)
{
    struct plan plan = usual;
    plan.rho = 0.5;
    coverage("correlated", &plan);
}

Test(log_sink, interval_covers_the_truth_in_95_of_100_logs_of_one_short_run)
{
    struct plan plan = usual;
    plan.n = 31; /* half an hour, four time constants */
    plan.heat[1] = plan.heat[0];
    coverage("short", &plan);
}

/* What is left is the linear rule over the one interval in which the load changes, taken at the
 * mean of both loads: exact for the half-way change to a part in (spacing / tau)^2. */
Test(log_sink, is_exact_without_errors)
{
    static struct made m;
    struct plan plan = usual;
    plan.sigma = 0.0;
    make(&m, &plan, 1);
    const struct sink_fit f = fit(&m);
    cr_expect(f.settled);
    cr_expect_eq(f.used, plan.n);
    NEAR_REL(f.rth.value, TRUE_RTH, 1e-4);
    NEAR_REL(f.capacity, TRUE_CAPACITY, 1e-3);
    NEAR_REL(f.time_constant, TRUE_RTH * TRUE_CAPACITY, 1e-3);
    NEAR(f.duration, 7200.0, 0.0);
}

/* From three to a hundred time constants, from a reading every 5 s to one every 10 min. */
Test(log_sink, finds_its_way_in_short_and_long_logs)
{
    static const struct {
        size_t n;
        double spacing;
    } logs[] = { { 300, 5.0 }, { 22, 60.0 }, { 720, 60.0 }, { 72, 600.0 }, { 3600, 12.0 } };
    static struct made m;
    for (size_t i = 0; i < sizeof logs / sizeof logs[0]; i++) {
        struct plan plan = usual;
        plan.n = logs[i].n;
        plan.spacing = logs[i].spacing;
        plan.heat[1] = plan.heat[0];
        make(&m, &plan, 2);
        const struct sink_fit f = fit(&m);
        cr_expect(f.settled, "%zu", i);
        NEAR(f.rth.value, TRUE_RTH, 4.0 * f.rth.std_error);
        NEAR_REL(f.capacity, TRUE_CAPACITY, 0.5); /* of readings 10 min apart hardly any tell it */
    }
}

/* The ambient rises by 12 K in two hours, evenly.  By the same closed form with the ambient's ramp:
 * a particular solution follows it by tau late. */
Test(log_sink, ambient_that_moves_is_followed)
{
    static struct made m;
    struct plan plan = usual;
    plan.sigma = 0.0;
    plan.slope = 0.0;
    plan.heat[0] = plan.heat[1] = 800.0;
    make(&m, &plan, 1);
    const double tau = TRUE_RTH * TRUE_CAPACITY, ramp = 12.0 / 7200.0;
    for (size_t i = 0; i < plan.n; i++) {
        m.ambient[i] = AMBIENT + ramp * m.time[i];
        const double end = m.ambient[i] - ramp * tau + 800.0 * TRUE_RTH;
        m.t_sink[i] = end + (1.0 - 800.0 * TRUE_RTH + ramp * tau) * exp(-m.time[i] / tau);
    }
    NEAR_REL(fit(&m).rth.value, TRUE_RTH, 1e-4);
}

Test(log_sink, strays_are_set_aside)
{
    static struct made m;
    make(&m, &usual, 4);
    const struct sink_fit want = fit(&m);
    static const size_t strays[] = { 0, 20, 21, 60, 120 };
    for (size_t i = 0; i < 5; i++)
        m.t_sink[strays[i]] += i % 2 ? 40.0 : -25.0;
    const struct sink_fit f = fit(&m);
    for (size_t i = 0; i < 5; i++)
        cr_expect(m.outlier[strays[i]], "%zu", strays[i]);
    cr_expect_geq(f.used, usual.n - 6);
    /* five readings fewer of 121, one of them the first: well within the error */
    NEAR(f.rth.value, want.rth.value, want.rth.std_error);
}

/* The usual log in a room that warms and cools by so much in an hour and a half. */
static struct sink_fit fit_in_a_swaying_room(double sigma, double sway)
{
    static struct made m;
    struct plan plan = usual;
    plan.sigma = sigma;
    make(&m, &plan, FIRST_SEED);
    for (size_t i = 0; i < plan.n; i++)
        m.t_sink[i] += sway * sin(2.0 * PI * m.time[i] / (90.0 * MINUTE));
    return fit(&m);
}

/* A room that warms and cools by 0.3 K in an hour and a half, which the log's own ambient does not
 * show: small against a rise of 35 K.  The quieter the thermometer, the more of it shows; 0.3 K of
 * 35 are 0.9 %, so that an interval of the readings alone never needs to be wider than 3 % either
 * way. */
Test(log_sink, a_small_misfit_does_not_void_the_estimate_however_quiet_the_readings)
{
    static const double sigma[] = { 0.3, 0.2, 0.1, 0.05, 0.02, 0.01, 0.0 };
    for (size_t k = 0; k < sizeof sigma / sizeof sigma[0]; k++) {
        const struct sink_fit f = fit_in_a_swaying_room(sigma[k], 0.3);
        cr_expect(f.settled, "%g K", sigma[k]);
        cr_expect(f.rth.low <= TRUE_RTH && TRUE_RTH <= f.rth.high, "%g K: %g to %g", sigma[k],
                  f.rth.low, f.rth.high);
        cr_expect_lt(f.rth.high - f.rth.low, 0.06 * TRUE_RTH, "%g K", sigma[k]);
    }
}

/* A room that swings by 4 K, more than a tenth of the rise, is no small misfit. */
Test(log_sink, a_misfit_that_is_not_small_leaves_it_not_settled_however_quiet_the_readings)
{
    static const double sigma[] = { 0.3, 0.05, 0.01, 0.0 };
    for (size_t k = 0; k < sizeof sigma / sizeof sigma[0]; k++)
        cr_expect_not(fit_in_a_swaying_room(sigma[k], 4.0).settled, "%g K", sigma[k]);
}

Test(log_sink, is_not_settled_before_two_time_constants)
{
    static struct made m;
    struct plan plan = usual;
    plan.sigma = 0.02;
    plan.spacing = 10.0;
    plan.heat[1] = plan.heat[0];
    plan.n = 82; /* 810 s; tau by R C is 427.5 s */
    make(&m, &plan, 1);
    cr_expect_not(fit(&m).settled);
    cr_expect(fit(&m).too_short);
    plan.n = 92; /* 910 s */
    make(&m, &plan, 1);
    cr_expect(fit(&m).settled);
    cr_expect_not(fit(&m).too_short);
}

Test(log_sink, tells_nothing_from_too_little)
{
    static struct made m;
    struct plan plan = usual;
    plan.n = 9;
    make(&m, &plan, 1);
    cr_expect_not(fit(&m).settled);
    plan.n = 0;
    make(&m, &plan, 1);
    cr_expect_not(fit(&m).settled);
    /* time stands still */
    make(&m, &usual, 1);
    for (size_t i = 0; i < usual.n; i++)
        m.time[i] = 0.0;
    cr_expect_not(fit(&m).settled);
    /* no heat: nothing rises */
    plan = usual;
    plan.heat[0] = plan.heat[1] = plan.slope = 0.0;
    make(&m, &plan, 1);
    cr_expect_not(fit(&m).settled);
    /* errors as large as the rise */
    plan = usual;
    plan.sigma = 60.0;
    plan.n = 31;
    make(&m, &plan, 1);
    cr_expect_not(fit(&m).settled);
}

/* Heat, slope and ambient that differ at every reading; between two of them their means, marched by
 * Runge and Kutta's rule in 200 steps. */
Test(log_sink, a_sink_is_followed_as_its_equation_says)
{
    enum { N = 12, STEPS = 200 };
    double time[N], heat[N], slope[N], ambient[N], followed[N], t = 310.0;
    for (int i = 0; i < N; i++) {
        time[i] = 40.0 * i + 9.0 * (i % 3);
        heat[i] = 500.0 + 90.0 * cos(1.7 * i);
        slope[i] = i < 2 ? 1.0 / TRUE_RTH : 2.0 * sin(0.9 * i); /* at first nothing leads back */
        ambient[i] = 298.0 + 0.7 * i;
    }
    const struct sink_readings r = {
        .n = N, .time = time, .heat = heat, .slope = slope, .ambient = ambient
    };
    sink_follow(&r, TRUE_RTH, TRUE_CAPACITY, t, followed);
    NEAR(followed[0], 310.0, 0.0);
    for (int i = 1; i < N; i++) {
        const double h = (time[i] - time[i - 1]) / STEPS;
        const double p = (heat[i] + heat[i - 1] + (ambient[i] + ambient[i - 1]) / TRUE_RTH) / 2.0;
        const double back = 1.0 / TRUE_RTH - (slope[i] + slope[i - 1]) / 2.0;
        for (int s = 0; s < STEPS; s++) {
            const double k1 = (p - back * t) / TRUE_CAPACITY;
            const double k2 = (p - back * (t + 0.5 * h * k1)) / TRUE_CAPACITY;
            const double k3 = (p - back * (t + 0.5 * h * k2)) / TRUE_CAPACITY;
            const double k4 = (p - back * (t + h * k3)) / TRUE_CAPACITY;
            t += h / 6.0 * (k1 + 2.0 * k2 + 2.0 * k3 + k4);
        }
        NEAR(followed[i], t, 1e-9);
    }
}

/* K per share of R_sa and of C_s, and per kelvin of start: how each reading follows, by differences
 * of the followed sink itself. */
static void slopes_of(const struct made *m, const struct sink_fit *f, struct log_vector *x)
{
    static double up[MOST], down[MOST];
    for (int a = 0; a < 3; a++) {
        const double d = a == 2 ? 0.01 : 1e-4;
        const double share = a == 2 ? 0.0 : d, kelvin = a == 2 ? d : 0.0;
        const double r = a == 0 ? share : 0.0, c = a == 1 ? share : 0.0;
        sink_follow(&m->readings, f->rth.value * (1.0 + r), f->capacity * (1.0 + c),
                    f->t_start + kelvin, up);
        sink_follow(&m->readings, f->rth.value * (1.0 - r), f->capacity * (1.0 - c),
                    f->t_start - kelvin, down);
        for (size_t i = 0; i < m->readings.n; i++)
            x[i].at[a] = (up[i] - down[i]) / (2.0 * d);
    }
}

/* The inverse of a symmetric 3 x 3 matrix by its cofactors. */
static void inverse(double m[3][3], double out[3][3])
{
    double det = 0.0;
    for (int i = 0; i < 3; i++)
        for (int j = 0; j < 3; j++) {
            const int a = (i + 1) % 3, b = (i + 2) % 3, c = (j + 1) % 3, d = (j + 2) % 3;
            out[i][j] = m[a][c] * m[b][d] - m[a][d] * m[b][c];
            det += i == 0 ? m[0][j] * out[0][j] : 0.0;
        }
    for (int i = 0; i < 3; i++)
        for (int j = 0; j < 3; j++)
            out[i][j] /= det;
}

/* The error of R_sa is its share's, from the equation made straight about what was found: weights
 * (X'X)^-1 X' without the strays (docs/method.md, section 18); what is made of them is
 * test_log_noise.c's.  1e-4: differences of the followed sink on both sides. */
Test(log_sink, error_is_that_of_the_equation_made_straight)
{
    static struct made m;
    static struct log_vector x[MOST], used[MOST], w[MOST];
    static double residual[MOST], time[MOST], followed[MOST];
    make(&m, &usual, 9);
    m.t_sink[50] += 30.0; /* a stray */
    const struct sink_fit f = fit(&m);
    double xx[3][3] = { { 0.0 } }, inverted[3][3];
    size_t n = 0;
    cr_assert(f.settled && m.outlier[50]);
    slopes_of(&m, &f, x);
    sink_follow(&m.readings, f.rth.value, f.capacity, f.t_start, followed);
    for (size_t i = 0; i < m.readings.n; i++)
        if (!m.outlier[i]) {
            time[n] = m.time[i];
            residual[n] = m.t_sink[i] - followed[i];
            used[n++] = x[i];
        }
    cr_assert_eq(n, f.used);
    for (size_t i = 0; i < n; i++)
        for (int a = 0; a < 3; a++)
            for (int b = 0; b < 3; b++)
                xx[a][b] += used[i].at[a] * used[i].at[b];
    inverse(xx, inverted);
    for (size_t i = 0; i < n; i++)
        for (int a = 0; a < 3; a++)
            for (int b = 0; b < 3; b++)
                w[i].at[a] += inverted[a][b] * used[i].at[b];
    const struct log_fit straight = {
        .n = n, .p = 3, .x = used, .w = w, .residual = residual, .time = time
    };
    const struct log_error error = log_error_of(&straight);
    NEAR_REL(f.rth.std_error, f.rth.value * error.std_error, 1e-4);
    const double half = gsl_cdf_tdist_Pinv(0.975, error.freedom) * f.rth.std_error;
    NEAR_REL(f.rth.high - f.rth.low, 2.0 * half, 1e-4);
    /* the least squares themselves: no parameter would be better elsewhere */
    for (int a = 0; a < 3; a++) {
        double sum = 0.0, size = 0.0;
        for (size_t i = 0; i < n; i++) {
            sum += used[i].at[a] * residual[i];
            size += fabs(used[i].at[a] * residual[i]);
        }
        NEAR(sum, 0.0, 1e-5 * size);
    }
}

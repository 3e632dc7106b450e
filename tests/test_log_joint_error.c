/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Weights and changes that the program has in closed form, here by what they mean: a weight is what
 * the estimate moves by with one reading.  What is made of them then is test_log_noise.c's. */
#include "assess/log_joint_error.h"

#include "assess/log_noise.h"
#include "support/near.h"

#include <criterion/criterion.h>
#include <gsl/gsl_cdf.h>

enum { COLD = 8, LOADED = 40, N = COLD + LOADED, STRAY = 20 };

struct made {
    double time[N], power[N], rise[N];
    bool cold[N], outlier[N];
    enum sm_log_offset from;
};

struct estimate {
    double rth, offset, drift;
};

/* Errors that hang together, heat that varies, one stray. */
static void make(struct made *m, enum sm_log_offset from)
{
    *m = (struct made){ .from = from };
    for (size_t i = 0; i < N; i++) {
        m->cold[i] = i < COLD;
        m->time[i] = 100.0 + 60.0 * (double)i;
        m->power[i] = m->cold[i] ? 0.0 : 150.0 + 60.0 * sin(0.4 * (double)i) + (double)i;
        m->rise[i] = 0.05 * m->power[i] + 0.3 * sin(0.7 * (double)i) + 0.1 * cos(2.1 * (double)i);
    }
    m->rise[STRAY] += 50.0;
    m->outlier[STRAY] = true;
}

static size_t first_of(const struct made *m)
{
    return m->from == SM_LOG_OFFSET_COLD ? 0 : COLD;
}

static bool loaded(const struct made *m, size_t i)
{
    return !m->cold[i] && !m->outlier[i];
}

/* 1: place of a loaded reading from the first to the last of them, less its mean, each counted with
 * the square of its heat: a change about that middle leaves R_joint as it is. */
static double place(const struct made *m, size_t i)
{
    double sum = 0.0, of = 0.0;
    for (size_t k = COLD; k < N; k++)
        if (loaded(m, k)) {
            sum += m->power[k] * m->power[k] * (double)(k - COLD) / (LOADED - 1);
            of += m->power[k] * m->power[k];
        }
    return (double)(i - COLD) / (LOADED - 1) - sum / of;
}

/* Least squares, plainly: the offset before, with, or without the line. */
static struct estimate estimate_of(const struct made *m)
{
    double n = 0.0, p = 0.0, pp = 0.0, y = 0.0, py = 0.0, cold = 0.0;
    struct estimate e = { 0.0, 0.0, 0.0 };
    for (size_t i = 0; i < N; i++) {
        cold += m->cold[i] ? m->rise[i] / COLD : 0.0;
        if (!loaded(m, i))
            continue;
        n += 1.0;
        p += m->power[i];
        pp += m->power[i] * m->power[i];
        y += m->rise[i];
        py += m->power[i] * m->rise[i];
    }
    if (m->from == SM_LOG_OFFSET_COLD)
        e.offset = cold;
    if (m->from == SM_LOG_OFFSET_FITTED)
        e.offset = (y * pp - p * py) / (n * pp - p * p);
    e.rth = (py - e.offset * p) / pp;
    double product = 0.0, squares = 0.0;
    for (size_t i = COLD; i < N; i++)
        if (loaded(m, i)) {
            const double pv = m->power[i] * place(m, i);
            product += (m->rise[i] - e.offset) * pv;
            squares += pv * pv;
        }
    e.drift = product / squares;
    return e;
}

/* The design and the weights, and the error that they leave in the parameter of column 0. */
struct design {
    size_t n, p;
    struct log_vector x[N], w[N];
    double residual[N], time[N];
};

/* Columns: R_joint and, where there is one, the offset; with a change, that one `first` or last. */
static struct log_error expected_error(const struct made *m, bool drift, bool first)
{
    static struct design d;
    const struct estimate at = estimate_of(m);
    const size_t offset = m->from == SM_LOG_OFFSET_NONE ? 0 : 1, own = drift && first ? 1 : 0;
    const size_t change = first ? 0 : 1 + offset;
    d = (struct design){ .p = 1 + offset + (drift ? 1 : 0) };
    for (size_t i = first_of(m); i < N; i++) {
        if (m->outlier[i])
            continue;
        struct made moved = *m;
        moved.rise[i] += 1.0;
        const struct estimate to = estimate_of(&moved);
        const double pv = m->cold[i] ? 0.0 : m->power[i] * place(m, i);
        d.x[d.n].at[own] = m->power[i];
        d.w[d.n].at[own] = to.rth - at.rth;
        if (offset) {
            d.x[d.n].at[own + 1] = 1.0;
            d.w[d.n].at[own + 1] = to.offset - at.offset;
        }
        if (drift) {
            d.x[d.n].at[change] = pv;
            d.w[d.n].at[change] = to.drift - at.drift;
        }
        d.time[d.n] = m->time[i];
        d.residual[d.n++] =
            m->rise[i] - at.rth * m->power[i] - at.offset - (drift ? at.drift * pv : 0.0);
    }
    const struct log_fit fit = {
        .n = d.n, .p = d.p, .x = d.x, .w = d.w, .residual = d.residual, .time = d.time
    };
    return log_error_of(&fit);
}

static size_t loaded_of(const struct made *m)
{
    size_t n = 0;
    for (size_t i = 0; i < N; i++)
        n += loaded(m, i) ? 1 : 0;
    return n;
}

static struct joint_fit judged(struct made *m)
{
    const size_t first = first_of(m);
    const struct estimate e = estimate_of(m);
    const struct joint_readings readings = { N - first,
                                             &m->time[first],
                                             &m->power[first],
                                             &m->rise[first],
                                             &m->cold[first],
                                             &m->outlier[first],
                                             0.05 };
    struct joint_fit fit = { .rth = { .value = e.rth },
                             .offset = e.offset,
                             .offset_from = m->from,
                             .loaded = loaded_of(m),
                             .cold = first ? 0 : COLD };
    struct arena arena;
    arena_init(&arena);
    cr_assert_eq(joint_error(&arena, &readings, &fit), SM_OK);
    arena_release(&arena);
    return fit;
}

static void add_change(struct made *m, double drift)
{
    for (size_t i = COLD; i < N; i++)
        m->rise[i] += drift * m->power[i] * place(m, i);
}

/* 1e-7: weights as differences of estimates. */
static void expect_error(const struct joint_fit *fit, const struct log_error *want)
{
    const double half = gsl_cdf_tdist_Pinv(0.975, want->freedom) * want->std_error;
    NEAR_REL(fit->rth.std_error, want->std_error, 1e-7);
    NEAR_REL(fit->rth.high - fit->rth.value, half, 1e-6);
    cr_assert(fit->settled);
}

Test(log_joint_error, weights_are_what_each_reading_moves_the_estimate_by)
{
    static const enum sm_log_offset from[] = { SM_LOG_OFFSET_COLD, SM_LOG_OFFSET_NONE,
                                               SM_LOG_OFFSET_FITTED };
    for (size_t k = 0; k < 3; k++) {
        struct made m;
        make(&m, from[k]);
        add_change(&m, -estimate_of(&m).drift);
        const struct joint_fit fit = judged(&m);
        const struct log_error want = expected_error(&m, false, false);
        cr_expect_not(fit.drift.given);
        expect_error(&fit, &want);
    }
}

Test(log_joint_error, a_change_is_told_and_taken_out_of_the_error)
{
    static const enum sm_log_offset from[] = { SM_LOG_OFFSET_COLD, SM_LOG_OFFSET_NONE };
    for (size_t k = 0; k < 2; k++) {
        struct made m;
        make(&m, from[k]);
        add_change(&m, 0.03);
        const struct estimate e = estimate_of(&m);
        const struct joint_fit fit = judged(&m);
        const struct log_error want = expected_error(&m, true, false);
        cr_assert(fit.drift.given);
        NEAR_REL(fit.drift.value, e.drift / e.rth, 1e-9);
        expect_error(&fit, &want);
    }
}

/* An offset that is fitted could pass for a change. */
Test(log_joint_error, no_change_is_told_beside_a_fitted_offset)
{
    struct made m;
    make(&m, SM_LOG_OFFSET_FITTED);
    add_change(&m, 0.03);
    cr_expect_not(judged(&m).drift.given);
}

/* Moving the change alone moves neither R_joint nor what is left: the bound stays where it is, at
 * Student's t of 99 %, two-sided. */
Test(log_joint_error, a_change_is_told_where_it_is_surer_than_99_per_cent)
{
    static const enum sm_log_offset from[] = { SM_LOG_OFFSET_COLD, SM_LOG_OFFSET_NONE };
    for (size_t k = 0; k < 2; k++)
        for (int sign = -1; sign <= 1; sign += 2) {
            struct made m;
            make(&m, from[k]);
            const struct log_error error = expected_error(&m, true, true);
            const double bound = gsl_cdf_tdist_Pinv(0.995, error.freedom) * error.std_error * sign;
            cr_assert_geq(fabs(bound), 1.1 * LOG_LEAST_DRIFT * estimate_of(&m).rth);
            add_change(&m, 0.99 * bound - estimate_of(&m).drift);
            cr_expect_not(judged(&m).drift.given);
            add_change(&m, 0.02 * bound);
            cr_expect(judged(&m).drift.given);
        }
}

/* Exactly known, a change below a tenth of the joint is still not told. */
Test(log_joint_error, a_small_change_is_not_told_however_sure)
{
    for (int sign = -1; sign <= 1; sign += 2) {
        struct made m;
        make(&m, SM_LOG_OFFSET_NONE);
        for (size_t i = COLD; i < N; i++)
            m.rise[i] = 0.05 * m.power[i] + (i % 2 ? 1e-5 : -1e-5);
        add_change(&m, sign * 0.0499 * LOG_LEAST_DRIFT);
        cr_expect_not(judged(&m).drift.given);
        add_change(&m, sign * 0.0002 * LOG_LEAST_DRIFT);
        cr_expect(judged(&m).drift.given);
    }
}

/* However clear it is: the first and the last reading of the log and five more tell none. */
Test(log_joint_error, fewer_than_eight_readings_tell_no_change)
{
    for (size_t more = 5; more <= 6; more++) {
        struct made m;
        make(&m, SM_LOG_OFFSET_NONE);
        for (size_t i = COLD; i < N; i++) {
            m.rise[i] = 0.05 * m.power[i] + (i % 2 ? 1e-5 : -1e-5);
            m.outlier[i] = i > COLD + more && i + 1 < N;
        }
        add_change(&m, 0.03);
        cr_assert_eq(loaded_of(&m), more + 2);
        cr_expect_eq(judged(&m).drift.given, more == 6, "%zu", more);
    }
}

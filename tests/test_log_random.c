/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Logs of any content: whatever is in the cells, a judgement holds finite numbers, and says why
 * where it holds none. */
#include "support/log_bench.h"
#include "support/noise.h"

#include <criterion/criterion.h>
#include <gsl/gsl_rng.h>
#include <math.h>

enum { LOGS = 400, MOST = 60 };

/* SI, what a column of a file may hold; log_columns.def. */
static const double low[SM_LOG_COLUMN_COUNT] = { 0, 0, 213.15, 213.15, 213.15, 1, 0, 0, 0, 0, 0 };
static const double high[SM_LOG_COLUMN_COUNT] = { 6e7,   1000,  423.15, 523.15, 573.15, 1e7,
                                                  20000, 20000, 20000,  5000,   5000 };

static bool heads(gsl_rng *rng, double chance)
{
    return gsl_rng_uniform(rng) < chance;
}

/* Anywhere in its range, at its ends, or near what a real log has. */
static double value_of(gsl_rng *rng, int column, double tame)
{
    static const double usual[SM_LOG_COLUMN_COUNT] = { 0,  60, 300, 335, 345, 1000,
                                                       77, 77, 77,  648, 40 };
    if (heads(rng, tame))
        return usual[column] * (1.0 + 0.02 * gsl_rng_uniform(rng));
    const double ends[] = { low[column], high[column],
                            low[column] + gsl_rng_uniform(rng) * (high[column] - low[column]) };
    return ends[gsl_rng_uniform_int(rng, 3)];
}

static void fill(gsl_rng *rng, struct sm_log *log)
{
    const double tame = gsl_rng_uniform(rng), gaps = 0.3 * gsl_rng_uniform(rng);
    const bool still = heads(rng, 0.1);
    double time = 0.0;
    bool has[SM_LOG_COLUMN_COUNT];
    for (int k = 0; k < SM_LOG_COLUMN_COUNT; k++)
        has[k] = heads(rng, 0.9);
    for (size_t i = 0; i < log->n_rows; i++) {
        log_put(log, i, SM_LOG_TIME, time);
        time += still ? 0.0 : heads(rng, 0.9) ? 60.0 : 1e5 * gsl_rng_uniform(rng);
        const bool cold = heads(rng, 0.2);
        for (int k = SM_LOG_OUTPUT; k < SM_LOG_COLUMN_COUNT; k++)
            if (has[k] && !heads(rng, gaps))
                log_put(log, i, (enum sm_log_column)k,
                        cold && k >= SM_LOG_IU && k <= SM_LOG_IW ? 0.0 : value_of(rng, k, tame));
    }
}

static void expect_finding(const struct sm_log_finding *finding, bool own_why)
{
    const bool told =
        finding->result != SM_LOG_IS_NOT_CHECKED && finding->result != SM_LOG_IS_NOT_SETTLED;
    cr_expect_eq(told, finding->why == SM_LOG_TOLD && !own_why);
    cr_expect_leq(finding->n_causes, SM_LOG_CAUSES);
    cr_expect(told || finding->n_causes == 0);
}

static void expect_estimate(const struct sm_log_estimate *e)
{
    cr_expect(isfinite(e->value) && isfinite(e->std_error) && isfinite(e->low) &&
              isfinite(e->high) && isfinite(e->low_with_model) && isfinite(e->high_with_model));
    cr_expect(e->low_with_model <= e->low && e->low <= e->value && e->value <= e->high &&
              e->high <= e->high_with_model && e->std_error >= 0.0);
}

static void expect_sane(const struct sm_log_judgement *j)
{
    expect_finding(&j->balance.is, false);
    expect_finding(&j->joint.is, false);
    expect_finding(&j->sink.is, false);
    expect_finding(&j->bus.is, false);
    expect_finding(&j->ripple.is, j->ripple.untold != SM_TOLD);
    if (j->joint.is.why == SM_LOG_TOLD)
        expect_estimate(&j->joint.rth);
    if (j->sink.is.why == SM_LOG_TOLD)
        expect_estimate(&j->sink.rth);
    cr_expect(isfinite(j->joint.offset) && isfinite(j->joint.drift.value) &&
              isfinite(j->joint.per_kelvin.value) && isfinite(j->joint.thickness.value));
    cr_expect(isfinite(j->sink.capacity) && isfinite(j->sink.time_constant));
    cr_expect(isfinite(j->balance.median) && isfinite(j->bus.median) && isfinite(j->ripple.lost));
    cr_expect(isfinite(j->ripple.expected) && isfinite(j->ntc.t));
    cr_expect_eq(j->used + j->n_asides, j->samples);
    for (size_t i = 0; i < j->n_asides; i++)
        cr_expect(isfinite(j->asides[i].off));
}

Test(log_random, whatever_is_in_a_log_the_judgement_is_finite_and_says_why_it_holds_nothing,
     .timeout = 120)
{
    static struct sm_log_row rows[MOST];
    struct log_bench b;
    log_bench_open(&b, NULL);
    for (unsigned long seed = 1; seed <= LOGS; seed++) {
        gsl_rng *rng = noise_seeded(seed);
        b.log = log_made(rows, 1 + gsl_rng_uniform_int(rng, MOST));
        fill(rng, &b.log);
        gsl_rng_free(rng);
        log_bench_judge(&b, seed % 7 == 0 && b.log.has[SM_LOG_NTC]);
        expect_sane(&b.judgement);
    }
    sm_log_init(&b.log);
    log_bench_close(&b);
}

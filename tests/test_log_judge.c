/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Whole logs of drives whose state is known.  The logs are made by tests/reference/logs.py: heat of
 * the second calculation, the sink marched by another rule. */
#include "swapmargin/log.h"

#include "support/log_bench.h"
#include "support/near.h"
#include "support/noise.h"
#include "support/run.h"

#include <criterion/criterion.h>
#include <stdio.h>
#include <stdlib.h>

/* K/W: of the example drive and module.  Joint: 0.042 K/W at 1 W/(m.K), here 0.8 W/(m.K), the same
 * thickness.  Heatsink: 0.044 K/W times the air's density at 200 m, 0.98094 of that at sea level,
 * to the -0.8 (ISO 2533). */
#define TRUE_JOINT 0.0525
#define TRUE_SINK 0.044682
#define TRUE_CAPACITY 9500.0 /* J/K */

enum { SEEDS = 1000, FIRST_SEED = 2000003, MOST = 200 };

static void open_example(struct log_bench *b, const char *name)
{
    char path[512];
    (void)snprintf(path, sizeof path, SM_EXAMPLES "/log-%s.csv", name);
    log_bench_open(b, path);
}

/* The log without errors. */
static void open_exact(struct log_bench *b, const char *name)
{
    struct run run;
    char command[512], path[128];
    run_open(&run);
    (void)snprintf(command, sizeof command,
                   SM_PYTHON " -B " SM_TESTS_DIR "/reference/logs.py --exact \"$T\" %s", name);
    run_line(&run, command);
    cr_assert_eq(run.code, 0, "%s", run.err);
    (void)snprintf(path, sizeof path, "%s/log-%s.csv", run.folder, name);
    log_bench_open(b, path);
    run_close(&run);
}

/* ------------------------------------------------------------------ truth */

/* 0.3 %: what the second calculation and the grid of the heat may differ by, and for the joint of a
 * sensor that is off by 0.4 K no more, for the cold rows tell it. */
Test(log_judge, without_errors_the_truth_comes_out)
{
    struct log_bench b;
    open_exact(&b, "good");
    log_bench_judge(&b, false);
    const struct sm_log_judgement *j = &b.judgement;
    NEAR_REL(j->joint.rth.value, TRUE_JOINT, 3e-3);
    NEAR_REL(j->sink.rth.value, TRUE_SINK, 3e-3);
    NEAR_REL(j->sink.capacity, TRUE_CAPACITY, 5e-3);
    NEAR_REL(j->joint.expected, TRUE_JOINT, 1e-9);
    NEAR_REL(j->sink.expected, TRUE_SINK, 1e-4); /* digits of the density */
    NEAR(j->joint.offset, 0.4, 1e-6);
    NEAR_REL(j->joint.thickness.value, 100e-6, 3e-3);
    cr_expect_eq(j->samples, 130);
    cr_expect_eq(j->used, 130);
    cr_expect_eq(j->loaded, 120);
    cr_expect_eq(j->cold, 10);
    log_bench_close(&b);
}

/* The heatsink of a drive whose joint is bad comes out right all the same: the case as read tells
 * how warm the chips are.  With the joint of the files it would be 3 % off. */
Test(log_judge, a_bad_joint_does_not_spoil_the_heatsink)
{
    struct log_bench b;
    open_exact(&b, "thick-layer");
    log_bench_judge(&b, false);
    NEAR_REL(b.judgement.sink.rth.value, TRUE_SINK, 3e-3);
    NEAR_REL(b.judgement.joint.rth.value, 2.4 * TRUE_JOINT, 3e-3);
    NEAR_REL(b.judgement.joint.thickness.value, 240e-6, 3e-3);
    for (size_t i = 0; i < b.log.n_rows; i++)
        b.log.rows[i].cell[SM_LOG_CASE].given = false;
    log_bench_judge(&b, false);
    cr_expect_gt(b.judgement.sink.rth.value, 1.015 * TRUE_SINK);
    log_bench_close(&b);
}

/* Five rows as one, the mean of each column, as a logger makes that averages: the rise of the sink
 * is seen through five minutes. */
static void average_of_five(struct sm_log *log)
{
    const size_t n = log->n_rows / 5;
    for (size_t i = 0; i < n; i++)
        for (int k = 0; k < SM_LOG_COLUMN_COUNT; k++) {
            double sum = 0.0;
            for (size_t m = 0; m < 5; m++)
                sum += log->rows[5 * i + m].cell[k].value;
            log->rows[i].cell[k] = sm_given(sum / 5.0);
        }
    log->n_rows = n;
}

/* 1.5 %: the fit takes the heat to rise in a straight line between two rows, which moves the start
 * by half a row, 2.5 min of 115. */
Test(log_judge, a_log_of_averages_tells_the_heatsink)
{
    struct log_bench b;
    open_exact(&b, "good");
    average_of_five(&b.log);
    log_bench_judge(&b, false);
    const struct sm_log_estimate *s = &b.judgement.sink.rth;
    cr_expect_eq(b.judgement.sink.is.result, SM_LOG_IS_AS_EXPECTED);
    cr_expect(s->low <= TRUE_SINK && TRUE_SINK <= s->high, "%g to %g", s->low, s->high);
    NEAR_REL(s->value, TRUE_SINK, 0.015);
    log_bench_close(&b);
    open_example(&b, "good");
    average_of_five(&b.log);
    log_bench_judge(&b, false);
    cr_expect_eq(b.judgement.sink.is.result, SM_LOG_IS_AS_EXPECTED);
    log_bench_close(&b);
}

/* Errors on sink and case of a log that has none: sigma each, of which neighbouring rows share rho.
 * The sensors agree otherwise: 0.4 K of case would be 0.1 % of heat, which is the model's error,
 * not the readings'.  least_told, %: logs from which both are told. */
static void coverage(double sigma, double rho, int least_told)
{
    static double clean[MOST][2], error[2][MOST];
    struct log_bench b;
    int joint = 0, sink = 0, told = 0; /* both are told */
    open_exact(&b, "good");
    const size_t n = b.log.n_rows;
    for (size_t i = 0; i < n; i++) {
        clean[i][0] = b.log.rows[i].cell[SM_LOG_SINK].value;
        clean[i][1] = b.log.rows[i].cell[SM_LOG_CASE].value - 0.4;
    }
    for (unsigned long seed = FIRST_SEED; seed < FIRST_SEED + SEEDS; seed++) {
        gsl_rng *rng = noise_seeded(seed);
        noise_fill(rng, sigma, rho, error[0], n);
        noise_fill(rng, sigma, rho, error[1], n);
        gsl_rng_free(rng);
        for (size_t i = 0; i < n; i++) {
            b.log.rows[i].cell[SM_LOG_SINK].value = clean[i][0] + error[0][i];
            b.log.rows[i].cell[SM_LOG_CASE].value = clean[i][1] + error[1][i];
        }
        log_bench_judge_again(&b);
        const struct sm_log_estimate *r = &b.judgement.joint.rth, *s = &b.judgement.sink.rth;
        if (b.judgement.joint.is.why != SM_LOG_TOLD || b.judgement.sink.is.why != SM_LOG_TOLD)
            continue;
        told++;
        joint += r->low <= TRUE_JOINT && TRUE_JOINT <= r->high ? 1 : 0;
        sink += s->low <= TRUE_SINK && TRUE_SINK <= s->high ? 1 : 0;
    }
    cr_expect_geq(told, SEEDS * least_told / 100, "%d told", told);
    noise_covers("joint", joint, told, 93.0, 97.0);
    noise_covers("heatsink", sink, told, 93.0, 97.0);
    log_bench_close(&b);
}

/* 1 %: the count's own standard deviation is 0.7 %. */
Test(log_judge, intervals_cover_the_truth_in_95_of_100_logs, .timeout = 120)
{
    coverage(0.3, 0.0, 100);
}

Test(log_judge, intervals_cover_the_truth_in_95_of_100_logs_whose_rows_hang_together,
     .timeout = 120)
{
    coverage(0.3, 0.6, 98);
}

/* Errors that take 4.5 min to forget themselves, on a heatsink of 7 min: from some logs it is not
 * told, and from the rest the intervals hold. */
Test(log_judge, intervals_that_are_told_hold_when_errors_are_as_slow_as_the_heatsink,
     .timeout = 120)
{
    coverage(0.3, 0.8, 75);
}

/* --------------------------------------------------------------- examples */

/* The generator writes the files in examples/, to the byte. */
Test(log_judge, examples_are_what_the_generator_makes)
{
    struct run run;
    run_open(&run);
    run_line(&run, SM_PYTHON " -B " SM_TESTS_DIR "/reference/logs.py \"$T\" && cd \"$T\" && "
                             "for f in log-*.csv; do cmp \"$f\" \"$E/$f\" || exit 1; done; "
                             "ls log-*.csv | wc -l");
    cr_expect_eq(run.code, 0, "%s%s", run.out, run.err);
    cr_expect_str_eq(run.out, "5\n");
    run_close(&run);
}

struct scenario {
    const char *name;
    enum sm_log_result_id joint, sink, balance;
    enum sm_log_cause_id cause; /* the likeliest of the one that is bad */
};

static const struct scenario scenarios[] = {
    { "good", SM_LOG_IS_AS_EXPECTED, SM_LOG_IS_AS_EXPECTED, SM_LOG_IS_PASS, SM_LOG_CAUSE_COUNT },
    { "thick-layer", SM_LOG_IS_HIGH, SM_LOG_IS_AS_EXPECTED, SM_LOG_IS_PASS,
      SM_LOG_CAUSE_THICK_LAYER },
    { "dry-spot", SM_LOG_IS_HIGH, SM_LOG_IS_AS_EXPECTED, SM_LOG_IS_PASS, SM_LOG_CAUSE_DRY_SPOT },
    { "blocked-fins", SM_LOG_IS_AS_EXPECTED, SM_LOG_IS_HIGH, SM_LOG_IS_PASS,
      SM_LOG_CAUSE_BLOCKED_FINS },
    { "weak-phase", SM_LOG_IS_AS_EXPECTED, SM_LOG_IS_AS_EXPECTED, SM_LOG_IS_FAIL,
      SM_LOG_CAUSE_WEAK_PHASE },
};

static void expect_cause(const struct scenario *s, const struct sm_log_finding *finding)
{
    const bool bad = finding->result == SM_LOG_IS_HIGH || finding->result == SM_LOG_IS_FAIL;
    cr_expect(bad == (finding->n_causes > 0), "%s", s->name);
    if (bad)
        cr_expect_eq(finding->cause[0], s->cause, "%s", s->name);
}

Test(log_judge, each_fault_has_its_own_verdict_and_cause_and_a_good_repair_has_none)
{
    for (size_t i = 0; i < sizeof scenarios / sizeof scenarios[0]; i++) {
        const struct scenario *s = &scenarios[i];
        struct log_bench b;
        open_example(&b, s->name);
        log_bench_judge(&b, false);
        const struct sm_log_judgement *j = &b.judgement;
        cr_expect_eq(j->joint.is.result, s->joint, "%s", s->name);
        cr_expect_eq(j->sink.is.result, s->sink, "%s", s->name);
        cr_expect_eq(j->balance.is.result, s->balance, "%s", s->name);
        cr_expect_eq(j->bus.is.result, SM_LOG_IS_PASS);
        cr_expect_eq(j->ripple.is.result, SM_LOG_IS_PASS);
        cr_expect_eq(sm_log_is_bad(j), i > 0, "%s", s->name);
        expect_cause(s, &j->joint.is);
        expect_cause(s, &j->sink.is);
        expect_cause(s, &j->balance.is);
        log_bench_close(&b);
    }
}

/* What stands in SCENARIOS of logs.py, in parts of the files' values.  The dry spot is where the
 * case is read: 1.15 times the layer, twice that there. */
Test(log_judge, what_is_wrong_with_the_examples_is_found_by_its_size)
{
    static const struct {
        const char *name;
        double joint, sink;
    } truth[] = { { "good", 1.0, 1.0 },
                  { "thick-layer", 2.4, 1.0 },
                  { "dry-spot", 2.3, 1.0 },
                  { "blocked-fins", 1.0, 1.9 },
                  { "weak-phase", 1.0, 1.0 } };
    for (size_t i = 0; i < sizeof truth / sizeof truth[0]; i++) {
        struct log_bench b;
        open_example(&b, truth[i].name);
        log_bench_judge(&b, false);
        const struct sm_log_estimate *r = &b.judgement.joint.rth, *s = &b.judgement.sink.rth;
        const double joint = truth[i].joint * TRUE_JOINT, sink = truth[i].sink * TRUE_SINK;
        cr_expect(r->low_with_model <= joint && joint <= r->high_with_model, "%s", truth[i].name);
        cr_expect(s->low_with_model <= sink && sink <= s->high_with_model, "%s", truth[i].name);
        NEAR_REL(r->value, joint, 0.05); /* the fifth part of what would be told as high */
        NEAR_REL(s->value, sink, 0.03);
        log_bench_close(&b);
    }
}

Test(log_judge, a_weak_phase_is_named)
{
    struct log_bench b;
    open_example(&b, "weak-phase");
    log_bench_judge(&b, false);
    cr_expect_eq(b.judgement.balance.worst, 1);
    /* 0.87 of the others: its mean is (2 + 0.87) / 3; 1.5 % for the clamps' own 0.4 % each */
    NEAR(b.judgement.balance.phase[1], 0.87 / (2.87 / 3.0) - 1.0, 0.015);
    log_bench_close(&b);
}

Test(log_judge, the_thermistor_stands_for_the_case_only_when_asked)
{
    struct log_bench b;
    open_example(&b, "good");
    for (size_t i = 0; i < b.log.n_rows; i++)
        b.log.rows[i].cell[SM_LOG_CASE].given = false;
    b.log.has[SM_LOG_CASE] = false;
    log_bench_judge(&b, false);
    cr_expect_eq(b.judgement.joint.is.result, SM_LOG_IS_NOT_SETTLED);
    cr_expect_eq(b.judgement.joint.is.why, SM_LOG_WHY_NTC_IS_NO_CASE);
    cr_expect_eq(b.judgement.ntc.why, SM_LOG_TOLD);
    log_bench_judge(&b, true);
    cr_expect_eq(b.judgement.joint.is.why, SM_LOG_TOLD);
    cr_expect(b.judgement.joint.from_ntc);
    /* 0.012 K/W of logs.py between thermistor and base is counted with the joint; 5 %: noise, and
     * the wander of the thermistor's own reading */
    NEAR_REL(b.judgement.joint.rth.value, TRUE_JOINT + 0.012, 0.05);
    log_bench_close(&b);
}

/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Joint and heatsink of whole logs: what must not move them, what must, and what is said where they
 * cannot be told.  Drive and module are the fixture's, whose losses do not follow temperature, so
 * that these properties hold to the rounding; or the examples. */
#include "assess/log_thermal.h"

#include "assess/log_judge.h"
#include "support/fixture.h"
#include "support/log_bench.h"
#include "support/near.h"
#include "support/noise.h"
#include "swapmargin/engine.h"

#include <criterion/criterion.h>
#include <gsl/gsl_errno.h>
#include <stdlib.h>

enum { COLD = 10, LOADED = 80, ROWS = COLD + LOADED };

/* A log of the fixture: cold, then 30 Hz, then 60 Hz, with errors. */
struct made {
    struct fixture f;
    struct sm_log_row row[ROWS];
    struct sm_log log;
    struct sm_log_judgement j;
};

static void make(struct made *m)
{
    static double error[3][ROWS];
    gsl_rng *rng = noise_seeded(42);
    for (int k = 0; k < 3; k++)
        noise_fill(rng, 0.2, 0.3, error[k], ROWS);
    gsl_rng_free(rng);
    fixture_make(&m->f);
    sm_log_judgement_init(&m->j);
    m->log = log_made(m->row, ROWS);
    for (size_t i = 0; i < ROWS; i++) {
        const bool loaded = i >= COLD;
        const double sink = 300.0 + (loaded ? 40.0 * (1.0 - exp(-(double)(i - COLD) / 9.0)) : 0.0);
        log_put(&m->log, i, SM_LOG_TIME, 60.0 * (double)i);
        log_put(&m->log, i, SM_LOG_OUTPUT, !loaded ? 0.0 : i < ROWS / 2 ? 30.0 : 60.0);
        log_put(&m->log, i, SM_LOG_AMBIENT, 300.0);
        log_put(&m->log, i, SM_LOG_SINK, sink + error[0][i]);
        log_put(&m->log, i, SM_LOG_CASE, sink + (loaded ? 10.0 : 0.0) + error[1][i]);
        for (int k = 0; k < SM_LOG_PHASES; k++)
            log_put(&m->log, i, SM_LOG_IU + (enum sm_log_column)k, loaded ? 77.0 : 0.0);
    }
}

static void judge(struct made *m)
{
    struct sm_faults faults;
    struct sm_result result;
    struct sm_loadrun expected;
    sm_faults_init(&faults);
    sm_result_init(&result);
    sm_loadrun_init(&expected);
    sm_log_judgement_release(&m->j);
    cr_assert_eq(sm_run(&m->f.c, &result, &faults), SM_OK);
    cr_assert_eq(sm_loadrun(&m->f.c, &result, &expected, &faults), SM_OK);
    cr_assert_eq(sm_log_judge(&m->f.c, &expected, &m->log, false, &m->j, &faults), SM_OK);
    sm_loadrun_release(&expected);
    sm_result_release(&result);
    sm_faults_release(&faults);
}

static void shift(struct made *m, enum sm_log_column column, double by)
{
    for (size_t i = 0; i < ROWS; i++)
        m->row[i].cell[column].value += by;
}

/* 1e-9: sums of a hundred temperatures of 300 K, whose differences are a few kelvins. */
static void same_joint(const struct sm_log_joint *a, const struct sm_log_joint *b, double times)
{
    NEAR_REL(a->rth.value, times * b->rth.value, 1e-9);
    NEAR_REL(a->rth.std_error, times * b->rth.std_error, 1e-6);
    NEAR_REL(a->rth.low, times * b->rth.low, 1e-7);
    NEAR_REL(a->rth.high_with_model, times * b->rth.high_with_model, 1e-7);
}

Test(log_thermal, what_both_sensors_or_one_are_off_by_does_not_move_the_joint_when_cold_rows_tell)
{
    struct made m;
    make(&m);
    judge(&m);
    const struct sm_log_joint was = m.j.joint;
    cr_assert_eq(was.is.why, SM_LOG_TOLD);
    cr_expect_eq(was.offset_from, SM_LOG_OFFSET_COLD);
    shift(&m, SM_LOG_CASE, 3.0);
    shift(&m, SM_LOG_SINK, 3.0);
    judge(&m);
    same_joint(&m.j.joint, &was, 1.0);
    shift(&m, SM_LOG_CASE, 2.0);
    judge(&m);
    same_joint(&m.j.joint, &was, 1.0);
    NEAR(m.j.joint.offset, was.offset + 2.0, 1e-9);
    sm_log_judgement_release(&m.j);
}

Test(log_thermal, the_joint_goes_with_case_over_sink)
{
    struct made m;
    make(&m);
    judge(&m);
    const struct sm_log_joint was = m.j.joint;
    for (size_t i = 0; i < ROWS; i++) {
        struct sm_log_row *row = &m.row[i];
        const double over = row->cell[SM_LOG_CASE].value - row->cell[SM_LOG_SINK].value;
        row->cell[SM_LOG_CASE].value = row->cell[SM_LOG_SINK].value + 1.7 * over;
    }
    judge(&m);
    same_joint(&m.j.joint, &was, 1.7);
    sm_log_judgement_release(&m.j);
}

Test(log_thermal, the_heatsink_goes_with_sink_over_ambient_and_its_capacity_against_it)
{
    struct made m;
    make(&m);
    judge(&m);
    const struct sm_log_sink was = m.j.sink;
    cr_assert_eq(was.is.why, SM_LOG_TOLD);
    for (size_t i = 0; i < ROWS; i++) {
        struct sm_log_row *row = &m.row[i];
        const double over = row->cell[SM_LOG_SINK].value - row->cell[SM_LOG_AMBIENT].value;
        row->cell[SM_LOG_SINK].value = row->cell[SM_LOG_AMBIENT].value + 1.3 * over;
    }
    judge(&m);
    /* 1e-5: the search ends where the last step is that small */
    NEAR_REL(m.j.sink.rth.value, 1.3 * was.rth.value, 1e-5);
    NEAR_REL(m.j.sink.capacity, was.capacity / 1.3, 1e-4);
    NEAR_REL(m.j.sink.time_constant, was.time_constant, 1e-4);
    sm_log_judgement_release(&m.j);
}

Test(log_thermal, neither_the_names_of_the_phases_nor_when_the_log_began_count)
{
    struct made m;
    make(&m);
    judge(&m);
    const struct sm_log_judgement was = m.j;
    for (size_t i = 0; i < ROWS; i++) {
        struct sm_optional *cell = m.row[i].cell, swap = cell[SM_LOG_IU];
        cell[SM_LOG_IU] = cell[SM_LOG_IW];
        cell[SM_LOG_IW] = swap;
    }
    shift(&m, SM_LOG_TIME, 86400.0);
    m.j.asides = NULL;
    judge(&m);
    same_joint(&m.j.joint, &was.joint, 1.0);
    NEAR_REL(m.j.sink.rth.value, was.sink.rth.value, 1e-9);
    NEAR(m.j.balance.median, was.balance.median, 1e-12);
    free(was.asides);
    sm_log_judgement_release(&m.j);
}

/* Without cold rows, heat that does not span 2 to 1 leaves the offset at 0: what the sensors are
 * off by passes for resistance, and how much each kelvin of it would be is told. */
Test(log_thermal, without_cold_rows_each_kelvin_between_the_sensors_counts_as_told)
{
    struct made m;
    make(&m);
    m.log.rows += COLD;
    m.log.n_rows -= COLD;
    judge(&m);
    const struct sm_log_joint was = m.j.joint;
    cr_expect_eq(was.offset_from, SM_LOG_OFFSET_NONE);
    shift(&m, SM_LOG_CASE, 1.0);
    judge(&m);
    const double moved = (m.j.joint.rth.value - was.rth.value) / was.expected;
    /* 30 and 60 Hz differ in heat; the median is told */
    NEAR_REL(moved, was.per_kelvin.value, 0.02);
    sm_log_judgement_release(&m.j);
}

/* ------------------------------------------------------------- put aside */

/* The aside of a row; its line is 0 when it is in use. */
static struct sm_log_aside aside_of(const struct made *m, size_t row)
{
    for (size_t i = 0; i < m->j.n_asides; i++)
        if (m->j.asides[i].line == m->row[row].line)
            return m->j.asides[i];
    return (struct sm_log_aside){ .line = 0 };
}

static void expect_aside(const struct made *m, size_t row, enum sm_log_aside_id why)
{
    const struct sm_log_aside aside = aside_of(m, row);
    cr_expect_eq(aside.line, m->row[row].line, "row %zu", row);
    cr_expect_eq(aside.why, why, "row %zu: %d", row, (int)aside.why);
}

Test(log_thermal, rows_are_put_aside_with_their_lines_and_why)
{
    struct made m;
    make(&m);
    judge(&m);
    cr_assert_eq(m.j.n_asides, 0);
    const double was = m.j.joint.rth.value;
    m.row[20].cell[SM_LOG_CASE].given = false;
    m.row[21].cell[SM_LOG_IV].given = false;
    log_put(&m.log, 30, SM_LOG_OUTPUT, 0.5);
    log_put(&m.log, 31, SM_LOG_IU, 5000.0);
    shift(&m, SM_LOG_AMBIENT, 0.0);
    m.row[40].cell[SM_LOG_CASE].value += 30.0;
    m.row[50].cell[SM_LOG_SINK].value -= 25.0;
    judge(&m);
    expect_aside(&m, 20, SM_LOG_ASIDE_GAP);
    cr_expect_eq(aside_of(&m, 20).column, SM_LOG_CASE);
    expect_aside(&m, 21, SM_LOG_ASIDE_GAP);
    expect_aside(&m, 30, SM_LOG_ASIDE_STANDING);
    expect_aside(&m, 31, SM_LOG_ASIDE_CURRENT);
    expect_aside(&m, 40, SM_LOG_ASIDE_JOINT_OFF);
    NEAR(aside_of(&m, 40).off, 30.0, 1.0); /* 5 spreads of an error of 0.2 K */
    cr_expect_gt(aside_of(&m, 50).line, 0);
    cr_expect_eq(m.j.n_asides, 6);
    cr_expect_eq(m.j.used, ROWS - 6);
    NEAR_REL(m.j.joint.rth.value, was, 0.01);
    /* a cold row needs no frequency */
    m.row[2].cell[SM_LOG_OUTPUT].given = false;
    judge(&m);
    cr_expect_eq(m.j.n_asides, 6);
    sm_log_judgement_release(&m.j);
}

/* ------------------------------------------------------------- not told */

static void drop(struct made *m, enum sm_log_column column)
{
    m->log.has[column] = false;
    for (size_t i = 0; i < ROWS; i++)
        m->row[i].cell[column].given = false;
}

Test(log_thermal, what_is_missing_is_said)
{
    static const struct {
        enum sm_log_column gone;
        enum sm_log_why_id joint, sink;
    } rows[] = {
        { SM_LOG_CASE, SM_LOG_WHY_NO_CASE, SM_LOG_TOLD },
        { SM_LOG_SINK, SM_LOG_WHY_NO_SINK, SM_LOG_WHY_NO_SINK },
        { SM_LOG_AMBIENT, SM_LOG_TOLD, SM_LOG_WHY_NO_AMBIENT },
        { SM_LOG_IV, SM_LOG_WHY_NO_CURRENTS, SM_LOG_WHY_NO_CURRENTS },
        { SM_LOG_OUTPUT, SM_LOG_WHY_FEW_JOINT, SM_LOG_WHY_NO_WHOLE_ROW },
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        struct made m;
        make(&m);
        drop(&m, rows[i].gone);
        judge(&m);
        cr_expect_eq(m.j.joint.is.why, rows[i].joint, "%zu", i);
        cr_expect_eq(m.j.sink.is.why, rows[i].sink, "%zu", i);
        cr_expect_eq(m.j.joint.is.result == SM_LOG_IS_NOT_SETTLED, rows[i].joint != SM_LOG_TOLD);
        cr_expect_eq(m.j.sink.is.result == SM_LOG_IS_NOT_SETTLED, rows[i].sink != SM_LOG_TOLD);
        sm_log_judgement_release(&m.j);
    }
}

Test(log_thermal, too_few_rows_too_short_a_log_and_too_much_scatter_are_said)
{
    struct made m;
    make(&m);
    m.log.n_rows = COLD;
    judge(&m);
    cr_expect_eq(m.j.joint.is.why, SM_LOG_WHY_NO_LOAD);
    cr_expect_eq(m.j.sink.is.why, SM_LOG_WHY_NO_LOAD);
    m.log.n_rows = COLD + 4;
    judge(&m);
    cr_expect_eq(m.j.joint.is.why, SM_LOG_WHY_FEW_JOINT);
    cr_expect_eq(m.j.sink.is.why, SM_LOG_WHY_FEW_SINK);
    m.log.n_rows = COLD + 12; /* 11 min of a sink that takes 9 */
    judge(&m);
    cr_expect_eq(m.j.sink.is.why, SM_LOG_WHY_SHORT_SINK);
    m.log.n_rows = ROWS;
    for (size_t i = 0; i < ROWS; i++) { /* back and forth by more than the rise itself */
        m.row[i].cell[SM_LOG_CASE].value += i % 3 == 0 ? 90.0 : -45.0;
        m.row[i].cell[SM_LOG_SINK].value = i % 2 ? 290.0 : 310.0;
    }
    judge(&m);
    cr_expect_eq(m.j.joint.is.why, SM_LOG_WHY_SCATTERED_JOINT);
    cr_expect_eq(m.j.sink.is.result, SM_LOG_IS_NOT_SETTLED);
    sm_log_judgement_release(&m.j);
}

/* -------------------------------------------------------- high and low */

/* Expected outside the wider interval is not enough: it must differ by 15 %, too. */
Test(log_thermal, high_and_low_begin_fifteen_per_cent_from_what_is_expected)
{
    static const struct {
        double times;
        enum sm_log_result_id result;
    } rows[] = { { 1.0, SM_LOG_IS_AS_EXPECTED },
                 { 1.12, SM_LOG_IS_AS_EXPECTED },
                 { 1.18, SM_LOG_IS_HIGH },
                 { 0.87, SM_LOG_IS_AS_EXPECTED },
                 { 0.80, SM_LOG_IS_LOW } };
    struct made m;
    make(&m);
    judge(&m);
    const double found = m.j.joint.rth.value;
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        m.f.module.mounting.rth_cs = sm_given(found / rows[i].times);
        judge(&m);
        NEAR_REL(m.j.joint.expected, found / rows[i].times, 1e-9);
        cr_expect_eq(m.j.joint.is.result, rows[i].result, "%g", rows[i].times);
    }
    sm_log_judgement_release(&m.j);
}

/* Per switch: all of them side by side, 2 x (1/0.2 + 1/0.3) W/K for a half-bridge. */
Test(log_thermal, a_joint_told_per_switch_is_expected_as_all_side_by_side)
{
    struct made m;
    make(&m);
    m.f.module.mounting.rth_cs.given = false;
    m.f.module.igbt_thermal.rth_cs = sm_given(0.2);
    m.f.module.diode_thermal.rth_cs = sm_given(0.3);
    judge(&m);
    NEAR_REL(m.j.joint.expected, 1.0 / (2.0 * (1.0 / 0.2 + 1.0 / 0.3)), 1e-12);
    cr_expect_not(m.j.joint.thickness.given);
    sm_log_judgement_release(&m.j);
}

/* ------------------------------------------------------------- drift */

/* A joint that costs half of itself more at the end than at the begin, 1 + 0.5 (u - 1/2), is told
 * as such, its middle as the estimate. */
Test(log_thermal, a_joint_that_changes_is_told_and_does_not_pass_for_scatter)
{
    struct made m;
    make(&m);
    judge(&m);
    cr_expect_not(m.j.joint.drift.given);
    const double was = m.j.joint.rth.value;
    for (size_t i = COLD; i < ROWS; i++)
        m.row[i].cell[SM_LOG_CASE].value += 10.0 * 0.5 * ((double)(i - COLD) / (LOADED - 1) - 0.5);
    judge(&m);
    cr_assert_eq(m.j.joint.is.why, SM_LOG_TOLD);
    cr_assert(m.j.joint.drift.given);
    NEAR(m.j.joint.drift.value, 0.5, 0.05);   /* the error of a line through 80 errors of 0.3 K */
    NEAR_REL(m.j.joint.rth.value, was, 0.02); /* more heat at 60 Hz: the later half weighs more */
    sm_log_judgement_release(&m.j);
}

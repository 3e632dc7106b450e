/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Readings against those to stop at, and which runs a log has.  The readings to stop at are those
 * of the load run (tests/test_load_run.c); here it is asked what is done with them. */
#include "assess/log_runs.h"

#include "support/log_bench.h"
#include "support/near.h"

#include <criterion/criterion.h>

enum { ROWS = 122, COLD = 2, HALF = COLD + 60 };

/* A drive of 77 A: two rows without load, 60 a minute apart at 30 Hz, 60 at 60 Hz. */
struct made {
    struct log_bench b;
    struct sm_log_row row[ROWS];
    const struct sm_load_run *at_30, *at_60;
    const struct sm_log_stop *stop;
};

static void put_current(struct made *m, size_t from, double amperes)
{
    for (size_t i = from; i < ROWS; i++)
        for (int k = 0; k < SM_LOG_PHASES; k++)
            log_put(&m->b.log, i, SM_LOG_IU + (enum sm_log_column)k, i < COLD ? 0.0 : amperes);
}

static void open_made(struct made *m)
{
    log_bench_open(&m->b, NULL);
    m->b.log = log_made(m->row, ROWS);
    m->at_30 = &m->b.expected.runs[0];
    m->at_60 = &m->b.expected.runs[1];
    m->stop = &m->b.judgement.stop;
    put_current(m, 0, 77.0);
    for (size_t i = 0; i < ROWS; i++) {
        log_put(&m->b.log, i, SM_LOG_TIME, 60.0 * (double)i);
        log_put(&m->b.log, i, SM_LOG_OUTPUT, i < COLD ? 0.0 : i < HALF ? 30.0 : 60.0);
        log_put(&m->b.log, i, SM_LOG_SINK, 320.0 + 0.1 * (double)i);
        log_put(&m->b.log, i, SM_LOG_CASE, 330.0 + 0.1 * (double)i);
    }
}

static void close_made(struct made *m)
{
    sm_log_init(&m->b.log);
    log_bench_close(&m->b);
}

static void drop(struct made *m, enum sm_log_column column)
{
    m->b.log.has[column] = false;
    for (size_t i = 0; i < ROWS; i++)
        m->row[i].cell[column].given = false;
}

/* ------------------------------------------------------------------- stop */

/* 1 mK on either side of the reading of its own run, which is another than that of 60 Hz. */
Test(log_runs, a_reading_at_the_one_to_stop_at_fails_the_log_and_one_below_does_not)
{
    struct made m;
    open_made(&m);
    const double limit = m.at_30->stop_sink.value;
    cr_assert_gt(limit, m.at_60->stop_sink.value + 1.0);
    log_put(&m.b.log, 20, SM_LOG_SINK, limit - 0.001);
    log_bench_judge(&m.b, false);
    cr_expect_eq(m.stop->is.result, SM_LOG_IS_PASS);
    cr_expect_eq(m.stop->is.why, SM_LOG_TOLD);
    cr_expect_eq(m.stop->is.rows, ROWS - COLD);
    cr_expect_eq(m.stop->over, 0);
    cr_expect_eq(m.stop->line, 22); /* the nearest */
    log_put(&m.b.log, 20, SM_LOG_SINK, limit + 0.001);
    log_put(&m.b.log, 70, SM_LOG_SINK, limit + 9.0); /* hotter, and later */
    log_bench_judge(&m.b, false);
    cr_expect_eq(m.stop->is.result, SM_LOG_IS_FAIL);
    cr_expect_eq(m.stop->over, 2);
    cr_expect_eq(m.stop->line, 22); /* the first */
    cr_expect_eq(m.stop->column, SM_LOG_SINK);
    NEAR(m.stop->time, 1200.0, 1e-9);
    NEAR(m.stop->output_hz, 30.0, 1e-9);
    NEAR(m.stop->value, limit + 0.001, 1e-9);
    NEAR(m.stop->limit, limit, 1e-9);
    cr_expect(sm_log_is_bad(&m.b.judgement));
    close_made(&m);
}

Test(log_runs, the_case_is_held_against_its_own_reading)
{
    struct made m;
    open_made(&m);
    const double limit = m.at_60->stop_case[SM_IGBT].value;
    log_put(&m.b.log, 100, SM_LOG_CASE, limit - 0.001);
    log_bench_judge(&m.b, false);
    cr_expect_eq(m.stop->is.result, SM_LOG_IS_PASS);
    log_put(&m.b.log, 100, SM_LOG_CASE, limit + 0.001);
    log_bench_judge(&m.b, false);
    cr_expect_eq(m.stop->is.result, SM_LOG_IS_FAIL);
    cr_expect_eq(m.stop->column, SM_LOG_CASE);
    cr_expect_eq(m.stop->over, 1);
    close_made(&m);
}

/* Without load, and at a frequency that the sheet says nothing of: 5 % of 30 Hz are 1.5 Hz. */
Test(log_runs, what_is_of_no_run_is_held_against_nothing)
{
    struct made m;
    open_made(&m);
    log_put(&m.b.log, 0, SM_LOG_SINK, 450.0);
    log_put(&m.b.log, 20, SM_LOG_SINK, 450.0);
    log_put(&m.b.log, 20, SM_LOG_OUTPUT, 31.6);
    log_bench_judge(&m.b, false);
    cr_expect_eq(m.stop->is.result, SM_LOG_IS_PASS);
    log_put(&m.b.log, 20, SM_LOG_OUTPUT, 31.4);
    log_bench_judge(&m.b, false);
    cr_expect_eq(m.stop->is.result, SM_LOG_IS_FAIL);
    m.row[20].cell[SM_LOG_OUTPUT].given = false;
    log_bench_judge(&m.b, false);
    cr_expect_eq(m.stop->is.result, SM_LOG_IS_PASS);
    close_made(&m);
}

/* What is too hot is too hot, whatever else was not written down. */
Test(log_runs, a_log_of_nothing_but_the_sink_is_held_against_the_reading_to_stop_at)
{
    struct made m;
    open_made(&m);
    drop(&m, SM_LOG_IU);
    drop(&m, SM_LOG_CASE);
    log_put(&m.b.log, 70, SM_LOG_SINK, m.at_60->stop_sink.value + 0.001);
    log_bench_judge(&m.b, false);
    cr_expect_eq(m.b.judgement.sink.is.result, SM_LOG_IS_NOT_SETTLED);
    cr_expect_eq(m.stop->is.result, SM_LOG_IS_FAIL);
    close_made(&m);
}

Test(log_runs, why_nothing_was_held_against_it)
{
    struct made m;
    open_made(&m);
    for (size_t k = 0; k < 2; k++) /* as a case does that is too hot from ambient on */
        m.b.expected.runs[k].stop_sink = (struct sm_told){ .untold = SM_UNTOLD_HOT_FROM_AMBIENT };
    log_bench_judge(&m.b, false);
    cr_expect_eq(m.stop->is.result, SM_LOG_IS_NOT_CHECKED);
    cr_expect_eq(m.stop->is.why, SM_LOG_WHY_NO_STOP);
    put_current(&m, 0, 0.0);
    log_bench_judge(&m.b, false);
    cr_expect_eq(m.stop->is.why, SM_LOG_WHY_NO_TEST_ROW);
    drop(&m, SM_LOG_SINK);
    drop(&m, SM_LOG_CASE);
    log_bench_judge(&m.b, false);
    cr_expect_eq(m.stop->is.why, SM_LOG_WHY_NO_TEMPERATURE);
    close_made(&m);
}

/* The thermistor where it was asked to stand for the case: 3375 K and 5 kohm at 25 degC of the
 * example's module; 150 ohm is some 159 degC by eq. 18.14. */
Test(log_runs, the_thermistor_is_held_against_it_only_when_it_stands_for_the_case)
{
    struct made m;
    open_made(&m);
    log_put(&m.b.log, 100, SM_LOG_NTC, 150.0);
    log_bench_judge(&m.b, false);
    cr_expect_eq(m.stop->is.result, SM_LOG_IS_PASS);
    log_bench_judge(&m.b, true);
    cr_expect_eq(m.stop->is.result, SM_LOG_IS_FAIL);
    cr_expect_eq(m.stop->column, SM_LOG_NTC);
    close_made(&m);
}

/* ------------------------------------------------------------------- runs */

static bool has_note(const struct made *m, enum sm_log_note_id id, double hz)
{
    for (size_t i = 0; i < m->b.judgement.n_notes; i++)
        if (m->b.judgement.notes[i].id == id && m->b.judgement.notes[i].value[0] == hz)
            return true;
    return false;
}

Test(log_runs, a_log_of_both_runs_at_the_current_of_the_sheet_has_no_note)
{
    struct made m;
    open_made(&m);
    put_current(&m, 0, 1.09 * 77.0);
    log_bench_judge(&m.b, false);
    cr_expect_eq(m.b.judgement.n_notes, 0);
    cr_assert_eq(m.b.judgement.n_runs, 2);
    for (size_t k = 0; k < 2; k++) {
        const struct sm_log_run *run = &m.b.judgement.runs[k];
        NEAR(run->output_hz, k == 0 ? 30.0 : 60.0, 1e-9);
        cr_expect_eq(run->rows, 60);
        NEAR(run->duration, 59.0 * 60.0, 1e-9); /* from its first to its last row */
        NEAR(run->current.value, 1.09 * 77.0, 1e-9);
        NEAR(run->expected, 77.0, 1e-9);
    }
    close_made(&m);
}

Test(log_runs, a_run_that_is_not_in_the_log_is_named)
{
    struct made m;
    open_made(&m);
    m.b.log.n_rows = HALF;
    log_bench_judge(&m.b, false);
    cr_expect_eq(m.b.judgement.n_notes, 1);
    cr_expect(has_note(&m, SM_LOG_NOTE_NO_RUN, 60.0));
    put_current(&m, 0, 0.0);
    log_bench_judge(&m.b, false);
    cr_expect(has_note(&m, SM_LOG_NOTE_NO_RUN, 30.0));
    close_made(&m);
}

/* Half of the drive file's hour: 31 rows a minute apart are 30 min.  A stop between them does not
 * count. */
Test(log_runs, a_run_of_less_than_half_the_time_asked_is_named)
{
    struct made m;
    open_made(&m);
    m.b.log.n_rows = HALF + 31;
    log_bench_judge(&m.b, false);
    cr_expect_eq(m.b.judgement.n_notes, 0);
    m.b.log.n_rows = HALF + 30;
    log_bench_judge(&m.b, false);
    cr_expect(has_note(&m, SM_LOG_NOTE_SHORT_RUN, 60.0));
    m.b.log.n_rows = HALF + 32;
    for (int k = 0; k < SM_LOG_PHASES; k++)
        log_put(&m.b.log, HALF + 9, SM_LOG_IU + (enum sm_log_column)k, 0.0);
    log_bench_judge(&m.b, false);
    cr_expect(has_note(&m, SM_LOG_NOTE_SHORT_RUN, 60.0));
    NEAR(m.b.judgement.runs[1].duration, (8.0 + 21.0) * 60.0, 1e-9);
    close_made(&m);
}

Test(log_runs, another_current_than_the_sheet_expects_is_told_with_both)
{
    struct made m;
    open_made(&m);
    put_current(&m, HALF, 0.89 * 77.0);
    log_bench_judge(&m.b, false);
    cr_expect_eq(m.b.judgement.n_notes, 1);
    cr_expect(has_note(&m, SM_LOG_NOTE_OTHER_CURRENT, 60.0));
    NEAR(m.b.judgement.notes[0].value[1], 0.89 * 77.0, 1e-9);
    NEAR(m.b.judgement.notes[0].value[2], 77.0, 1e-9);
    close_made(&m);
}

/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The example's good log with one slip after the other.  Bounds: docs/method.md, section 18 (common
 * practice, no source). */
#include "assess/log_doubts.h"

#include "support/log_bench.h"
#include "support/near.h"

#include <criterion/criterion.h>

#define ZERO_C 273.15 /* K */

static struct log_bench b;

static void open_good(void)
{
    log_bench_open(&b, SM_EXAMPLES "/log-good.csv");
}

static void close_good(void)
{
    log_bench_close(&b);
}

TestSuite(log_doubts, .init = open_good, .fini = close_good);

static double *reading(size_t row, enum sm_log_column column)
{
    return &b.log.rows[row].cell[column].value;
}

static void scale(enum sm_log_column column, double by)
{
    for (size_t i = 0; i < b.log.n_rows; i++)
        *reading(i, column) *= by;
}

/* What stands in a column of degF is taken for degC. */
static void in_fahrenheit(enum sm_log_column column)
{
    for (size_t i = 0; i < b.log.n_rows; i++)
        *reading(i, column) = ZERO_C + 32.0 + 1.8 * (*reading(i, column) - ZERO_C);
}

/* Whether there is the note, and with which numbers. */
static bool has(enum sm_log_note_id id, struct sm_log_note *note)
{
    for (size_t i = 0; i < b.judgement.n_notes; i++)
        if (b.judgement.notes[i].id == id) {
            *note = b.judgement.notes[i];
            return true;
        }
    return false;
}

static bool noted(enum sm_log_note_id id)
{
    struct sm_log_note note;
    return has(id, &note);
}

static double number(enum sm_log_note_id id, int i)
{
    struct sm_log_note note = { .value = { 0.0 } };
    cr_assert(has(id, &note));
    return note.value[i];
}

/* Judges, and expects the note with its first number, and no other but those of the runs. */
static void expect_note(enum sm_log_note_id id, double value, double tolerance)
{
    log_bench_judge(&b, false);
    NEAR(number(id, 0), value, tolerance);
    for (size_t i = 0; i < b.judgement.n_notes; i++)
        cr_expect(b.judgement.notes[i].id == id ||
                      b.judgement.notes[i].id == SM_LOG_NOTE_SHORT_RUN ||
                      b.judgement.notes[i].id == SM_LOG_NOTE_NO_RUN,
                  "note %d", (int)b.judgement.notes[i].id);
}

static void expect_none(void)
{
    log_bench_judge(&b, false);
    cr_expect_eq(b.judgement.n_notes, 0);
}

Test(log_doubts, none_of_a_good_log)
{
    expect_none();
    cr_expect_not(b.judgement.sink.stuck);
}

/* ------------------------------------------------------------------- time */

/* 9500 J/K of logs.py, times what the time is off by; 3 % for the readings' errors. */
Test(log_doubts, seconds_or_hours_in_place_of_minutes_show_in_the_capacity)
{
    scale(SM_LOG_TIME, 60.0);
    expect_note(SM_LOG_NOTE_TIME, 60.0 * 9500.0, 0.03 * 60.0 * 9500.0);
    NEAR(number(SM_LOG_NOTE_TIME, 1), 9500.0, 1e-9);
    scale(SM_LOG_TIME, 1.0 / 3600.0);
    expect_note(SM_LOG_NOTE_TIME, 9500.0 / 60.0, 0.03 * 9500.0 / 60.0);
}

Test(log_doubts, a_capacity_within_ten_times_is_not_a_matter_of_units)
{
    scale(SM_LOG_TIME, 8.0);
    log_bench_judge(&b, false);
    cr_expect_not(noted(SM_LOG_NOTE_TIME));
    b.drive.cooling.sink_capacity.given = false;
    scale(SM_LOG_TIME, 60.0 / 8.0);
    log_bench_judge(&b, false);
    cr_expect_not(noted(SM_LOG_NOTE_TIME));
}

/* The last 45 min, when all has settled, say nothing of the capacity: the best fit has a hundred
 * times as much and more, and a standard error beyond all bounds. */
Test(log_doubts, a_capacity_that_the_log_does_not_tell_is_no_doubt)
{
    const size_t first = b.log.n_rows - 45;
    b.log.rows += first;
    b.log.n_rows -= first;
    log_bench_judge(&b, false);
    cr_expect_gt(b.judgement.sink.capacity, 100.0 * 9500.0);
    cr_expect_not(noted(SM_LOG_NOTE_TIME));
    b.log.rows -= first;
    b.log.n_rows += first;
}

/* ------------------------------------------------------------- thermistor */

Test(log_doubts, kilohm_are_named_and_the_column_does_not_vanish)
{
    scale(SM_LOG_NTC, 1e-3);
    expect_note(SM_LOG_NOTE_KILOHM, 1.07, 0.03); /* the middle one of the file, 1074 ohm */
    /* 5 kohm at 25 degC and B 3375 K of module-good.ini, by eq. 18.14 */
    NEAR_REL(number(SM_LOG_NOTE_KILOHM, 1), 5e3 * exp(3375.0 * (1.0 / 473.15 - 1.0 / 298.15)),
             1e-9);
    NEAR_REL(number(SM_LOG_NOTE_KILOHM, 2), 5e3 * exp(3375.0 * (1.0 / 233.15 - 1.0 / 298.15)),
             1e-9);
}

Test(log_doubts, ohms_that_no_factor_of_a_thousand_mends_are_another_columns)
{
    scale(SM_LOG_NTC, 1e3);
    expect_note(SM_LOG_NOTE_NO_NTC_VALUE, 1.07e6, 0.03e6);
}

Test(log_doubts, a_module_without_a_thermistor_has_no_doubtful_ohms)
{
    b.module.thermistor.r25.given = false;
    scale(SM_LOG_NTC, 1e-3);
    expect_none();
}

/* ------------------------------------------------------------ temperatures */

/* In the good log the thermistor is 2.4 K over the case by what both read less the same when cold,
 * where it is 0.6 K under it: 1.8 K. */
Test(log_doubts, a_case_far_from_the_thermistor_may_be_in_other_degrees)
{
    for (size_t i = 0; i < b.log.n_rows; i++)
        *reading(i, SM_LOG_CASE) -= 12.0;
    log_bench_judge(&b, false);
    cr_expect_not(noted(SM_LOG_NOTE_NTC_UNIT));
    for (size_t i = 0; i < b.log.n_rows; i++)
        *reading(i, SM_LOG_CASE) -= 2.0;
    expect_note(SM_LOG_NOTE_NTC_UNIT, 1.8 + 14.0, 0.2);
}

/* Cold rows of 27.25 degC for the air: 81.05 degF. */
Test(log_doubts, a_cold_heatsink_far_from_its_air_may_be_in_other_degrees)
{
    in_fahrenheit(SM_LOG_AMBIENT);
    expect_note(SM_LOG_NOTE_COLD_UNIT, 81.05 - 26.75, 0.5);
}

/* Rows without load after it are of a warm heatsink. */
Test(log_doubts, a_warm_heatsink_without_load_after_the_run_is_no_doubt)
{
    for (size_t i = 0; i < 10; i++) {
        struct sm_log_row *row = &b.log.rows[b.log.n_rows - 10 + i];
        for (int k = 0; k < SM_LOG_PHASES; k++) {
            b.log.rows[i].cell[SM_LOG_IU + k] = sm_given(77.0);
            row->cell[SM_LOG_IU + k] = sm_given(0.0);
        }
    }
    log_bench_judge(&b, false);
    cr_expect_not(noted(SM_LOG_NOTE_COLD_UNIT));
}

/* ------------------------------------------------------------------- stuck */

static void stand_still(double t)
{
    for (size_t i = 0; i < b.log.n_rows; i++)
        *reading(i, SM_LOG_SINK) = t + (i % 2 ? 0.4 : -0.4);
}

Test(log_doubts, a_heatsink_sensor_that_stands_still_is_named_and_no_layer_told)
{
    stand_still(300.15);
    expect_note(SM_LOG_NOTE_STUCK, 0.8, 1e-9);
    NEAR(number(SM_LOG_NOTE_STUCK, 1), 119.0 * 60.0, 1e-6);
    cr_expect_eq(b.judgement.joint.is.result, SM_LOG_IS_HIGH);
    cr_expect_eq(b.judgement.joint.is.n_causes, 1);
    cr_expect_eq(b.judgement.joint.is.cause[0], SM_LOG_CAUSE_SINK_STUCK);
    cr_expect_not(b.judgement.joint.thickness.given);
}

/* 1 K is the bound, and five minutes of load: rows 11 to 15 are four of them. */
Test(log_doubts, a_sensor_that_had_no_time_to_move_or_moves_by_a_kelvin_is_none)
{
    stand_still(300.15);
    *reading(50, SM_LOG_SINK) = 300.15 + 0.7;
    log_bench_judge(&b, false);
    cr_expect_not(noted(SM_LOG_NOTE_STUCK));
    stand_still(300.15);
    b.log.n_rows = 15;
    log_bench_judge(&b, false);
    cr_expect_not(noted(SM_LOG_NOTE_STUCK));
    b.log.n_rows = 16;
    log_bench_judge(&b, false);
    cr_expect(noted(SM_LOG_NOTE_STUCK));
}

/* Without the rows before the load a heatsink that stands still may have settled: 60 degC over air
 * of 28; not so when it reads as cool as the air. */
Test(log_doubts, a_heatsink_that_has_settled_stands_still_too)
{
    b.log.rows += 10;
    b.log.n_rows -= 10;
    stand_still(273.15 + 60.0);
    log_bench_judge(&b, false);
    cr_expect_not(noted(SM_LOG_NOTE_STUCK));
    stand_still(273.15 + 30.0);
    log_bench_judge(&b, false);
    cr_expect(noted(SM_LOG_NOTE_STUCK));
    b.log.rows -= 10;
    b.log.n_rows += 10;
}

/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "assess/log_thermal.h"

#include "support/fixture.h"
#include "support/log_bench.h"
#include "support/near.h"

#include <criterion/criterion.h>

enum { ROWS = 7, COLD = 3 };

#define R25 5000.0 /* ohm */
#define B 3400.0   /* K */

struct bench {
    struct fixture f;
    struct arena arena;
    struct sm_log log;
    struct sm_log_row row[ROWS];
    struct log_model model;
    struct log_rows rows;
    struct sm_log_ntc ntc;
};

/* ohm, by the definition of B. */
static double resistance(double t)
{
    return R25 * exp(B * (1.0 / t - 1.0 / 298.15));
}

/* Cold, all but the thermistor at 300 K, which shows 2 K more; loaded, the case at 340, 341 ... K,
 * the sink at 330, 332 ..., the thermistor at 350, 353 ...  Medians by hand of the four: thermistor
 * 354.5, over the case 354.5 - 341.5 = 13, over the sink 354.5 - 333 = 21.5. */
static void open(struct bench *b)
{
    fixture_make(&b->f);
    arena_init(&b->arena);
    b->f.module.thermistor.r25 = sm_given(R25);
    b->f.module.thermistor.b25_50 = sm_given(B);
    b->log = log_made(b->row, ROWS);
    for (size_t i = 0; i < ROWS; i++) {
        const double k = (double)i - COLD;
        const bool cold = i < COLD;
        for (int phase = 0; phase < SM_LOG_PHASES; phase++)
            log_put(&b->log, i, SM_LOG_IU + (enum sm_log_column)phase, cold ? 0.0 : 77.0);
        log_put(&b->log, i, SM_LOG_CASE, cold ? 300.0 : 340.0 + k);
        log_put(&b->log, i, SM_LOG_SINK, cold ? 300.0 : 330.0 + 2.0 * k);
        log_put(&b->log, i, SM_LOG_NTC, resistance(cold ? 302.0 : 350.0 + 3.0 * k));
    }
}

static void tell(struct bench *b)
{
    b->rows =
        (struct log_rows){ .arena = &b->arena, .c = &b->f.c, .log = &b->log, .model = &b->model };
    cr_assert_eq(log_rows_open(&b->rows), SM_OK);
    cr_assert_eq(log_ntc_tell(&b->rows, &b->ntc), SM_OK);
}

Test(log_ntc, is_told_under_load_and_over_case_and_sink_less_what_they_differ_by_cold)
{
    struct bench b;
    open(&b);
    tell(&b);
    cr_assert_eq(b.ntc.why, SM_LOG_TOLD);
    NEAR(b.ntc.t, 354.5, 1e-9);
    cr_assert(b.ntc.over_case.given && b.ntc.over_sink.given);
    NEAR(b.ntc.over_case.value, 13.0 - 2.0, 1e-9);
    NEAR(b.ntc.over_sink.value, 21.5 - 2.0, 1e-9);
    arena_release(&b.arena);
}

Test(log_ntc, without_cold_rows_nothing_is_taken_off)
{
    struct bench b;
    open(&b);
    b.log.rows += COLD;
    b.log.n_rows -= COLD;
    tell(&b);
    NEAR(b.ntc.over_case.value, 13.0, 1e-9);
    NEAR(b.ntc.over_sink.value, 21.5, 1e-9);
    arena_release(&b.arena);
}

/* Rows without the other reading count for the thermistor alone. */
Test(log_ntc, is_compared_in_rows_that_have_both)
{
    struct bench b;
    open(&b);
    b.row[3].cell[SM_LOG_CASE].given = b.row[4].cell[SM_LOG_CASE].given = false;
    for (size_t i = COLD; i < ROWS; i++)
        b.row[i].cell[SM_LOG_SINK].given = false;
    tell(&b);
    NEAR(b.ntc.t, 354.5, 1e-9);
    NEAR(b.ntc.over_case.value, 357.5 - 342.5 - 2.0, 1e-9); /* the last two rows */
    cr_assert_not(b.ntc.over_sink.given);
    NEAR(b.ntc.over_sink.value, 0.0, 0.0);
    arena_release(&b.arena);
}

Test(log_ntc, why_it_is_not_told_is_said)
{
    struct bench b;
    open(&b);
    b.f.module.thermistor.r25.given = false;
    tell(&b);
    cr_expect_eq(b.ntc.why, SM_LOG_WHY_NO_THERMISTOR);
    b.log.has[SM_LOG_NTC] = false;
    tell(&b);
    cr_expect_eq(b.ntc.why, SM_LOG_WHY_NO_NTC);
    b.f.module.thermistor.r25.given = true;
    tell(&b);
    cr_expect_eq(b.ntc.why, SM_LOG_WHY_NO_NTC);
    b.log.has[SM_LOG_NTC] = true;
    b.log.n_rows = COLD; /* nothing loaded */
    tell(&b);
    cr_expect_eq(b.ntc.why, SM_LOG_WHY_NO_NTC);
    arena_release(&b.arena);
}

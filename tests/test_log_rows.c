/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "assess/log_rows.h"

#include "support/fixture.h"
#include "support/log_bench.h"
#include "support/near.h"

#include <criterion/criterion.h>

enum { ROWS = 9 };

#define RATED 77.0 /* A  the fixture's */

struct bench {
    struct fixture f;
    struct arena arena, scratch;
    struct sm_log log;
    struct sm_log_row row[ROWS];
    struct log_model model;
    struct log_rows rows;
};

static void currents(struct bench *b, size_t i, double u, double v, double w)
{
    log_put(&b->log, i, SM_LOG_IU, u * RATED);
    log_put(&b->log, i, SM_LOG_IV, v * RATED);
    log_put(&b->log, i, SM_LOG_IW, w * RATED);
}

static void open(struct bench *b, size_t n)
{
    fixture_make(&b->f);
    arena_init(&b->arena);
    arena_init(&b->scratch);
    b->log = log_made(b->row, n);
    b->rows =
        (struct log_rows){ .arena = &b->arena, .c = &b->f.c, .log = &b->log, .model = &b->model };
}

static void close(struct bench *b)
{
    arena_release(&b->scratch);
    arena_release(&b->arena);
}

/* Cold: each phase below 5 % of the rated current; loaded: their mean above 20 %. */
Test(log_rows, are_cold_by_their_largest_current_and_loaded_by_the_mean)
{
    static const struct {
        double u, v, w;
        bool loaded, cold;
    } rows[] = { { 0.0, 0.0, 0.0, false, true },        { 0.049, 0.0, 0.049, false, true },
                 { 0.049, 0.051, 0.0, false, false },   { 0.0, 0.0, 0.051, false, false },
                 { 0.199, 0.199, 0.199, false, false }, { 0.6, 0.003, 0.0, true, false },
                 { 0.3, 0.2, 0.101, true, false },      { 0.05, 0.0, 0.0, false, false } };
    struct bench b;
    open(&b, ROWS);
    for (size_t i = 0; i < 8; i++)
        currents(&b, i, rows[i].u, rows[i].v, rows[i].w);
    log_put(&b.log, 8, SM_LOG_IU, RATED); /* the other two are not there */
    cr_assert_eq(log_rows_open(&b.rows), SM_OK);
    for (size_t i = 0; i < 8; i++) {
        cr_expect(b.rows.load[i].known);
        cr_expect_eq(b.rows.load[i].loaded, rows[i].loaded, "%zu", i);
        cr_expect_eq(b.rows.load[i].cold, rows[i].cold, "%zu", i);
        NEAR(b.rows.load[i].mean, RATED * (rows[i].u + rows[i].v + rows[i].w) / 3.0, 1e-12);
    }
    cr_expect_not(b.rows.load[8].known || b.rows.load[8].loaded || b.rows.load[8].cold);
    cr_expect_eq(b.rows.n_known, 8);
    cr_expect_eq(b.rows.n_loaded, 2);
    cr_expect_eq(b.rows.n_cold, 2);
    close(&b);
}

/* The map has to hold every frequency at which heat is asked for, 1 Hz and more, and ten times the
 * rated current. */
Test(log_rows, bounds_of_the_map_are_those_of_the_log)
{
    struct bench b;
    open(&b, 4);
    struct heat_bounds bounds = log_bounds(&b.f.c, &b.log);
    NEAR(bounds.hz_low, 1.0, 0.0);
    NEAR(bounds.hz_high, 1.0, 0.0);
    log_put(&b.log, 0, SM_LOG_OUTPUT, 30.0);
    log_put(&b.log, 1, SM_LOG_OUTPUT, 0.5);
    log_put(&b.log, 2, SM_LOG_OUTPUT, 45.0);
    bounds = log_bounds(&b.f.c, &b.log);
    NEAR(bounds.hz_low, 30.0, 0.0);
    NEAR(bounds.hz_high, 45.0, 0.0);
    NEAR(bounds.i_high, 10.0 * RATED, 1e-9);
    cr_expect(bounds.t_low < 213.15 && bounds.t_high > 573.15); /* what cells may hold */
    close(&b);
}

/* Over a held case neither the joint nor what else heats the sink counts: the chips' own rise over
 * it, loss times R_jc.  Over a held sink the joint is between. */
Test(log_rows, one_model_holds_the_case_and_the_other_the_sink)
{
    struct bench b;
    open(&b, 1);
    const struct heat_bounds bounds = { 1.0, 100.0, 770.0, 212.15, 574.15 };
    cr_assert_eq(log_model_open(&b.arena, &b.scratch, &b.f.c, &bounds, &b.model), SM_OK);
    cr_expect_eq(b.model.on_case.path.form, SM_JOINT_MODULE);
    NEAR(b.model.on_case.path.rth_module, 0.0, 0.0);
    NEAR(b.model.on_sink.path.rth_module, 0.05, 1e-12); /* the fixture's, at its own layer */
    /* a joint told per switch is none over a held case, too */
    b.f.module.mounting.rth_cs.given = false;
    b.f.module.igbt_thermal.rth_cs = sm_given(0.2);
    b.f.module.diode_thermal.rth_cs = sm_given(0.3);
    cr_assert_eq(log_model_open(&b.arena, &b.scratch, &b.f.c, &bounds, &b.model), SM_OK);
    cr_expect_eq(b.model.on_case.path.form, SM_JOINT_MODULE);
    NEAR(b.model.on_case.path.rth_module, 0.0, 0.0);
    cr_expect_neq(b.model.on_sink.path.form, SM_JOINT_MODULE);
    close(&b);
}

Test(log_rows, heat_is_told_of_cold_rows_and_of_known_ones_in_range)
{
    static const struct {
        double current, hz;
        bool can;
    } rows[] = { { 0.0, 0.0, true },
                 { 1.0, 0.99, false },
                 { 1.0, 1.0, true },
                 { 9.99, 60.0, true },
                 { 10.01, 60.0, false } };
    struct bench b;
    open(&b, 7);
    for (size_t i = 0; i < 5; i++) {
        currents(&b, i, rows[i].current, rows[i].current, rows[i].current);
        log_put(&b.log, i, SM_LOG_OUTPUT, rows[i].hz);
    }
    currents(&b, 5, 1.0, 1.0, 1.0);          /* no frequency */
    log_put(&b.log, 6, SM_LOG_OUTPUT, 60.0); /* no current */
    cr_assert_eq(log_rows_open(&b.rows), SM_OK);
    for (size_t i = 0; i < 5; i++)
        cr_expect_eq(log_rows_can_heat(&b.rows, i), rows[i].can, "%zu", i);
    cr_expect_not(log_rows_can_heat(&b.rows, 5));
    cr_expect_not(log_rows_can_heat(&b.rows, 6));
    close(&b);
}

/* Gaps count in the columns that joint and heatsink read; frequency under load only; the thermistor
 * where it stands for the case, and the case then not. */
Test(log_rows, gaps_put_a_row_aside_where_the_cell_is_read)
{
    static const enum sm_log_column read[] = { SM_LOG_AMBIENT, SM_LOG_SINK, SM_LOG_CASE,
                                               SM_LOG_OUTPUT };
    struct bench b;
    open(&b, 7);
    for (size_t i = 0; i < 7; i++) {
        for (int k = 0; k < SM_LOG_COLUMN_COUNT; k++)
            log_put(&b.log, i, (enum sm_log_column)k, 300.0);
        currents(&b, i, 1.0, 1.0, 1.0);
        log_put(&b.log, i, SM_LOG_OUTPUT, 60.0);
        log_put(&b.log, i, SM_LOG_NTC, 5000.0);
    }
    b.f.module.thermistor.r25 = sm_given(5000.0);
    b.f.module.thermistor.b25_50 = sm_given(3400.0);
    for (size_t i = 0; i < 4; i++)
        b.row[i].cell[read[i]].given = false;
    b.row[4].cell[SM_LOG_NTC].given = b.row[4].cell[SM_LOG_BUS].given = false;
    b.row[4].cell[SM_LOG_RIPPLE].given = false;
    currents(&b, 5, 0.0, 0.0, 0.0);
    b.row[5].cell[SM_LOG_OUTPUT].given = false; /* cold: not needed */
    cr_assert_eq(log_rows_open(&b.rows), SM_OK);
    for (size_t i = 0; i < 7; i++) {
        cr_expect_eq(b.rows.aside[i], i < 4 ? SM_LOG_ASIDE_GAP : SM_LOG_IN_USE, "%zu", i);
        if (i < 4)
            cr_expect_eq(b.rows.gap[i], read[i], "%zu", i);
    }
    b.rows.ntc_as_case = true;
    b.row[6].cell[SM_LOG_NTC].value = 1e9; /* no temperature that it could have */
    cr_assert_eq(log_rows_open(&b.rows), SM_OK);
    cr_expect_eq(b.rows.aside[2], SM_LOG_IN_USE);
    cr_expect_eq(b.rows.aside[4], SM_LOG_ASIDE_GAP);
    cr_expect_eq(b.rows.gap[4], SM_LOG_NTC);
    cr_expect_eq(b.rows.aside[6], SM_LOG_ASIDE_NTC);
    close(&b);
}

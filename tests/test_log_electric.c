/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Phases, bus and ripple of logs made here. */
#include "assess/log_electric.h"

#include "support/log_bench.h"
#include "support/near.h"

#include <criterion/criterion.h>

enum { ROWS = 6 };

/* A drive of 77 A and logs of a few rows, all of them alike. */
struct made {
    struct log_bench b;
    struct sm_log_row row[ROWS];
};

static void open_made(struct made *m, double iu, double iv, double iw)
{
    log_bench_open(&m->b, NULL);
    m->b.log = log_made(m->row, ROWS);
    for (size_t i = 0; i < ROWS; i++) {
        log_put(&m->b.log, i, SM_LOG_TIME, 60.0 * (double)i);
        log_put(&m->b.log, i, SM_LOG_OUTPUT, 60.0);
        log_put(&m->b.log, i, SM_LOG_IU, iu);
        log_put(&m->b.log, i, SM_LOG_IV, iv);
        log_put(&m->b.log, i, SM_LOG_IW, iw);
    }
}

static void close_made(struct made *m)
{
    sm_log_init(&m->b.log);
    log_bench_close(&m->b);
}

static void put_all(struct made *m, enum sm_log_column column, double si)
{
    for (size_t i = 0; i < ROWS; i++)
        log_put(&m->b.log, i, column, si);
}

/* Worked examples of NEMA MG-1's voltage unbalance, the same form, as makers' notes quote them
 * (read; recomputed, and rounded as they print them): 462, 463, 455 V: 1.1 %; 480, 476, 472 V:
 * 0.84 %; 460, 467, 450 V: 1.96 %. */
Test(log_electric, unbalance_is_that_of_the_published_examples)
{
    static const struct {
        double v[3], percent, rounding;
    } published[] = { { { 462, 463, 455 }, 1.1, 0.05 },
                      { { 480, 476, 472 }, 0.84, 0.005 },
                      { { 460, 467, 450 }, 1.96, 0.005 } };
    for (size_t i = 0; i < sizeof published / sizeof published[0]; i++) {
        struct made m;
        const double *v = published[i].v;
        open_made(&m, 0.1 * v[0], 0.1 * v[1], 0.1 * v[2]); /* a scale drops out */
        log_bench_judge(&m.b, false);
        NEAR(100.0 * m.b.judgement.balance.median, published[i].percent, published[i].rounding);
        cr_expect_eq(m.b.judgement.balance.is.result, SM_LOG_IS_PASS);
        close_made(&m);
    }
}

/* The limit of the drive file, 5 %: 1.05 and 2 x 0.975 of the mean. */
Test(log_electric, balance_fails_above_its_limit_and_names_the_phase)
{
    struct made m;
    open_made(&m, 0.5 * 97.51, 0.5 * 104.98, 0.5 * 97.51);
    log_bench_judge(&m.b, false);
    cr_expect_eq(m.b.judgement.balance.is.result, SM_LOG_IS_PASS);
    put_all(&m, SM_LOG_IV, 0.5 * 105.5);
    log_bench_judge(&m.b, false);
    cr_expect_eq(m.b.judgement.balance.is.result, SM_LOG_IS_FAIL);
    cr_expect_eq(m.b.judgement.balance.worst, 1);
    cr_expect_gt(m.b.judgement.balance.phase[1], 0.0);
    cr_expect(sm_log_is_bad(&m.b.judgement));
    close_made(&m);
}

Test(log_electric, one_wild_row_does_not_fail_the_phases)
{
    struct made m;
    open_made(&m, 77, 77, 77);
    log_put(&m.b.log, 2, SM_LOG_IW, 7.7);
    log_bench_judge(&m.b, false);
    cr_expect_eq(m.b.judgement.balance.is.result, SM_LOG_IS_PASS);
    NEAR(m.b.judgement.balance.median, 0.0, 1e-12);
    cr_expect_eq(m.b.judgement.balance.worst, 0); /* of phases alike the first */
    close_made(&m);
}

/* Loaded is above 20 % of 77 A, 15.4 A, as the mean; cold is below 5 %, 3.85 A, in every phase. */
Test(log_electric, what_is_loaded_and_what_is_cold)
{
    struct made m;
    open_made(&m, 15.5, 15.5, 15.5);
    log_bench_judge(&m.b, false);
    cr_expect_eq(m.b.judgement.loaded, ROWS);
    put_all(&m, SM_LOG_IU, 15.1);
    log_bench_judge(&m.b, false);
    cr_expect_eq(m.b.judgement.loaded, 0);
    cr_expect_eq(m.b.judgement.cold, 0);
    cr_expect_eq(m.b.judgement.balance.is.result, SM_LOG_IS_NOT_CHECKED);
    cr_expect_eq(m.b.judgement.balance.is.why, SM_LOG_WHY_NO_LOAD);
    put_all(&m, SM_LOG_IU, 3.8);
    put_all(&m, SM_LOG_IV, 3.8);
    put_all(&m, SM_LOG_IW, 3.9);
    log_bench_judge(&m.b, false);
    cr_expect_eq(m.b.judgement.cold, 0);
    put_all(&m, SM_LOG_IW, 3.8);
    log_bench_judge(&m.b, false);
    cr_expect_eq(m.b.judgement.cold, ROWS);
    close_made(&m);
}

Test(log_electric, phases_are_not_checked_without_three_currents_or_three_rows)
{
    struct made m;
    open_made(&m, 77, 77, 77);
    for (size_t i = 2; i < ROWS; i++)
        m.row[i].cell[SM_LOG_IV].given = false;
    log_bench_judge(&m.b, false);
    cr_expect_eq(m.b.judgement.balance.is.why, SM_LOG_WHY_FEW_LOADED);
    for (size_t i = 0; i < 2; i++)
        m.row[i].cell[SM_LOG_IV].given = false;
    log_bench_judge(&m.b, false);
    cr_expect_eq(m.b.judgement.balance.is.why, SM_LOG_WHY_NO_CURRENTS);
    cr_expect_eq(m.b.judgement.used, 0);
    close_made(&m);
}

/* 648 V of the drive file, within 5 %: 615.6 to 680.4 V. */
Test(log_electric, bus_is_the_median_within_five_per_cent)
{
    static const struct {
        double v;
        bool passes;
    } rows[] = { { 648, true }, { 616, true }, { 615, false }, { 680, true }, { 681, false } };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        struct made m;
        open_made(&m, 77, 77, 77);
        put_all(&m, SM_LOG_BUS, rows[i].v);
        log_put(&m.b.log, 0, SM_LOG_BUS, 0.0); /* one row of six does not move a median */
        log_bench_judge(&m.b, false);
        NEAR(m.b.judgement.bus.median, rows[i].v, 1e-12);
        cr_expect_eq(m.b.judgement.bus.is.result == SM_LOG_IS_PASS, rows[i].passes, "%g",
                     rows[i].v);
        close_made(&m);
    }
}

/* V_dc of the drive file is 648 V, sqrt(2) times its 480 V line 678.8 V: 615.6 to 712.8 V. */
Test(log_electric, a_bus_without_load_may_stand_at_the_peak_of_the_line)
{
    static const struct {
        double v;
        bool passes;
    } rows[] = { { 616, true }, { 615, false }, { 712, true }, { 713, false } };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        struct made m;
        open_made(&m, 0, 0, 0);
        put_all(&m, SM_LOG_BUS, rows[i].v);
        log_bench_judge(&m.b, false);
        cr_expect_eq(m.b.judgement.bus.is.result == SM_LOG_IS_PASS, rows[i].passes, "%g",
                     rows[i].v);
        NEAR(m.b.judgement.bus.highest, 678.823, 1e-3);
        close_made(&m);
    }
}

/* One loaded row among five at the peak. */
Test(log_electric, rows_without_load_do_not_count_where_there_are_loaded_ones)
{
    struct made m;
    open_made(&m, 0, 0, 0);
    put_all(&m, SM_LOG_BUS, 690.0);
    for (int k = 0; k < SM_LOG_PHASES; k++)
        log_put(&m.b.log, 3, SM_LOG_IU + (enum sm_log_column)k, 77.0);
    log_put(&m.b.log, 3, SM_LOG_BUS, 640.0);
    log_bench_judge(&m.b, false);
    NEAR(m.b.judgement.bus.median, 640.0, 1e-12);
    NEAR(m.b.judgement.bus.highest, 648.0, 1e-12);
    cr_expect_eq(m.b.judgement.bus.is.result, SM_LOG_IS_PASS);
    cr_expect_eq(m.b.judgement.bus.is.rows, 1);
    close_made(&m);
}

/* The bridge of the example at 60 Hz and 77 A, marched in small steps by tests/reference/logs.py,
 * rippled by 48.3 V; 0.2 V for its steps.  Half-way to a lost phase it tips over. */
Test(log_electric, ripple_fails_where_it_is_nearer_to_a_lost_phase)
{
    struct made m;
    open_made(&m, 77, 77, 77);
    put_all(&m, SM_LOG_RIPPLE, 48.0);
    log_bench_judge(&m.b, false);
    const struct sm_log_ripple sound = m.b.judgement.ripple;
    cr_expect_eq(sound.is.result, SM_LOG_IS_PASS);
    NEAR(sound.expected, 48.3, 0.2);
    cr_expect_gt(sound.lost, 2.0 * sound.expected);
    const double half = 0.5 * (sound.expected + sound.lost);
    put_all(&m, SM_LOG_RIPPLE, half - 0.1);
    log_bench_judge(&m.b, false);
    cr_expect_eq(m.b.judgement.ripple.is.result, SM_LOG_IS_PASS);
    put_all(&m, SM_LOG_RIPPLE, half + 0.1);
    log_bench_judge(&m.b, false);
    cr_expect_eq(m.b.judgement.ripple.is.result, SM_LOG_IS_FAIL);
    cr_expect(sm_log_is_bad(&m.b.judgement));
    close_made(&m);
}

Test(log_electric, ripple_is_not_checked_where_the_bridge_is_not_known)
{
    struct made m;
    open_made(&m, 77, 77, 77);
    log_bench_judge(&m.b, false);
    cr_expect_eq(m.b.judgement.ripple.is.why, SM_LOG_WHY_NO_RIPPLE);
    put_all(&m, SM_LOG_RIPPLE, 38.0);
    m.b.drive.rating.bus_capacitance.given = false;
    log_bench_judge(&m.b, false);
    cr_expect_eq(m.b.judgement.ripple.is.result, SM_LOG_IS_NOT_CHECKED);
    cr_expect_eq(m.b.judgement.ripple.untold, SM_UNTOLD_NO_BUS_CAPACITANCE);
    m.b.drive.rating.bus_capacitance.given = true;
    m.b.drive.rating.line_phases = 1;
    log_bench_judge(&m.b, false);
    cr_expect_eq(m.b.judgement.ripple.untold, SM_UNTOLD_SINGLE_PHASE);
    close_made(&m);
}

/* So little capacitance that with a phase lost the bus falls to 0 V in each half line cycle: the
 * ripple is then the line's whole peak, sqrt 2 times 480 V. */
Test(log_electric, a_lost_phase_that_lets_the_bus_collapse_ripples_by_the_whole_peak)
{
    struct made m;
    open_made(&m, 77, 77, 77);
    m.b.drive.rating.bus_capacitance.value = 100e-6;
    put_all(&m, SM_LOG_RIPPLE, 90.0);
    log_bench_judge(&m.b, false);
    NEAR(m.b.judgement.ripple.lost, sqrt(2.0) * 480.0, 1e-9);
    cr_expect_eq(m.b.judgement.ripple.is.result, SM_LOG_IS_PASS);
    close_made(&m);
}

/* 300 A over a sink of 570 K: no junction has an equilibrium there, so neither power nor ripple is
 * known; the rows are put aside. */
Test(log_electric, rows_without_equilibrium_tell_no_ripple)
{
    struct made m;
    open_made(&m, 300, 300, 300);
    put_all(&m, SM_LOG_RIPPLE, 30.0);
    put_all(&m, SM_LOG_SINK, 570.0);
    log_bench_judge(&m.b, false);
    cr_expect_eq(m.b.judgement.ripple.is.result, SM_LOG_IS_NOT_CHECKED);
    cr_expect_eq(m.b.judgement.ripple.is.why, SM_LOG_WHY_NO_RIPPLE);
    cr_assert_eq(m.b.judgement.n_asides, ROWS);
    cr_expect_eq(m.b.judgement.asides[0].why, SM_LOG_ASIDE_RUNAWAY);
    close_made(&m);
}

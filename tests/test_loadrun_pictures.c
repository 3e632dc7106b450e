/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The picture of a run that heats up.  Expected: the readings of the run that it is drawn from. */
#include "report/loadrun_pictures.h"
#include "support/fixture.h"
#include "support/near.h"
#include "swapmargin/engine.h"

#include <criterion/criterion.h>

#define ICE 273.15

struct bench {
    struct fixture f;
    struct sm_result result;
    struct sm_loadrun loadrun;
    struct loadrun_page page;
    struct sheet sheet;
};

static void bench_make(struct bench *b)
{
    fixture_make(&b->f);
    b->f.drive.cooling.sink_capacity = (struct sm_optional){ true, 9000.0 };
    sm_result_init(&b->result);
    sm_loadrun_init(&b->loadrun);
    sheet_init(&b->sheet);
    cr_assert_eq(sm_run(&b->f.c, &b->result, NULL), SM_OK);
    cr_assert_eq(sm_loadrun(&b->f.c, &b->result, &b->loadrun, NULL), SM_OK);
    b->page = (struct loadrun_page){ .c = &b->f.c, .result = &b->result, .loadrun = &b->loadrun };
}

static void bench_end(struct bench *b)
{
    sheet_release(&b->sheet);
    sm_loadrun_release(&b->loadrun);
    sm_result_release(&b->result);
}

static const struct sheet_plot *picture(struct bench *b)
{
    picture_heat_up(&b->sheet, &b->page, 0);
    cr_assert_eq(b->sheet.count, (size_t)1);
    return &b->sheet.blocks[0].plot;
}

Test(loadrun_pictures, curves_and_bands_go_through_the_readings)
{
    struct bench b;
    bench_make(&b);
    const struct sheet_plot *plot = picture(&b);
    const struct sm_load_run *run = &b.loadrun.runs[0];
    cr_assert_eq(plot->n_curves, (size_t)3);
    cr_assert_eq(plot->n_bands, (size_t)2);
    for (size_t i = 0; i < run->n_readings; i++) {
        const struct sm_reading *reading = &run->reading[i];
        NEAR(plot->curves[0].points[i].x, run->minute[i] / 60.0, 1e-9);
        NEAR(plot->curves[0].points[i].y, reading->t_sink - ICE, 1e-9);
        NEAR(plot->curves[1].points[i].y, reading->t_case[SM_IGBT] - ICE, 1e-9);
        NEAR(plot->curves[2].points[i].y, reading->tvj_max - ICE, 1e-9);
        NEAR(plot->bands[0].high[i].y - plot->bands[0].low[i].y, 2.0 * reading->sink_band, 1e-9);
    }
    bench_end(&b);
}

/* Half way between the readings at 0 and 1 min the band is as wide as half of both. */
Test(loadrun_pictures, between_readings_the_band_is_between_theirs)
{
    struct bench b;
    struct sm_network network;
    struct sm_network_run run = { .n_marks = 1 };
    bench_make(&b);
    const struct sm_load_run *told = &b.loadrun.runs[0];
    sm_network_init(&network);
    run.mark[0] = (struct sm_mark){ .time = 30.0,
                                    .rules = { 300.0, { 310.0, 311.0 }, 320.0 },
                                    .network = { 1.0, { 1.0 }, 1.0 } };
    network.runs = &run;
    network.n_runs = 1;
    b.page.network = &network;
    const struct sheet_plot *plot = picture(&b);
    cr_assert_eq(plot->curves[0].n, (size_t)1);
    NEAR(plot->curves[0].points[0].x, 0.5, 1e-9);
    NEAR(plot->curves[2].points[0].y, 320.0 - ICE, 1e-9);
    NEAR(plot->bands[0].high[0].y - plot->curves[0].points[0].y,
         0.5 * (told->reading[0].sink_band + told->reading[1].sink_band), 1e-9);
    bench_end(&b);
}

/* A reading of a log stands where it was taken; where the air was not at the sheet's ambient it is
 * moved by as much, since sink and case move with it. */
Test(loadrun_pictures, readings_of_a_log_are_moved_to_the_ambient_of_the_sheet)
{
    struct bench b;
    bench_make(&b);
    const double hz = b.loadrun.runs[0].output_hz, ambient = b.f.drive.cooling.ambient;
    struct sm_log_row rows[3] = { { .line = 2 }, { .line = 3 }, { .line = 4 } };
    for (size_t i = 0; i < 3; i++) {
        rows[i].cell[SM_LOG_TIME] = (struct sm_optional){ true, 600.0 + 60.0 * (double)i };
        rows[i].cell[SM_LOG_OUTPUT] = (struct sm_optional){ true, i == 0 ? 0.0 : hz };
        rows[i].cell[SM_LOG_SINK] = (struct sm_optional){ true, 330.0 };
    }
    rows[2].cell[SM_LOG_AMBIENT] = (struct sm_optional){ true, ambient - 10.0 };
    struct sm_log log = { .rows = rows, .n_rows = 3 };
    struct sm_log_judgement judgement;
    sm_log_judgement_init(&judgement);
    const struct log_page page = { &log, &judgement };
    b.page.log = &page;
    const struct sheet_plot *plot = picture(&b);
    cr_assert_eq(plot->n_marks, (size_t)2);
    NEAR(plot->marks[0].at.x, 0.0, 1e-9);
    NEAR(plot->marks[0].at.y, 330.0 - ICE, 1e-9);
    NEAR(plot->marks[1].at.x, 1.0, 1e-9);
    NEAR(plot->marks[1].at.y, 340.0 - ICE, 1e-9);
    cr_expect_eq(plot->marks[1].shape, PLOT_DOT);
    bench_end(&b);
}

Test(loadrun_pictures, without_a_curve_there_is_no_picture)
{
    struct bench b;
    bench_make(&b);
    b.loadrun.runs[0].n_readings = 0;
    picture_heat_up(&b.sheet, &b.page, 0);
    cr_expect_eq(b.sheet.count, (size_t)0);
    bench_end(&b);
}

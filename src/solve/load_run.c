/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "solve/load_run.h"

#include "solve/held_point.h"
#include "solve/sink_time.h"

#include <math.h>

/* 1: sixtieths of the run. */
static const double sixtieths[SM_READINGS] = { 0, 1, 2, 5, 10, 15, 20, 30, 45, 60 };
#define SIXTY 60.0

double reading_band(double rise)
{
    return SM_BAND_COVERAGE * hypot(SM_BAND_MODEL * rise, SM_BAND_METER);
}

/* ---------------------------------------------------------------- readings */

/* What stands over a sink; share is left to the caller. */
static struct sm_reading reading_of(const struct sm_point *point, double t_ambient)
{
    struct sm_reading reading = { .t_sink = point->t_sink,
                                  .tvj_max = point->chip[point->worst].tvj_max,
                                  .hottest = point->worst,
                                  .sink_band = reading_band(point->t_sink - t_ambient) };
    for (int k = 0; k < SM_CHIP_COUNT; k++) {
        reading.t_case[k] = point->chip[k].t_case;
        reading.case_band[k] = reading_band(reading.t_case[k] - t_ambient);
    }
    return reading;
}

/* A run while it is worked out. */
struct run {
    struct held_point held;
    struct sm_load_run *out;
    double t_ambient; /* K */
};

/* 1: how much of the way from ambient to the settled sink is gone; all where there is none. */
static double share_gone(double t_sink, double t_ambient, double t_settled)
{
    const double way = t_settled - t_ambient;
    return way > 0.0 ? (t_sink - t_ambient) / way : 1.0;
}

static void reading_add(struct run *run, const struct sm_point *point)
{
    struct sm_load_run *out = run->out;
    struct sm_reading *reading = &out->reading[out->n_readings++];
    *reading = reading_of(point, run->t_ambient);
    if (out->settled_untold == SM_TOLD)
        reading->share = share_gone(reading->t_sink, run->t_ambient, out->settled.t_sink);
}

/* All readings, as far as there is an equilibrium; *start becomes the sink at the end.  Where only
 * the hold has none (below 1 Hz) the sink goes on and the readings do not. */
static enum sm_status readings_march(struct run *run, double capacity, struct load_run_start *start)
{
    struct sm_load_run *out = run->out;
    struct held_point *held = &run->held;
    const double duration = held->drive->test.duration;
    const struct sink_run way = { capacity, start->t_sink, duration };
    struct sink_time sink = sink_time_start(held->stage, &held->test.at, held->test.chip, &way);
    for (size_t i = 0; i < SM_READINGS; i++) {
        sink_time_march(&sink, out->minute[i], NULL);
        struct sm_point point = { .runaway = true };
        if (!sink.runaway && held_point_solve(held, sink.t_sink, &point) != SM_OK)
            return SM_ERR_MEMORY;
        if (!point.runaway && out->untold == SM_TOLD)
            reading_add(run, &point);
        else
            out->untold = SM_UNTOLD_RUNAWAY;
    }
    start->t_sink = sink.t_sink;
    if (sink.runaway)
        start->untold = SM_UNTOLD_RUN_BEFORE;
    return SM_OK;
}

/* -------------------------------------------------------------- stop */

static enum sm_status stop_find(struct run *run)
{
    struct sm_load_run *out = run->out;
    struct sm_point point;
    double t_sink = 0.0;
    const enum sm_status status =
        held_point_limit(&run->held, run->t_ambient, run->held.stage->tvj_op_max, &t_sink, &point);
    if (status != SM_OK)
        return status;
    const enum sm_untold_id untold = point.runaway ? SM_UNTOLD_HOT_FROM_AMBIENT : SM_TOLD;
    out->stop_sink = (struct sm_told){ untold, t_sink };
    for (int k = 0; k < SM_CHIP_COUNT; k++)
        out->stop_case[k] = (struct sm_told){ untold, point.chip[k].t_case };
    return SM_OK;
}

/* --------------------------------------------------------------------- run */

static void head_fill(struct run *run, const struct sm_point *settled)
{
    const struct sm_test *test = &run->held.drive->test;
    struct sm_load_run *out = run->out;
    out->output_hz = settled->output_hz;
    out->i_module = settled->i_module;
    out->i_drive = settled->i_drive;
    out->imbalance = test->balance_limit * settled->i_drive;
    out->v_dc = settled->v_dc;
    for (size_t i = 0; i < SM_READINGS; i++)
        out->minute[i] = test->duration * sixtieths[i] / SIXTY;
    out->settled_untold = settled->runaway ? SM_UNTOLD_RUNAWAY : SM_TOLD;
    if (settled->runaway)
        return;
    out->settled = reading_of(settled, run->t_ambient);
    out->settled.share = 1.0;
}

enum sm_status load_run_solve(struct arena *scratch, const struct stage *stage,
                              const struct sm_drive *drive, const struct sm_point *settled,
                              struct load_run_start *start, struct sm_load_run *out)
{
    const struct sm_optional *capacity = &drive->cooling.sink_capacity;
    struct run run = { .out = out, .t_ambient = drive->cooling.ambient };
    struct arena hold;
    *out = (struct sm_load_run){ .untold =
                                     capacity->given ? start->untold : SM_UNTOLD_NO_SINK_CAPACITY };
    arena_clear(scratch);
    arena_init(&hold);
    enum sm_status status =
        held_point_open(scratch, &hold, stage, drive, settled->output_hz, &run.held);
    head_fill(&run, settled);
    if (status == SM_OK && out->untold == SM_TOLD)
        status = readings_march(&run, capacity->value, start);
    if (status == SM_OK)
        status = stop_find(&run);
    arena_release(&hold);
    return status;
}

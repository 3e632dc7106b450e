/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "report/loadrun_pictures.h"

#include "report/sheet_check.h"

#include <math.h>

enum { SINK, CASE, JUNCTION, PLACES, MOMENTS_MOST = SM_MARKS };

/* A run at some moments. */
struct heat_up {
    const struct sm_load_run *run;
    double minute[MOMENTS_MOST];
    double celsius[PLACES][MOMENTS_MOST];
    double band[PLACES]
               [MOMENTS_MOST]; /* K  plus and minus; 0 for the junction, which no meter sees */
    size_t n;
};

static double celsius(double kelvin)
{
    return sheet_shown(kelvin, "degC");
}

/* ------------------------------------------------------------------ curves */

static void moment_add(struct heat_up *heat, double seconds, const struct sm_stand *stand)
{
    const size_t i = heat->n++;
    heat->minute[i] = seconds / SECONDS_PER_MINUTE;
    heat->celsius[SINK][i] = celsius(stand->t_sink);
    heat->celsius[CASE][i] = celsius(stand->t_case[SM_IGBT]);
    heat->celsius[JUNCTION][i] = celsius(stand->tvj_max);
}

/* The moments of the second calculation under the rules of the readings, which are closer together;
 * where there is none, those of the readings. */
static void moments_find(struct heat_up *heat, const struct sm_network *network, size_t index)
{
    const bool fine = network && network->untold == SM_TOLD && index < network->n_runs &&
                      network->runs[index].untold == SM_TOLD;
    for (size_t i = 0; fine && i < network->runs[index].n_marks; i++) {
        const struct sm_mark *mark = &network->runs[index].mark[i];
        moment_add(heat, mark->time, &mark->rules);
    }
    for (size_t i = 0; !fine && i < heat->run->n_readings; i++) {
        const struct sm_reading *reading = &heat->run->reading[i];
        const struct sm_stand stand = { reading->t_sink,
                                        { reading->t_case[SM_IGBT], reading->t_case[SM_DIODE] },
                                        reading->tvj_max };
        moment_add(heat, heat->run->minute[i], &stand);
    }
}

/* A band's half width at a moment, between those of the two readings around it. */
static double band_at(const struct sm_load_run *run, double seconds, int place)
{
    const size_t last = run->n_readings - 1;
    size_t i = 0;
    while (i < last && run->minute[i + 1] < seconds) {
        i++;
    }
    const size_t next = i < last ? i + 1 : i;
    const double from =
        place == SINK ? run->reading[i].sink_band : run->reading[i].case_band[SM_IGBT];
    const double to =
        place == SINK ? run->reading[next].sink_band : run->reading[next].case_band[SM_IGBT];
    const double gap = run->minute[next] - run->minute[i];
    const double share = gap > 0.0 ? fmin(fmax((seconds - run->minute[i]) / gap, 0.0), 1.0) : 0.0;
    return from + share * (to - from);
}

static void bands_find(struct heat_up *heat)
{
    for (size_t i = 0; i < heat->n; i++) {
        heat->band[SINK][i] = band_at(heat->run, SECONDS_PER_MINUTE * heat->minute[i], SINK);
        heat->band[CASE][i] = band_at(heat->run, SECONDS_PER_MINUTE * heat->minute[i], CASE);
        heat->band[JUNCTION][i] = 0.0;
    }
}

/* ---------------------------------------------------------------- readings */

/* 1: a row belongs to a run when its output frequency differs by less than this. */
#define SAME_HZ 0.02

/* Most readings of one place that a picture shows. */
#define READINGS_MOST 60

static bool is_of_run(const struct sm_log_row *row, const struct sm_load_run *run)
{
    const struct sm_optional *hz = &row->cell[SM_LOG_OUTPUT];
    return hz->given && fabs(hz->value - run->output_hz) < SAME_HZ * run->output_hz;
}

static bool is_aside(const struct sm_log_judgement *judgement, int line)
{
    for (size_t i = 0; i < judgement->n_asides; i++) {
        if (judgement->asides[i].line == line) {
            return true;
        }
    }
    return false;
}

/* What the air differed from the sheet's ambient, K: sink and case move with it. */
static double air_off(const struct loadrun_page *page, const struct sm_log_row *row)
{
    const struct sm_optional *air = &row->cell[SM_LOG_AMBIENT];
    return air->given ? air->value - page->c->drive->cooling.ambient : 0.0;
}

/* One reading, `minute` after the run's start. */
static void reading_add(struct sheet *sheet, struct sheet_block *block,
                        const struct loadrun_page *page, const struct sm_log_row *row,
                        double minute)
{
    static const struct {
        const char *name;
        enum sm_log_column column;
        enum plot_shape shape;
    } places[] = { { "sink", SM_LOG_SINK, PLOT_DOT }, { "case", SM_LOG_CASE, PLOT_RING } };
    for (size_t i = 0; i < sizeof places / sizeof places[0]; i++) {
        const struct sm_optional *cell = &row->cell[places[i].column];
        if (cell->given) {
            const char *tip =
                sheet_format(sheet, "line %d, minute %.4g: %s %s", row->line, minute,
                             places[i].name, sheet_quantity(sheet, cell->value, "degC"));
            const double there = celsius(cell->value - air_off(page, row));
            sheet_mark(sheet, block,
                       &(struct plot_mark){ "", tip, { minute, there }, places[i].shape });
        }
    }
}

/* Every so many of the run's rows that count.  Returned: how many rows are drawn. */
static size_t readings_add(struct sheet *sheet, struct sheet_block *block,
                           const struct loadrun_page *page, const struct sm_load_run *run)
{
    const struct sm_log *log = page->log->log;
    size_t all = 0, drawn = 0, at = 0;
    double start = 0.0;
    for (size_t i = 0; i < log->n_rows; i++) {
        if (is_of_run(&log->rows[i], run)) {
            start = all == 0 ? log->rows[i].cell[SM_LOG_TIME].value : start;
            all++;
        }
    }
    const size_t stride = 1 + all / READINGS_MOST;
    for (size_t i = 0; i < log->n_rows; i++) {
        const struct sm_log_row *row = &log->rows[i];
        if (is_of_run(row, run) && at++ % stride == 0 &&
            !is_aside(page->log->judgement, row->line)) {
            reading_add(sheet, block, page, row,
                        (row->cell[SM_LOG_TIME].value - start) / SECONDS_PER_MINUTE);
            drawn++;
        }
    }
    return drawn;
}

/* ----------------------------------------------------------------- picture */

static void place_add(struct sheet *sheet, struct sheet_block *block, const struct heat_up *heat,
                      int place)
{
    static const char *const labels[PLACES] = { "sink", "case", "junction" };
    struct plot_place curve[MOMENTS_MOST], low[MOMENTS_MOST], high[MOMENTS_MOST];
    for (size_t i = 0; i < heat->n; i++) {
        const double at = heat->celsius[place][i], band = heat->band[place][i];
        curve[i] = (struct plot_place){ heat->minute[i], at };
        low[i] = (struct plot_place){ heat->minute[i], at - band };
        high[i] = (struct plot_place){ heat->minute[i], at + band };
    }
    if (place != JUNCTION) {
        sheet_band(sheet, block, &(struct plot_band){ (unsigned)place, low, high, heat->n });
    }
    sheet_curve(sheet, block,
                &(struct plot_curve){ labels[place], (unsigned)place, curve, heat->n, true });
}

static void stop_add(struct sheet *sheet, struct sheet_block *block, const char *what,
                     const struct sm_told *stop)
{
    if (stop->untold == SM_TOLD) {
        sheet_level(sheet, block,
                    &(struct plot_level){ sheet_format(sheet, "stop: %s %s", what,
                                                       sheet_quantity(sheet, stop->value, "degC")),
                                          celsius(stop->value), false });
    }
}

static void levels_add(struct sheet *sheet, struct sheet_block *block,
                       const struct loadrun_page *page, const struct sm_load_run *run)
{
    const double limit = page->c->module->tvj_op_max;
    stop_add(sheet, block, "sink", &run->stop_sink);
    stop_add(sheet, block, "case", &run->stop_case[SM_IGBT]);
    sheet_level(sheet, block,
                &(struct plot_level){ sheet_format(sheet, "junction's limit: %s",
                                                   sheet_quantity(sheet, limit, "degC")),
                                      celsius(limit), true });
}

void picture_heat_up(struct sheet *sheet, const struct loadrun_page *page, size_t index)
{
    struct heat_up heat = { .run = &page->loadrun->runs[index] };
    if (heat.run->n_readings == 0) {
        return;
    }
    moments_find(&heat, page->network, index);
    bands_find(&heat);
    struct sheet_block *block =
        sheet_add(sheet, SHEET_PLOT,
                  sheet_format(sheet, "How it heats up at %s",
                               sheet_quantity(sheet, heat.run->output_hz, "Hz")),
                  "Shaded: where the readings of a sound drive lie.");
    block->plot.tall = true;
    block->plot.x = (struct plot_axis){ .title = "time", .unit = "min", .whole = true };
    block->plot.y = (struct plot_axis){ .title = "temperature", .unit = "degC" };
    for (int place = 0; place < PLACES; place++) {
        place_add(sheet, block, &heat, place);
    }
    levels_add(sheet, block, page, heat.run);
    if (page->log && readings_add(sheet, block, page, heat.run) > 0) {
        block->text = "Shaded: where the readings of a sound drive lie. Dots: the sink as read, "
                      "rings: the case, both at this sheet's ambient.";
    }
}

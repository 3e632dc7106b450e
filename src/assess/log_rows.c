/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "assess/log_rows.h"

#include "solve/stage.h"
#include "solve/test_point.h"
#include "thermal/thermistor.h"

#include <math.h>

/* K: what a temperature of a log may be, and 1 K on either side (log_columns.def). */
#define T_LOW 212.15
#define T_HIGH 574.15

static const enum sm_log_column phases[SM_LOG_PHASES] = { SM_LOG_IU, SM_LOG_IV, SM_LOG_IW };

/* ------------------------------------------------------------------- model */

struct heat_bounds log_bounds(const struct sm_case *c, const struct sm_log *log)
{
    struct heat_bounds bounds = { .hz_low = HUGE_VAL, .t_low = T_LOW, .t_high = T_HIGH };
    for (size_t i = 0; i < log->n_rows; i++) {
        const struct sm_optional *hz = &log->rows[i].cell[SM_LOG_OUTPUT];
        if (!hz->given || hz->value < SLOW_OUTPUT)
            continue;
        bounds.hz_low = fmin(bounds.hz_low, hz->value);
        bounds.hz_high = fmax(bounds.hz_high, hz->value);
    }
    if (bounds.hz_high < SLOW_OUTPUT)
        bounds.hz_low = bounds.hz_high = SLOW_OUTPUT;
    bounds.i_high = LOG_MOST_CURRENT * c->drive->rating.output_current;
    return bounds;
}

enum sm_status log_model_open(struct arena *arena, struct arena *scratch, const struct sm_case *c,
                              const struct heat_bounds *bounds, struct log_model *model)
{
    model->on_sink = stage_build(arena, c);
    model->on_case = model->on_sink;
    model->on_case.path.form = SM_JOINT_MODULE;
    model->on_case.path.rth_module = 0.0;
    if (arena->failed)
        return SM_ERR_MEMORY;
    const enum sm_status status =
        heat_map_open(arena, scratch, &model->on_case, c->drive, bounds, &model->case_map);
    return status != SM_OK
               ? status
               : heat_map_open(arena, scratch, &model->on_sink, c->drive, bounds, &model->sink_map);
}

/* -------------------------------------------------------------------- rows */

static struct log_load load_of(const struct sm_log_row *row, double rated)
{
    double sum = 0.0, most = 0.0;
    for (int k = 0; k < SM_LOG_PHASES; k++) {
        const struct sm_optional *cell = &row->cell[phases[k]];
        if (!cell->given)
            return (struct log_load){ .known = false };
        sum += cell->value;
        most = fmax(most, cell->value);
    }
    const double mean = sum / SM_LOG_PHASES;
    return (struct log_load){ .known = true,
                              .loaded = mean > LOG_LOADED * rated,
                              .cold = most < LOG_COLD * rated,
                              .mean = mean };
}

/* Columns whose gaps count; of a cold row the frequency does not. */
static bool is_wanted(const struct log_rows *rows, size_t i, enum sm_log_column column)
{
    if (!rows->log->has[column])
        return false;
    switch (column) {
    case SM_LOG_OUTPUT:
        return !rows->load[i].cold;
    case SM_LOG_CASE:
        return !rows->ntc_as_case;
    case SM_LOG_NTC:
        return rows->ntc_as_case;
    case SM_LOG_AMBIENT:
    case SM_LOG_SINK:
    case SM_LOG_IU:
    case SM_LOG_IV:
    case SM_LOG_IW:
        return true;
    case SM_LOG_TIME:
    case SM_LOG_BUS:
    case SM_LOG_RIPPLE:
    case SM_LOG_COLUMN_COUNT:
        break;
    }
    return false;
}

static void gap_find(const struct log_rows *rows, size_t i)
{
    for (int k = 0; k < SM_LOG_COLUMN_COUNT; k++) {
        const enum sm_log_column column = (enum sm_log_column)k;
        if (rows->log->rows[i].cell[k].given || !is_wanted(rows, i, column))
            continue;
        rows->aside[i] = SM_LOG_ASIDE_GAP;
        rows->gap[i] = column;
        return;
    }
}

/* What in a whole row keeps it from being used. */
static enum sm_log_aside_id fault_of(const struct log_rows *rows, size_t i)
{
    const struct log_load *load = &rows->load[i];
    const struct sm_optional *hz = &rows->log->rows[i].cell[SM_LOG_OUTPUT];
    double t = 0.0;
    if (load->mean > LOG_MOST_CURRENT * rows->c->drive->rating.output_current)
        return SM_LOG_ASIDE_CURRENT;
    if (load->loaded && hz->given && hz->value < SLOW_OUTPUT)
        return SM_LOG_ASIDE_STANDING;
    if (rows->ntc_as_case && rows->log->rows[i].cell[SM_LOG_NTC].given &&
        !log_rows_case(rows, i, &t))
        return SM_LOG_ASIDE_NTC;
    return SM_LOG_IN_USE;
}

enum sm_status log_rows_open(struct log_rows *rows)
{
    const size_t n = rows->log->n_rows;
    rows->load = arena_bytes(rows->arena, n * sizeof *rows->load);
    rows->aside = arena_bytes(rows->arena, n * sizeof *rows->aside);
    rows->gap = arena_bytes(rows->arena, n * sizeof *rows->gap);
    rows->off = arena_doubles(rows->arena, n);
    if (rows->arena->failed)
        return SM_ERR_MEMORY;
    rows->n_known = rows->n_loaded = rows->n_cold = 0;
    for (size_t i = 0; i < n; i++) {
        rows->load[i] = load_of(&rows->log->rows[i], rows->c->drive->rating.output_current);
        rows->n_known += rows->load[i].known ? 1 : 0;
        rows->n_loaded += rows->load[i].loaded ? 1 : 0;
        rows->n_cold += rows->load[i].cold ? 1 : 0;
        rows->aside[i] = fault_of(rows, i);
        if (rows->aside[i] == SM_LOG_IN_USE)
            gap_find(rows, i);
    }
    return SM_OK;
}

bool log_rows_ntc(const struct log_rows *rows, size_t i, double *t)
{
    const struct sm_optional *ohm = &rows->log->rows[i].cell[SM_LOG_NTC];
    return ohm->given && thermistor_temperature(&rows->c->module->thermistor, ohm->value, t);
}

bool log_rows_case(const struct log_rows *rows, size_t i, double *t)
{
    const struct sm_optional *reading = &rows->log->rows[i].cell[SM_LOG_CASE];
    if (rows->ntc_as_case)
        return log_rows_ntc(rows, i, t);
    *t = reading->value;
    return reading->given;
}

bool log_rows_can_heat(const struct log_rows *rows, size_t i)
{
    const struct log_load *load = &rows->load[i];
    const struct sm_optional *hz = &rows->log->rows[i].cell[SM_LOG_OUTPUT];
    return load->known &&
           (load->cold || (hz->given && hz->value >= SLOW_OUTPUT &&
                           load->mean <= LOG_MOST_CURRENT * rows->c->drive->rating.output_current));
}

bool log_rows_heat(const struct log_rows *rows, struct heat_map *map, size_t i, double held,
                   double *heat, double *slope)
{
    *heat = *slope = 0.0;
    if (rows->load[i].cold)
        return true;
    const double hz = rows->log->rows[i].cell[SM_LOG_OUTPUT].value;
    if (heat_map_at(map, hz, rows->load[i].mean, held, heat, slope))
        return true;
    rows->aside[i] = SM_LOG_ASIDE_RUNAWAY;
    return false;
}

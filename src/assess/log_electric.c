/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "assess/log_electric.h"

#include "assess/log_outliers.h"
#include "base/maths.h"
#include "load/bus_reading.h"
#include "load/operating_point.h"

#include <math.h>

/* 1: loaded rows that a median of them needs (common practice). */
enum { FEWEST = 3 };

static struct sm_log_finding untold(enum sm_log_why_id why)
{
    return (struct sm_log_finding){ .result = SM_LOG_IS_NOT_CHECKED, .why = why };
}

static struct sm_log_finding told(bool passes, size_t n)
{
    return (struct sm_log_finding){ .result = passes ? SM_LOG_IS_PASS : SM_LOG_IS_FAIL, .rows = n };
}

/* ----------------------------------------------------------------- balance */

static double phase_current(const struct log_rows *rows, size_t i, int phase)
{
    return rows->log->rows[i].cell[SM_LOG_IU + phase].value;
}

/* 1: by how much a phase differs from the mean of the three. */
static double deviation(const struct log_rows *rows, size_t i, int phase)
{
    return phase_current(rows, i, phase) / rows->load[i].mean - 1.0;
}

static double most_deviation(const struct log_rows *rows, size_t i)
{
    double most = 0.0;
    for (int k = 0; k < SM_LOG_PHASES; k++)
        most = fmax(most, fabs(deviation(rows, i, k)));
    return most;
}

enum sm_status log_balance_judge(const struct log_rows *rows, struct sm_log_balance *out)
{
    double *values = arena_doubles(rows->arena, rows->log->n_rows);
    *out = (struct sm_log_balance){ .limit = rows->c->drive->test.balance_limit };
    if (!values)
        return SM_ERR_MEMORY;
    if (rows->n_known == 0 || rows->n_loaded < FEWEST) {
        out->is = untold(rows->n_known == 0    ? SM_LOG_WHY_NO_CURRENTS
                         : rows->n_loaded == 0 ? SM_LOG_WHY_NO_LOAD
                                               : SM_LOG_WHY_FEW_LOADED);
        return SM_OK;
    }
    for (int k = -1; k < SM_LOG_PHASES; k++) {
        size_t n = 0;
        for (size_t i = 0; i < rows->log->n_rows; i++)
            if (rows->load[i].loaded)
                values[n++] = k < 0 ? most_deviation(rows, i) : deviation(rows, i, k);
        *(k < 0 ? &out->median : &out->phase[k]) = log_median(values, n);
    }
    for (int k = 1; k < SM_LOG_PHASES; k++)
        if (fabs(out->phase[k]) > fabs(out->phase[out->worst]))
            out->worst = k;
    out->is = told(out->median <= out->limit, rows->n_loaded);
    return SM_OK;
}

/* --------------------------------------------------------------------- bus */

/* Bus voltages, of the loaded rows or of all.  Returned: how many. */
static size_t bus_gather(const struct log_rows *rows, bool loaded, double *values)
{
    size_t n = 0;
    for (size_t i = 0; i < rows->log->n_rows; i++)
        if (rows->log->rows[i].cell[SM_LOG_BUS].given && (!loaded || rows->load[i].loaded))
            values[n++] = rows->log->rows[i].cell[SM_LOG_BUS].value;
    return n;
}

/* Without load the capacitors stand at the line's peak, above the mean that V_dc is. */
enum sm_status log_bus_judge(const struct log_rows *rows, struct sm_log_bus *out)
{
    const struct sm_rating *rating = &rows->c->drive->rating;
    double *values = arena_doubles(rows->arena, rows->log->n_rows);
    *out = (struct sm_log_bus){ .expected = drive_bus_voltage(rating) };
    out->highest = out->expected;
    if (!values)
        return SM_ERR_MEMORY;
    size_t n = bus_gather(rows, true, values);
    if (n == 0) {
        n = bus_gather(rows, false, values);
        out->highest = fmax(out->expected, SQRT2 * rating->line_voltage);
    }
    if (n == 0) {
        out->is = untold(SM_LOG_WHY_NO_BUS);
        return SM_OK;
    }
    out->median = log_median(values, n);
    out->is = told(out->median >= (1.0 - SM_LOG_BUS_LIMIT) * out->expected &&
                       out->median <= (1.0 + SM_LOG_BUS_LIMIT) * out->highest,
                   n);
    return SM_OK;
}

/* ------------------------------------------------------------------ ripple */

/* What the bus of a loaded row should ripple by.  Its heat, a few per cent of its power, is taken
 * over a sink as read, or at the drive file's ambient. */
static bool row_bus(const struct log_rows *rows, size_t i, struct bus_reading *bus)
{
    const struct sm_optional *sink = &rows->log->rows[i].cell[SM_LOG_SINK];
    const double held = sink->given ? sink->value : rows->c->drive->cooling.ambient;
    const double hz = rows->log->rows[i].cell[SM_LOG_OUTPUT].value;
    const struct operating_point at =
        operating_point_with_current(rows->c->drive, hz, rows->load[i].mean);
    struct sm_point point = {
        .output_hz = hz, .v_out = at.v_out, .i_drive = at.i_drive, .power_factor = at.power_factor
    };
    double slope = 0.0;
    if (!log_rows_heat(rows, &rows->model->sink_map, i, held, &point.module_heat, &slope))
        return false;
    *bus = bus_reading_of(rows->c->drive, &point, rows->model->on_sink.path.modules);
    return true;
}

struct ripples {
    size_t n;
    double *read, *sound, *lost;
};

/* A lost phase that lets the bus collapse ripples by the whole of the line's peak. */
static bool ripple_add(const struct log_rows *rows, size_t i, struct ripples *all,
                       enum sm_untold_id *why)
{
    struct bus_reading bus;
    if (!row_bus(rows, i, &bus))
        return true;
    if (bus.ripple_lost.untold == SM_UNTOLD_COLLAPSES)
        bus.ripple_lost = (struct sm_told){ .value = SQRT2 * rows->c->drive->rating.line_voltage };
    *why = bus.ripple.untold != SM_TOLD ? bus.ripple.untold : bus.ripple_lost.untold;
    if (*why != SM_TOLD)
        return false;
    all->read[all->n] = rows->log->rows[i].cell[SM_LOG_RIPPLE].value;
    all->sound[all->n] = bus.ripple.value;
    all->lost[all->n++] = bus.ripple_lost.value;
    return true;
}

enum sm_status log_ripple_judge(const struct log_rows *rows, struct sm_log_ripple *out)
{
    const size_t n = rows->log->n_rows;
    struct ripples all = { .read = arena_doubles(rows->arena, n),
                           .sound = arena_doubles(rows->arena, n),
                           .lost = arena_doubles(rows->arena, n) };
    *out = (struct sm_log_ripple){ .is = untold(SM_LOG_WHY_NO_RIPPLE) };
    if (rows->arena->failed)
        return SM_ERR_MEMORY;
    for (size_t i = 0; i < n; i++)
        if (rows->load[i].loaded && rows->log->rows[i].cell[SM_LOG_RIPPLE].given &&
            log_rows_can_heat(rows, i) && !ripple_add(rows, i, &all, &out->untold)) {
            out->is = untold(SM_LOG_TOLD);
            return SM_OK;
        }
    if (all.n == 0)
        return SM_OK;
    out->median = log_median(all.read, all.n);
    out->expected = log_median(all.sound, all.n);
    out->lost = log_median(all.lost, all.n);
    out->is = told(fabs(out->median - out->expected) <= fabs(out->median - out->lost), all.n);
    return SM_OK;
}

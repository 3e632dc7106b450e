/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "assess/log_doubts.h"

#include "assess/log_notes.h"
#include "assess/log_outliers.h"
#include "thermal/thermistor.h"

#include <math.h>

/* 1: from the drive file's sink_capacity; minutes are 60 seconds, and an hour 60 minutes. */
#define OTHER_CAPACITY 10.0

/* 1: standard errors by which a capacity must be beyond that. */
#define SURE 2.0

/* K: what a module's thermistor can have; 1: ohm of a kilohm. */
#define NTC_COLDEST 233.15
#define NTC_HOTTEST 473.15
#define KILO 1000.0

/* K: more than thermistor and case differ by in a module, or a cold heatsink and its air. */
#define OTHER_UNIT 15.0

/* K: a thermometer that moves less does not follow; s: loaded for so long, any heatsink moves more;
 * K: one that has settled before the log begins is warmer than its air by more. */
#define STUCK_RANGE 1.0
#define STUCK_TIME 300.0
#define STUCK_RISE 5.0

static const struct sm_optional *cell(const struct log_rows *rows, size_t i,
                                      enum sm_log_column column)
{
    return &rows->log->rows[i].cell[column];
}

/* -------------------------------------------------------------------- time */

static enum sm_status time_doubt(const struct log_rows *rows, struct sm_log_judgement *out)
{
    const struct sm_optional *expected = &rows->c->drive->cooling.sink_capacity;
    const struct sm_log_sink *sink = &out->sink;
    if (!expected->given || !sink->capacity_error.given || !(expected->value > 0.0))
        return SM_OK;
    const double off = fabs(log(sink->capacity / expected->value));
    if (off - SURE * sink->capacity_error.value <= log(OTHER_CAPACITY))
        return SM_OK;
    return log_note_add(
        out, (struct sm_log_note){ SM_LOG_NOTE_TIME, { sink->capacity, expected->value } });
}

/* -------------------------------------------------------------- thermistor */

static enum sm_status ntc_doubt(const struct log_rows *rows, double *values,
                                struct sm_log_judgement *out)
{
    const struct sm_thermistor *thermistor = &rows->c->module->thermistor;
    size_t n = 0;
    if (!thermistor_is_known(thermistor))
        return SM_OK;
    for (size_t i = 0; i < rows->log->n_rows; i++)
        if (cell(rows, i, SM_LOG_NTC)->given)
            values[n++] = cell(rows, i, SM_LOG_NTC)->value;
    if (n == 0)
        return SM_OK;
    const double middle = log_median(values, n);
    const double least = thermistor_resistance(thermistor, NTC_HOTTEST);
    const double most = thermistor_resistance(thermistor, NTC_COLDEST);
    if (middle >= least && middle <= most)
        return SM_OK;
    const bool kilo = KILO * middle >= least && KILO * middle <= most;
    return log_note_add(out,
                        (struct sm_log_note){ kilo ? SM_LOG_NOTE_KILOHM : SM_LOG_NOTE_NO_NTC_VALUE,
                                              { middle, least, most } });
}

/* ---------------------------------------------------------- degrees of what */

static enum sm_status ntc_unit_doubt(const struct log_rows *rows, double *values,
                                     struct sm_log_judgement *out)
{
    size_t n = 0;
    for (size_t i = 0; i < rows->log->n_rows; i++) {
        double ntc = 0.0;
        if (rows->load[i].loaded && cell(rows, i, SM_LOG_CASE)->given &&
            log_rows_ntc(rows, i, &ntc))
            values[n++] = ntc - cell(rows, i, SM_LOG_CASE)->value;
    }
    const double off = n > 0 ? fabs(log_median(values, n)) : 0.0;
    return off <= OTHER_UNIT
               ? SM_OK
               : log_note_add(out, (struct sm_log_note){ SM_LOG_NOTE_NTC_UNIT, { off } });
}

/* Before the first load: after it the heatsink is warm. */
static enum sm_status cold_unit_doubt(const struct log_rows *rows, double *values,
                                      struct sm_log_judgement *out)
{
    size_t n = 0;
    for (size_t i = 0; i < rows->log->n_rows && !rows->load[i].loaded; i++)
        if (rows->load[i].cold && cell(rows, i, SM_LOG_SINK)->given &&
            cell(rows, i, SM_LOG_AMBIENT)->given)
            values[n++] = cell(rows, i, SM_LOG_SINK)->value - cell(rows, i, SM_LOG_AMBIENT)->value;
    const double off = n > 0 ? fabs(log_median(values, n)) : 0.0;
    return off <= OTHER_UNIT
               ? SM_OK
               : log_note_add(out, (struct sm_log_note){ SM_LOG_NOTE_COLD_UNIT, { off } });
}

/* ------------------------------------------------------------------- stuck */

/* s: between neighbouring rows that are loaded. */
static double loaded_time(const struct log_rows *rows)
{
    double time = 0.0;
    for (size_t i = 1; i < rows->log->n_rows; i++)
        if (rows->load[i - 1].loaded && rows->load[i].loaded)
            time += cell(rows, i, SM_LOG_TIME)->value - cell(rows, i - 1, SM_LOG_TIME)->value;
    return time;
}

/* The heatsink should have moved: the load came or went, or it reads no warmer than its air. */
static bool should_move(const struct log_rows *rows, double *values)
{
    size_t n = 0;
    if (rows->n_cold > 0)
        return true;
    for (size_t i = 0; i < rows->log->n_rows; i++)
        if (rows->load[i].loaded && cell(rows, i, SM_LOG_SINK)->given &&
            cell(rows, i, SM_LOG_AMBIENT)->given)
            values[n++] = cell(rows, i, SM_LOG_SINK)->value - cell(rows, i, SM_LOG_AMBIENT)->value;
    return n > 0 && log_median(values, n) < STUCK_RISE;
}

static enum sm_status stuck_doubt(const struct log_rows *rows, double *values,
                                  struct sm_log_judgement *out)
{
    double low = HUGE_VAL, high = -HUGE_VAL;
    for (size_t i = 0; i < rows->log->n_rows; i++)
        if (cell(rows, i, SM_LOG_SINK)->given) {
            low = fmin(low, cell(rows, i, SM_LOG_SINK)->value);
            high = fmax(high, cell(rows, i, SM_LOG_SINK)->value);
        }
    out->sink.stuck = low <= high && high - low < STUCK_RANGE && loaded_time(rows) >= STUCK_TIME &&
                      should_move(rows, values);
    return !out->sink.stuck
               ? SM_OK
               : log_note_add(out, (struct sm_log_note){ SM_LOG_NOTE_STUCK,
                                                         { high - low, loaded_time(rows) } });
}

enum sm_status log_doubts_find(const struct log_rows *rows, struct sm_log_judgement *out)
{
    double *values = arena_doubles(rows->arena, rows->log->n_rows);
    if (!values)
        return SM_ERR_MEMORY;
    enum sm_status status = time_doubt(rows, out);
    const size_t before = out->n_notes;
    if (status == SM_OK)
        status = ntc_doubt(rows, values, out);
    if (status == SM_OK && out->n_notes == before) /* ohms that are none say nothing of degrees */
        status = ntc_unit_doubt(rows, values, out);
    if (status == SM_OK)
        status = cold_unit_doubt(rows, values, out);
    if (status == SM_OK)
        status = stuck_doubt(rows, values, out);
    return status;
}

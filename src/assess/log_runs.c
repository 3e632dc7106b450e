/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "assess/log_runs.h"

#include "assess/log_notes.h"
#include "assess/log_outliers.h"
#include "base/grow.h"

#include <math.h>

/* 1: of the duration asked for: a shorter run is told; of the current that the sheet expects: what
 * differs by more is (both common practice, no source). */
#define SHORT_RUN 0.5
#define OTHER_CURRENT 0.10

/* The run that a row is of: the nearest test frequency; NULL when none is near or the row is known
 * to be without load. */
static const struct sm_load_run *run_of(const struct log_rows *rows, size_t i)
{
    const struct sm_optional *hz = &rows->log->rows[i].cell[SM_LOG_OUTPUT];
    const struct log_load *load = &rows->load[i];
    const struct sm_load_run *nearest = NULL;
    double off = LOG_SAME_HZ;
    if (!hz->given || (load->known && !load->loaded))
        return NULL;
    for (size_t k = 0; k < rows->expected->n_runs; k++) {
        const struct sm_load_run *run = &rows->expected->runs[k];
        const double now = fabs(hz->value / run->output_hz - 1.0);
        if (now > off || (nearest && now >= off))
            continue;
        off = now;
        nearest = run;
    }
    return nearest;
}

/* -------------------------------------------------------------------- stop */

/* A reading with what it is held against. */
struct held {
    const struct sm_load_run *run;
    size_t row;
    enum sm_log_column column;
    double value, limit; /* K */
};

/* Takes the reading when it is the first that reaches its limit, or the nearest while none does. */
static void hold(const struct log_rows *rows, const struct held *held, struct sm_log_stop *out)
{
    const double left = held->limit - held->value;
    if (out->over > 0 || (out->line > 0 && left >= out->limit - out->value))
        return;
    out->line = rows->log->rows[held->row].line;
    out->time = rows->log->rows[held->row].cell[SM_LOG_TIME].value;
    out->output_hz = held->run->output_hz;
    out->column = held->column;
    out->value = held->value;
    out->limit = held->limit;
}

static bool is_stray(enum sm_log_aside_id aside)
{
    return aside == SM_LOG_ASIDE_JOINT_OFF || aside == SM_LOG_ASIDE_SINK_OFF;
}

/* Sink and case of one row; the sheet names one case, that under the IGBT. */
static void row_hold(const struct log_rows *rows, const struct sm_load_run *run, size_t i,
                     struct sm_log_stop *out)
{
    const struct sm_optional *sink = &rows->log->rows[i].cell[SM_LOG_SINK];
    struct held held[] = { { run, i, SM_LOG_SINK, sink->value, run->stop_sink.value },
                           { run, i, rows->ntc_as_case ? SM_LOG_NTC : SM_LOG_CASE, 0.0,
                             run->stop_case[SM_IGBT].value } };
    const bool given[] = { sink->given, log_rows_case(rows, i, &held[1].value) };
    bool over = false;
    for (size_t k = 0; k < 2; k++)
        if (given[k]) {
            hold(rows, &held[k], out);
            over = over || held[k].value >= held[k].limit;
        }
    out->is.rows += given[0] || given[1] ? 1 : 0;
    out->over += over ? 1 : 0;
    out->strays += over && is_stray(rows->aside[i]) ? 1 : 0;
}

static bool any_temperature(const struct log_rows *rows)
{
    double t = 0.0;
    for (size_t i = 0; i < rows->log->n_rows; i++)
        if (rows->log->rows[i].cell[SM_LOG_SINK].given || log_rows_case(rows, i, &t))
            return true;
    return false;
}

void log_stop_judge(const struct log_rows *rows, struct sm_log_stop *out)
{
    bool no_stop = false;
    *out = (struct sm_log_stop){ .is = { .result = SM_LOG_IS_NOT_CHECKED } };
    for (size_t i = 0; i < rows->log->n_rows; i++) {
        const struct sm_load_run *run = run_of(rows, i);
        if (run && run->stop_sink.untold == SM_TOLD)
            row_hold(rows, run, i, out);
        no_stop = no_stop || (run && run->stop_sink.untold != SM_TOLD);
    }
    if (out->is.rows > 0)
        out->is.result = out->over > 0 ? SM_LOG_IS_FAIL : SM_LOG_IS_PASS;
    else
        out->is.why = !any_temperature(rows) ? SM_LOG_WHY_NO_TEMPERATURE
                      : no_stop              ? SM_LOG_WHY_NO_STOP
                                             : SM_LOG_WHY_NO_TEST_ROW;
}

/* -------------------------------------------------------------------- runs */

static struct sm_log_run run_tell(const struct log_rows *rows, const struct sm_load_run *run,
                                  double *currents)
{
    struct sm_log_run out = { .output_hz = run->output_hz, .expected = run->i_drive };
    size_t n = 0;
    bool before = false; /* the row before is of this run too */
    for (size_t i = 0; i < rows->log->n_rows; i++) {
        const bool now = run_of(rows, i) == run;
        if (now && before)
            out.duration += rows->log->rows[i].cell[SM_LOG_TIME].value -
                            rows->log->rows[i - 1].cell[SM_LOG_TIME].value;
        if (now && rows->load[i].known)
            currents[n++] = rows->load[i].mean;
        out.rows += now ? 1 : 0;
        before = now;
    }
    if (n > 0)
        out.current = sm_given(log_median(currents, n));
    return out;
}

/* What there is to say of a run. */
static enum sm_status run_note(const struct sm_log_run *run, double duration,
                               struct sm_log_judgement *out)
{
    const struct sm_log_note missing = { SM_LOG_NOTE_NO_RUN, { run->output_hz } };
    const struct sm_log_note too_short = { SM_LOG_NOTE_SHORT_RUN,
                                           { run->output_hz, run->duration, duration } };
    const struct sm_log_note other = { SM_LOG_NOTE_OTHER_CURRENT,
                                       { run->output_hz, run->current.value, run->expected } };
    enum sm_status status = SM_OK;
    if (run->rows == 0)
        return log_note_add(out, missing);
    if (run->duration < SHORT_RUN * duration)
        status = log_note_add(out, too_short);
    if (status == SM_OK && run->current.given &&
        fabs(run->current.value / run->expected - 1.0) > OTHER_CURRENT)
        status = log_note_add(out, other);
    return status;
}

enum sm_status log_runs_tell(const struct log_rows *rows, struct sm_log_judgement *out)
{
    double *currents = arena_doubles(rows->arena, rows->log->n_rows);
    enum sm_status status = SM_OK;
    out->runs = list_zeroed(rows->expected->n_runs, sizeof *out->runs);
    if (!currents || !out->runs)
        return SM_ERR_MEMORY;
    out->n_runs = rows->expected->n_runs;
    for (size_t k = 0; status == SM_OK && k < out->n_runs; k++) {
        out->runs[k] = run_tell(rows, &rows->expected->runs[k], currents);
        status = run_note(&out->runs[k], rows->c->drive->test.duration, out);
    }
    return status;
}

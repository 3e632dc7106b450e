/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "assess/log_judge.h"

#include "assess/log_causes.h"
#include "assess/log_doubts.h"
#include "assess/log_electric.h"
#include "assess/log_runs.h"
#include "assess/log_thermal.h"
#include "thermal/thermistor.h"

#include <gsl/gsl_errno.h>
#include <stdlib.h>

static const bool results_bad[SM_LOG_RESULT_COUNT] = {
#define LOG_RESULT(id, text, bad) [SM_LOG_IS_##id] = bad,
#include "swapmargin/log_results.def"
#undef LOG_RESULT
};

void sm_log_judgement_init(struct sm_log_judgement *judgement)
{
    *judgement = (struct sm_log_judgement){ .asides = NULL };
}

void sm_log_judgement_release(struct sm_log_judgement *judgement)
{
    free(judgement->asides);
    free(judgement->runs);
    free(judgement->notes);
    sm_log_judgement_init(judgement);
}

bool sm_log_is_bad(const struct sm_log_judgement *j)
{
    return results_bad[j->stop.is.result] || results_bad[j->balance.is.result] ||
           results_bad[j->joint.is.result] || results_bad[j->sink.is.result] ||
           results_bad[j->bus.is.result] || results_bad[j->ripple.is.result];
}

static enum sm_status asides_gather(const struct log_rows *rows, struct sm_log_judgement *out)
{
    const size_t n = rows->log->n_rows;
    out->samples = n;
    out->loaded = rows->n_loaded;
    out->cold = rows->n_cold;
    out->asides = calloc(n + 1, sizeof *out->asides);
    if (!out->asides)
        return SM_ERR_MEMORY;
    for (size_t i = 0; i < n; i++)
        if (rows->aside[i] != SM_LOG_IN_USE)
            out->asides[out->n_asides++] =
                (struct sm_log_aside){ rows->log->rows[i].line, rows->aside[i], rows->gap[i],
                                       rows->off[i] };
    out->used = n - out->n_asides;
    return SM_OK;
}

enum sm_status log_judge(struct log_rows *rows, struct sm_log_judgement *out)
{
    enum sm_status status = log_rows_open(rows);
    if (status == SM_OK)
        status = log_runs_tell(rows, out);
    if (status == SM_OK)
        status = log_balance_judge(rows, &out->balance);
    if (status == SM_OK)
        status = log_joint_judge(rows, &out->joint);
    if (status == SM_OK)
        status = log_sink_judge(rows, &out->joint, &out->sink);
    if (status == SM_OK)
        log_stop_judge(rows, &out->stop);
    if (status == SM_OK)
        status = log_bus_judge(rows, &out->bus);
    if (status == SM_OK)
        status = log_ripple_judge(rows, &out->ripple);
    if (status == SM_OK)
        status = log_ntc_tell(rows, &out->ntc);
    if (status == SM_OK)
        status = log_doubts_find(rows, out);
    if (status == SM_OK && (rows->model->case_map.out_of_memory ||
                            rows->model->sink_map.out_of_memory || rows->arena->failed))
        status = SM_ERR_MEMORY;
    if (status == SM_OK)
        status = asides_gather(rows, out);
    if (status == SM_OK)
        log_causes_find(rows->c->drive, out);
    return status;
}

static enum sm_status judge_opened(struct log_rows *rows, struct arena *scratch,
                                   struct sm_log_judgement *out)
{
    const struct heat_bounds bounds = log_bounds(rows->c, rows->log);
    const enum sm_status status =
        log_model_open(rows->arena, scratch, rows->c, &bounds, rows->model);
    return status == SM_OK ? log_judge(rows, out) : status;
}

/* The thermistor can stand for the case. */
static enum sm_status ntc_check(const struct sm_case *c, const struct sm_log *log,
                                struct sm_faults *faults)
{
    const struct sm_place column = { .file = log->file, .line = 1, .key = "ntc_ohm" };
    const struct sm_place section = { .file = c->module->file, .section = "thermistor" };
    enum sm_status status = SM_OK;
    if (!log->has[SM_LOG_NTC])
        status = sm_fault_add(faults, SM_ERR_KEY, &column,
                              "column missing; expected it with --ntc-as-case");
    if (!thermistor_is_known(&c->module->thermistor))
        status = sm_fault_add(faults, SM_ERR_KEY, &section,
                              "r25 and a B value missing; expected both with --ntc-as-case");
    return status;
}

enum sm_status sm_log_judge(const struct sm_case *c, const struct sm_loadrun *expected,
                            const struct sm_log *log, bool ntc_as_case,
                            struct sm_log_judgement *out, struct sm_faults *faults)
{
    if (ntc_as_case) {
        const enum sm_status able = ntc_check(c, log, faults);
        if (able != SM_OK)
            return able;
    }
    struct arena arena, scratch;
    arena_init(&arena);
    arena_init(&scratch);
    gsl_error_handler_t *before = gsl_set_error_handler_off();
    struct log_model model;
    struct log_rows rows = { .arena = &arena,
                             .c = c,
                             .expected = expected,
                             .log = log,
                             .ntc_as_case = ntc_as_case,
                             .model = &model };
    const enum sm_status status = judge_opened(&rows, &scratch, out);
    (void)gsl_set_error_handler(before);
    arena_release(&scratch);
    arena_release(&arena);
    if (status == SM_OK)
        return SM_OK;
    sm_log_judgement_release(out);
    const struct sm_place place = { .file = log->file };
    return sm_fault_add(faults, status, &place, "%s", sm_status_text(status));
}

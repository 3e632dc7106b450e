/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "swapmargin/engine.h"

#include "assess/assumptions.h"
#include "assess/checks.h"
#include "assess/comparison.h"
#include "assess/notes.h"
#include "assess/verdict.h"
#include "solve/hold.h"
#include "solve/limits.h"
#include "solve/overload.h"
#include "solve/stage.h"
#include "solve/test_point.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

/* 1: what the standing note on more loss multiplies the chips' losses with. */
#define TEN_PERCENT_MORE 1.1

/* What one run works with.  `scratch` is cleared before each solution. */
struct workspace {
    struct arena arena, scratch;
    struct stage stage;
    struct test_point *points; /* one a test frequency */
};

static enum sm_status workspace_open(struct workspace *w, const struct sm_case *c)
{
    arena_init(&w->arena);
    arena_init(&w->scratch);
    w->stage = stage_build(&w->arena, c);
    return w->arena.failed ? SM_ERR_MEMORY : SM_OK;
}

static void workspace_close(struct workspace *w)
{
    arena_release(&w->scratch);
    arena_release(&w->arena);
}

static enum sm_status solve_points(struct workspace *w, const struct sm_case *c,
                                   struct sm_result *result)
{
    const struct sm_list *frequencies = &c->drive->test.frequencies;
    w->points = arena_bytes(&w->arena, frequencies->n * sizeof *w->points);
    result->points = calloc(frequencies->n, sizeof *result->points);
    if (!w->points || !result->points)
        return SM_ERR_MEMORY;
    result->n_points = frequencies->n;
    for (size_t i = 0; i < frequencies->n; i++) {
        struct test_point *point = &w->points[i];
        enum sm_status status =
            test_point_prepare(&w->arena, &w->stage, c->drive, frequencies->v[i], point);
        if (status == SM_OK)
            status = test_point_settle(&w->stage, &result->hold, point, &result->points[i]);
        if (status != SM_OK)
            return status;
    }
    return SM_OK;
}

static enum sm_status solve_overload(struct workspace *w, const struct sm_case *c,
                                     struct sm_result *result)
{
    if (!c->drive->rating.overload_current.given)
        return SM_OK;
    result->overload = calloc(result->n_points, sizeof *result->overload);
    if (!result->overload)
        return SM_ERR_MEMORY;
    result->n_overload = result->n_points;
    for (size_t i = 0; i < result->n_points; i++) {
        arena_clear(&w->scratch);
        const enum sm_status status = overload_solve(&w->scratch, &w->stage, c->drive,
                                                     &result->points[i], &result->overload[i]);
        if (status != SM_OK)
            return status;
    }
    return SM_OK;
}

/* The worst point once more, with more loss in the chips. */
static enum sm_status solve_ten_percent(struct workspace *w, const struct sm_case *c,
                                        struct sm_result *result)
{
    const struct sm_point *worst = &result->points[result->worst_point];
    if (result->runaway)
        return SM_OK;
    struct stage more = w->stage;
    more.loss_factor = TEN_PERCENT_MORE;
    struct sm_hold hold = { .runaway = false }; /* looked at below 1 Hz only */
    struct sm_point hotter;
    arena_clear(&w->scratch);
    if (worst->output_hz < SLOW_OUTPUT &&
        hold_try(&w->scratch, &more, c->drive, hold_current(c->drive), &hold) != SM_OK)
        return SM_ERR_MEMORY;
    test_point_try(&more, &hold, &w->points[result->worst_point], &hotter);
    result->ten_percent_runaway = hotter.runaway;
    if (!hotter.runaway)
        result->ten_percent_cost =
            hotter.chip[worst->worst].tvj_max - worst->chip[worst->worst].tvj_max;
    return SM_OK;
}

static enum sm_status run(struct workspace *w, const struct sm_case *c, struct sm_result *result)
{
    result->joint = joint_of(&c->drive->joint, c->module);
    result->rth_sa = sink_resistance(&c->drive->cooling);
    result->module_count = sm_case_module_count(c);
    enum sm_status status = hold_allowed(&w->scratch, &w->stage, c->drive, &result->hold);
    if (status == SM_OK)
        status = solve_points(w, c, result);
    if (status != SM_OK)
        return status;
    margin_gather(result);
    status = solve_overload(w, c, result);
    if (status == SM_OK)
        status = solve_ten_percent(w, c, result);
    if (status != SM_OK)
        return status;
    assumptions_tell(c, result);
    checks_run(c, result);
    verdict_reach(c, result);
    return notes_failed(result) ? SM_ERR_MEMORY : SM_OK;
}

static enum sm_status run_guarded(const struct sm_case *c, struct sm_result *result)
{
    struct workspace w;
    enum sm_status status = workspace_open(&w, c);
    if (status == SM_OK)
        status = run(&w, c, result);
    workspace_close(&w);
    return status;
}

static enum sm_status run_fault(const struct sm_module *module, enum sm_status status,
                                struct sm_faults *faults)
{
    const struct sm_place place = { .file = module->file };
    return sm_fault_add(faults, status, &place, "%s", sm_status_text(status));
}

/* The original in the candidate's place, then both side by side. */
static enum sm_status run_original(const struct sm_case *c, struct sm_result *result)
{
    const struct sm_case own = { .drive = c->drive, .module = c->original };
    struct sm_result *original = malloc(sizeof *original);
    if (!original)
        return SM_ERR_MEMORY;
    sm_result_init(original);
    result->comparison.original = original;
    const enum sm_status status = run_guarded(&own, original);
    return status == SM_OK ? comparison_make(c, result) : status;
}

enum sm_status sm_run(const struct sm_case *c, struct sm_result *result, struct sm_faults *faults)
{
    const struct sm_module *at = c->module;
    enum sm_status status = sm_case_sanity(c, &result->warnings);
    if (status == SM_OK)
        status = run_guarded(c, result);
    if (status == SM_OK && c->original) {
        at = c->original;
        status = run_original(c, result);
    }
    if (status == SM_OK)
        return SM_OK;
    sm_result_release(result);
    return run_fault(at, status, faults);
}

static enum sm_status run_limits(const struct sm_case *c, const struct sm_result *result,
                                 struct sm_limit limits[SM_LIMIT_COUNT])
{
    struct workspace w;
    enum sm_status status = workspace_open(&w, c);
    if (status == SM_OK)
        status = limits_solve(&w.arena, &w.scratch, c, &w.stage, result, limits);
    workspace_close(&w);
    return status;
}

enum sm_status sm_run_limits(const struct sm_case *c, struct sm_result *result,
                             struct sm_faults *faults)
{
    struct sm_limit limits[SM_LIMIT_COUNT];
    const enum sm_status status = run_limits(c, result, limits);
    if (status != SM_OK)
        return run_fault(c->module, status, faults);
    memcpy(result->limits, limits, sizeof limits);
    return SM_OK;
}

/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "swapmargin/engine.h"

#include "assess/assumptions.h"
#include "assess/checks.h"
#include "assess/comparison.h"
#include "assess/notes.h"
#include "assess/verdict.h"
#include "solve/electrothermal.h"
#include "solve/hold.h"
#include "solve/stage.h"

#include <gsl/gsl_errno.h>
#include <math.h>
#include <stdlib.h>

/* Hz: below this the zero-speed hold counts too. */
#define SLOW_OUTPUT 1.0

/* 1: what the standing note on more loss multiplies the chips' losses with. */
#define TEN_PERCENT_MORE 1.1

/* Below 1 Hz the junction follows the current so closely that standing at the peak is the worse. */
static void apply_hold(const struct sm_hold *hold, double tvj_op_max, struct sm_point *p)
{
    if (p->output_hz >= SLOW_OUTPUT || p->runaway)
        return;
    if (hold->runaway) {
        p->runaway = true;
        p->hold_governs = true;
        return;
    }
    for (int k = 0; k < SM_CHIP_COUNT; k++)
        if (hold->tvj[k] > p->chip[k].tvj_max) {
            p->hold_governs = true;
            p->chip[k].tvj_max = hold->tvj[k];
            p->chip[k].margin = tvj_op_max - hold->tvj[k];
        }
    point_margin(p);
}

static enum sm_status solve_points(struct arena *arena, const struct sm_case *c,
                                   const struct stage *stage, struct sm_result *result)
{
    const struct sm_list *frequencies = &c->drive->test.frequencies;
    for (size_t i = 0; i < frequencies->n; i++) {
        const struct operating_point point =
            operating_point_at(c->drive, frequencies->v[i], c->drive->test.load);
        const enum sm_status status =
            electrothermal_solve(arena, stage, &point, NULL, &result->points[i], NULL);
        if (status != SM_OK)
            return status;
        apply_hold(&result->hold, stage->tvj_op_max, &result->points[i]);
    }
    return SM_OK;
}

static enum sm_status solve_ten_percent(struct arena *arena, const struct sm_case *c,
                                        const struct stage *stage, struct sm_result *result)
{
    const struct sm_point *worst = &result->points[result->worst_point];
    if (result->runaway)
        return SM_OK;
    struct stage more = *stage;
    more.loss_factor = TEN_PERCENT_MORE;
    const struct operating_point point =
        operating_point_at(c->drive, worst->output_hz, c->drive->test.load);
    struct sm_point hotter;
    const enum sm_status status = electrothermal_solve(arena, &more, &point, NULL, &hotter, NULL);
    result->ten_percent_runaway = hotter.runaway;
    if (status == SM_OK && !hotter.runaway)
        result->ten_percent_cost =
            hotter.chip[worst->worst].tvj_max - worst->chip[worst->worst].tvj_max;
    return status;
}

static enum sm_status run(struct arena *arena, const struct sm_case *c, struct sm_result *result)
{
    const struct sm_drive *drive = c->drive;
    result->joint = joint_of(&drive->joint, c->module);
    result->rth_sa = sink_resistance(&drive->cooling);
    result->module_count = sm_case_module_count(c);
    result->n_points = drive->test.frequencies.n;
    result->points = calloc(result->n_points, sizeof *result->points);
    const struct stage stage = stage_build(arena, c);
    if (!result->points || arena->failed)
        return SM_ERR_MEMORY;
    enum sm_status status =
        hold_solve(arena, &stage, stage_hold_peak(drive), drive->rating.switching_frequency,
                   drive->rating.parallel, &result->hold);
    if (status == SM_OK)
        status = solve_points(arena, c, &stage, result);
    if (status != SM_OK)
        return status;
    margin_gather(result);
    status = solve_ten_percent(arena, c, &stage, result);
    if (status != SM_OK)
        return status;
    assumptions_tell(c, result);
    checks_run(c, result);
    verdict_reach(c, result);
    return notes_failed(result) ? SM_ERR_MEMORY : SM_OK;
}

static enum sm_status run_guarded(const struct sm_case *c, struct sm_result *result)
{
    struct arena arena;
    arena_init(&arena);
    gsl_error_handler_t *handler = gsl_set_error_handler_off();
    const enum sm_status status = run(&arena, c, result);
    (void)gsl_set_error_handler(handler);
    arena_release(&arena);
    return status;
}

static enum sm_status run_fault(const struct sm_module *module, enum sm_status status,
                                struct sm_faults *faults)
{
    const struct sm_place place = { .file = module->file };
    return sm_fault_add(faults, status, &place,
                        status == SM_ERR_MEMORY
                            ? "out of memory"
                            : "losses and temperatures did not settle; expected a case whose "
                              "iteration converges");
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
    enum sm_status status = run_guarded(c, result);
    if (status == SM_OK && c->original) {
        at = c->original;
        status = run_original(c, result);
    }
    if (status == SM_OK)
        return SM_OK;
    sm_result_release(result);
    return run_fault(at, status, faults);
}

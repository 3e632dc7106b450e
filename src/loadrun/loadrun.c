/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "swapmargin/loadrun.h"

#include "load/bus_reading.h"
#include "solve/load_run.h"
#include "solve/stage.h"

#include <stdlib.h>

void sm_loadrun_init(struct sm_loadrun *loadrun)
{
    *loadrun = (struct sm_loadrun){ .runs = NULL };
}

void sm_loadrun_release(struct sm_loadrun *loadrun)
{
    free(loadrun->runs);
    sm_loadrun_init(loadrun);
}

static void bus_fill(const struct sm_drive *drive, const struct sm_result *result, size_t i,
                     struct sm_load_run *run)
{
    const struct bus_reading bus = bus_reading_of(drive, &result->points[i], result->module_count);
    run->power = bus.power;
    run->ripple = bus.ripple;
    run->ripple_lost = bus.ripple_lost;
    run->ripple_bound = bus.ripple_bound;
}

static enum sm_status runs_solve(struct arena *arena, struct arena *scratch,
                                 const struct sm_case *c, const struct sm_result *result,
                                 struct sm_loadrun *loadrun)
{
    const struct stage stage = stage_build(arena, c);
    struct load_run_start start = { .t_sink = c->drive->cooling.ambient };
    loadrun->runs = calloc(result->n_points, sizeof *loadrun->runs);
    if (arena->failed || !loadrun->runs)
        return SM_ERR_MEMORY;
    loadrun->n_runs = result->n_points;
    for (size_t i = 0; i < result->n_points; i++) {
        struct sm_load_run *run = &loadrun->runs[i];
        const enum sm_status status =
            load_run_solve(scratch, &stage, c->drive, &result->points[i], &start, run);
        if (status != SM_OK)
            return status;
        bus_fill(c->drive, result, i, run);
    }
    return SM_OK;
}

enum sm_status sm_loadrun(const struct sm_case *c, const struct sm_result *result,
                          struct sm_loadrun *loadrun, struct sm_faults *faults)
{
    struct arena arena, scratch;
    arena_init(&arena);
    arena_init(&scratch);
    const enum sm_status status = runs_solve(&arena, &scratch, c, result, loadrun);
    arena_release(&scratch);
    arena_release(&arena);
    if (status == SM_OK)
        return SM_OK;
    sm_loadrun_release(loadrun);
    const struct sm_place place = { .file = c->module->file };
    return sm_fault_add(faults, status, &place, "%s", sm_status_text(status));
}

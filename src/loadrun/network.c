/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "swapmargin/network.h"

#include "base/grow.h"
#include "solve/network_cycle.h"
#include "solve/network_run.h"
#include "solve/stage.h"

#include <stdlib.h>

void sm_network_init(struct sm_network *network)
{
    *network = (struct sm_network){ .runs = NULL };
}

void sm_network_release(struct sm_network *network)
{
    free(network->runs);
    free(network->overloads);
    free(network->cycles);
    sm_network_init(network);
}

/* What all parts work on. */
struct works {
    const struct sm_case *c;
    const struct sm_result *result;
    struct stage stage;
    struct heat_network_plan plan;
    struct arena *arena, *scratch;
    struct sm_network *out;
};

/* ------------------------------------------------------------------ plan */

static struct sm_told base_of(const struct works *w)
{
    const struct sm_optional *base = &w->c->module->mounting.base_capacity;
    if (w->stage.path.form == SM_JOINT_PER_SWITCH)
        return (struct sm_told){ .untold = SM_UNTOLD_NO_BASE };
    if (!base->given)
        return (struct sm_told){ .untold = SM_UNTOLD_NO_BASE_CAPACITY };
    return (struct sm_told){ .value = base->value };
}

/* The ladders; false when one of them cannot be told. */
static bool ladders_find(struct works *w)
{
    for (int k = 0; k < SM_CHIP_COUNT; k++) {
        struct cauer *ladder = &w->plan.ladder[k];
        if (cauer_of_foster(w->stage.foster_r[k]->v, w->stage.foster_tau[k]->v,
                            w->stage.foster_r[k]->n, ladder) != SM_OK)
            return false;
        w->out->ladder[k].n = ladder->n;
        for (size_t j = 0; j < ladder->n; j++) {
            w->out->ladder[k].r[j] = ladder->r[j];
            w->out->ladder[k].c[j] = ladder->c[j];
        }
    }
    return true;
}

static bool plan_make(struct works *w)
{
    const struct sm_optional *capacity = &w->c->drive->cooling.sink_capacity;
    struct sm_network *out = w->out;
    const bool ladders = ladders_find(w);
    out->base_capacity = base_of(w);
    out->sink_capacity = capacity->value;
    out->untold = !capacity->given ? SM_UNTOLD_NO_SINK_CAPACITY
                  : !ladders       ? SM_UNTOLD_LADDER
                                   : SM_TOLD;
    w->plan.path = &w->stage.path;
    w->plan.sink_capacity = capacity->value;
    w->plan.base_capacity = out->base_capacity.value;
    return out->untold == SM_TOLD;
}

static void times_tell(const struct works *w, const struct mean_network *network)
{
    const struct heat_path *path = &w->stage.path;
    const struct network *net = &network->heat.net;
    struct sm_network *out = w->out;
    double sum = 0.0;
    for (size_t i = 0; i < net->n_modes; i++)
        sum += 1.0 / net->rate[i];
    out->case_over_sink = out->base_capacity;
    out->case_over_sink.value *= path->rth_module;
    out->sink_to_air = out->sink_capacity * path->rth_sa;
    out->rest_to_air = sum - out->sink_to_air;
    out->slowest = 1.0 / net->rate[0];
    out->places = net->n;
}

/* ------------------------------------------------------------------ parts */

static enum sm_status runs_solve(struct works *w, struct mean_network *network)
{
    const struct sm_drive *drive = w->c->drive;
    double t_sink = drive->cooling.ambient;
    enum sm_untold_id untold = SM_TOLD;
    for (size_t i = 0; i < w->out->n_runs; i++) {
        struct sm_network_run *out = &w->out->runs[i];
        const double output_hz = w->result->points[i].output_hz;
        if (untold != SM_TOLD) {
            *out = (struct sm_network_run){ .output_hz = output_hz, .untold = untold };
            continue;
        }
        const struct network_run run = { .stage = &w->stage,
                                         .point =
                                             operating_point_at(drive, output_hz, drive->test.load),
                                         .sink_capacity = w->plan.sink_capacity,
                                         .duration = drive->test.duration };
        const enum sm_status status = network_run_solve(w->scratch, &run, network, &t_sink, out);
        if (status != SM_OK)
            return status;
        if (out->untold != SM_TOLD)
            untold = SM_UNTOLD_RUN_BEFORE;
    }
    return SM_OK;
}

static enum sm_status overloads_solve(struct works *w, struct mean_network *network)
{
    const struct sm_rating *rating = &w->c->drive->rating;
    for (size_t i = 0; i < w->out->n_overloads; i++) {
        const struct sm_point *start = &w->result->points[i];
        struct sm_network_run *out = &w->out->overloads[i];
        *out =
            (struct sm_network_run){ .output_hz = start->output_hz, .untold = SM_UNTOLD_RUNAWAY };
        if (start->runaway)
            continue;
        const double i_drive = rating->overload_current.value * rating->output_current;
        const struct network_run run = { .stage = &w->stage,
                                         .point = operating_point_with_current(
                                             w->c->drive, start->output_hz, i_drive),
                                         .sink_capacity = w->plan.sink_capacity,
                                         .duration = rating->overload_time.value };
        double t_sink = start->t_sink;
        mean_network_settle(network, start);
        const enum sm_status status = network_run_solve(w->scratch, &run, network, &t_sink, out);
        if (status != SM_OK)
            return status;
    }
    return SM_OK;
}

static enum sm_status cycles_solve(struct works *w)
{
    static const double hz[SM_CYCLES] = SM_CYCLES_HZ;
    const struct sm_drive *drive = w->c->drive;
    struct heat_network_plan apart = w->plan;
    apart.bridge = true;
    for (size_t i = 0; i < SM_CYCLES; i++) {
        const struct operating_point point = operating_point_at(drive, hz[i], drive->test.load);
        const enum sm_status status =
            network_cycle_solve(w->scratch, &w->stage, &point, &apart, &w->out->cycles[i]);
        if (status != SM_OK)
            return status;
    }
    return SM_OK;
}

static bool room_make(struct works *w)
{
    struct sm_network *out = w->out;
    const size_t n = w->result->n_points;
    out->runs = list_zeroed(n, sizeof *out->runs);
    out->overloads = list_zeroed(n, sizeof *out->overloads);
    out->cycles = list_zeroed(SM_CYCLES, sizeof *out->cycles);
    if (!out->runs || !out->overloads || !out->cycles)
        return false;
    out->n_runs = n;
    out->n_overloads = w->c->drive->rating.overload_current.given ? n : 0;
    out->n_cycles = SM_CYCLES;
    return true;
}

static enum sm_status parts_solve(struct works *w)
{
    struct mean_network network;
    w->stage = stage_build(w->arena, w->c);
    if (w->arena->failed)
        return SM_ERR_MEMORY;
    if (!plan_make(w))
        return SM_OK;
    if (!room_make(w))
        return SM_ERR_MEMORY;
    enum sm_status status = mean_network_open(w->arena, &w->plan, &network);
    if (status == SM_ERR_DOMAIN) {
        w->out->untold = SM_UNTOLD_RATES_APART;
        return SM_OK;
    }
    if (status != SM_OK)
        return status;
    times_tell(w, &network);
    status = runs_solve(w, &network);
    if (status == SM_OK)
        status = overloads_solve(w, &network);
    return status == SM_OK ? cycles_solve(w) : status;
}

enum sm_status sm_network(const struct sm_case *c, const struct sm_result *result,
                          struct sm_network *network, struct sm_faults *faults)
{
    struct arena arena, scratch;
    arena_init(&arena);
    arena_init(&scratch);
    struct works works = {
        .c = c, .result = result, .arena = &arena, .scratch = &scratch, .out = network
    };
    const enum sm_status status = parts_solve(&works);
    arena_release(&scratch);
    arena_release(&arena);
    if (status == SM_OK)
        return SM_OK;
    sm_network_release(network);
    const struct sm_place place = { .file = c->module->file };
    return sm_fault_add(faults, status, &place, "%s", sm_status_text(status));
}

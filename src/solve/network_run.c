/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "solve/network_run.h"

#include "solve/sink_time.h"

#include <math.h>

/* Steps between two marks while these double, so that a step is an eighth of the time gone. */
#define STEPS_LEAST 8.0

/* 1: longest step over the sink's time constant, or over the time gone where that is more: what
 * answers faster has settled by then.  Losses are taken from a step's middle
 * (tests/test_load_network.c shows what that leaves). */
#define STEP_SHARE 0.02

#define SIXTY 60.0

/* s: the marks of a run of this duration. */
static void marks_place(double duration, struct sm_mark *mark)
{
    const double sixtieth = duration / SIXTY;
    mark[0].time = 0.0;
    for (int k = 1; k <= SM_MARKS_DOUBLING; k++)
        mark[k].time = ldexp(sixtieth, k - SM_MARKS_DOUBLING);
    for (int k = SM_MARKS_DOUBLING + 1; k < SM_MARKS; k++)
        mark[k].time = sixtieth * (k - SM_MARKS_DOUBLING + 1);
}

static struct sm_stand stand_of(const struct sm_point *point)
{
    return (
        struct sm_stand){ .t_sink = point->t_sink,
                          .t_case = { point->chip[SM_IGBT].t_case, point->chip[SM_DIODE].t_case },
                          .tvj_max = point->chip[point->worst].tvj_max };
}

/* ------------------------------------------------------------- both marches */

struct pair {
    struct mean_network *network;
    struct loss_line line;
    struct network_step step; /* the last one used */
    double sink_tau;          /* s */
    struct sink_time sink;    /* the rules' */
    const struct network_run *run;
    struct chip_state *chips;
};

static bool network_march_to(struct arena *scratch, struct pair *pair, double from, double to)
{
    const double way = to - from;
    const double n = fmax(STEPS_LEAST, ceil(way / (STEP_SHARE * fmax(pair->sink_tau, from))));
    if (fabs(pair->step.width * n - way) > 1e-12 * way)
        pair->step = network_step_of(scratch, &pair->network->heat.net, way / n);
    return !scratch->failed &&
           mean_network_march(pair->network, &pair->step, (size_t)n, &pair->line);
}

/* One mark: both calculations where they are.  False when either has no equilibrium. */
static bool mark_fill(struct pair *pair, struct sm_mark *mark)
{
    struct sm_point point;
    sink_time_march(&pair->sink, mark->time, NULL);
    if (pair->sink.runaway || electrothermal_try(pair->run->stage, &pair->run->point,
                                                 &pair->sink.t_sink, pair->chips, &point))
        return false;
    mark->rules = stand_of(&point);
    mark->network = mean_network_stand(pair->network, &pair->line);
    return true;
}

static void both_march(struct arena *scratch, struct pair *pair, struct sm_network_run *out)
{
    out->untold = pair->line.n > 0 ? SM_TOLD : SM_UNTOLD_RUNAWAY;
    while (out->untold == SM_TOLD && out->n_marks < SM_MARKS) {
        const size_t k = out->n_marks;
        const bool goes_on =
            k == 0 || network_march_to(scratch, pair, out->mark[k - 1].time, out->mark[k].time);
        if (goes_on && mark_fill(pair, &out->mark[k]))
            out->n_marks++;
        else
            out->untold = SM_UNTOLD_RUNAWAY;
    }
}

/* ------------------------------------------------------------- differences */

static double sink_gap(const struct sm_mark *mark)
{
    return mark->network.t_sink - mark->rules.t_sink;
}

static double tvj_gap(const struct sm_mark *mark)
{
    return mark->network.tvj_max - mark->rules.tvj_max;
}

static struct sm_gap largest_gap(const struct sm_network_run *run, size_t first,
                                 double gap(const struct sm_mark *))
{
    struct sm_gap found = { 0.0, run->mark[first].time };
    for (size_t k = first; k < run->n_marks; k++)
        if (fabs(gap(&run->mark[k])) > fabs(found.value))
            found = (struct sm_gap){ gap(&run->mark[k]), run->mark[k].time };
    return found;
}

/* The first mark of those at the end that are all near. */
static struct sm_optional follows_from(const struct sm_network_run *run)
{
    size_t k = run->n_marks;
    while (k > 0 && fabs(tvj_gap(&run->mark[k - 1])) <= SM_FOLLOWS)
        k--;
    return k < run->n_marks ? sm_given(run->mark[k].time) : (struct sm_optional){ .given = false };
}

enum sm_status network_run_solve(struct arena *scratch, const struct network_run *run,
                                 struct mean_network *network, double *t_sink,
                                 struct sm_network_run *out)
{
    struct chip_state chips[SM_CHIP_COUNT];
    struct pair pair = { .network = network, .run = run, .chips = chips };
    *out = (struct sm_network_run){ .output_hz = run->point.output_hz };
    marks_place(run->duration, out->mark);
    arena_clear(scratch);
    if (electrothermal_prepare(scratch, run->stage, &run->point, chips) != SM_OK ||
        loss_line_build(scratch, run->stage, &run->point, chips, &pair.line) != SM_OK)
        return SM_ERR_MEMORY;
    const struct sink_run way = { run->sink_capacity, *t_sink, run->duration };
    pair.sink = sink_time_start(run->stage, &run->point, chips, &way);
    pair.sink_tau = run->sink_capacity * run->stage->path.rth_sa;
    both_march(scratch, &pair, out);
    *t_sink = pair.sink.t_sink;
    if (scratch->failed)
        return SM_ERR_MEMORY;
    if (out->untold != SM_TOLD)
        return SM_OK;
    out->sink = largest_gap(out, 0, sink_gap);
    out->tvj = largest_gap(out, SM_MARKS_DOUBLING, tvj_gap);
    out->follows = follows_from(out);
    return SM_OK;
}

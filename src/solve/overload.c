/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "solve/overload.h"

#include "solve/root.h"
#include "solve/sink_time.h"

#include <math.h>

/* K: how near to the highest allowed junction the sink temperature is found that leads to it. */
#define JUNCTION_ACCURACY 1e-4

/* K: a sink that runs away is told from one that does not to this. */
#define EDGE_ACCURACY 1e-4

struct overload {
    const struct stage *stage;
    struct operating_point point;
    struct chip_state chips[SM_CHIP_COUNT];
    struct sink_run run;
};

static double excess_at(double t_sink, void *context)
{
    struct overload *o = context;
    struct sm_point point;
    (void)electrothermal_try(o->stage, &o->point, &t_sink, o->chips, &point);
    return point_excess(&point, o->stage->tvj_op_max);
}

static struct sink_time sink_of(struct overload *o)
{
    return sink_time_start(o->stage, &o->point, o->chips, &o->run);
}

/* Time until the hottest junction is at its limit, which it has passed over a sink at t_end: the
 * sink temperature that leads there, then the time the sink takes to it. */
static enum sm_status allowed_time(struct overload *o, double t_end, double excess_end,
                                   struct sm_optional *allowed)
{
    const double excess_start = excess_at(o->run.t_start, o);
    *allowed = (struct sm_optional){ .given = true };
    if (excess_start >= 0.0)
        return SM_OK;
    const struct root_search search = { .f = excess_at,
                                        .context = o,
                                        .low = o->run.t_start,
                                        .high = t_end,
                                        .f_low = excess_start,
                                        .f_high = excess_end,
                                        .tolerance = JUNCTION_ACCURACY,
                                        .width = EDGE_ACCURACY };
    double t_stop = 0.0;
    const enum sm_status status = root_find(&search, &t_stop);
    if (status != SM_OK)
        return status;
    struct sink_time sink = sink_of(o);
    sink_time_march(&sink, o->run.duration, &t_stop);
    allowed->value = sink.time;
    return SM_OK;
}

static void junctions_tell(const struct sm_point *point, struct sm_overload *out)
{
    out->runaway = point->runaway;
    if (point->runaway)
        return;
    out->t_sink = point->t_sink;
    out->tvj_max = point->chip[point->worst].tvj_max;
    out->margin = point->margin;
    out->worst = point->worst;
}

static enum sm_status overload_in_time(struct overload *o, struct sm_overload *out)
{
    struct sink_time sink = sink_of(o);
    struct sm_point end = { .runaway = true };
    sink_time_march(&sink, o->run.duration, NULL);
    if (!sink.runaway)
        (void)electrothermal_try(o->stage, &o->point, &sink.t_sink, o->chips, &end);
    junctions_tell(&end, out);
    const double excess = point_excess(&end, o->stage->tvj_op_max);
    return excess > 0.0 ? allowed_time(o, sink.t_sink, excess, &out->allowed_time) : SM_OK;
}

enum sm_status overload_solve(struct arena *arena, const struct stage *stage,
                              const struct sm_drive *drive, const struct sm_point *start,
                              struct sm_overload *out)
{
    const struct sm_rating *rating = &drive->rating;
    const struct sm_optional *capacity = &drive->cooling.sink_capacity;
    const double i_drive = rating->overload_current.value * rating->output_current;
    struct overload o = { .stage = stage,
                          .point = operating_point_with_current(drive, start->output_hz, i_drive),
                          .run = { .capacity = capacity->value,
                                   .t_start = start->t_sink,
                                   .duration = rating->overload_time.value } };
    *out = (struct sm_overload){ .output_hz = start->output_hz,
                                 .i_drive = i_drive,
                                 .sink_settled = !capacity->given,
                                 .runaway = start->runaway };
    if (start->runaway)
        return SM_OK;
    enum sm_status status = electrothermal_prepare(arena, stage, &o.point, o.chips);
    if (status == SM_OK && capacity->given)
        return overload_in_time(&o, out);
    struct sm_point settled;
    if (status != SM_OK)
        return status;
    (void)electrothermal_try(stage, &o.point, NULL, o.chips, &settled);
    junctions_tell(&settled, out);
    return SM_OK;
}

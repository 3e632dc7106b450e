/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "solve/held_point.h"

#include "solve/hold.h"
#include "solve/root.h"

#include <math.h>

/* K: how near to its limit the junction is brought, and how narrow the gap to a sink without
 * equilibrium. */
#define JUNCTION_ACCURACY 1e-4
#define SINK_WIDTH 1e-4

enum sm_status held_point_open(struct arena *arena, struct arena *hold, const struct stage *stage,
                               const struct sm_drive *drive, double output_hz,
                               struct held_point *out)
{
    *out = (struct held_point){ .stage = stage, .drive = drive, .hold = hold };
    return test_point_prepare(arena, stage, drive, output_hz, &out->test);
}

/* The hold over the same sink: a path that ends there. */
static enum sm_status hold_over(const struct held_point *held, double t_sink, struct sm_hold *hold)
{
    struct stage over = *held->stage;
    over.path.t_base = t_sink;
    over.path.rth_sa = 0.0;
    arena_clear(held->hold);
    return hold_try(held->hold, &over, held->drive, hold_current(held->drive), hold);
}

enum sm_status held_point_solve(struct held_point *held, double t_sink, struct sm_point *out)
{
    (void)electrothermal_try(held->stage, &held->test.at, &t_sink, held->test.chip, out);
    struct sm_hold hold = { .runaway = false };
    if (out->output_hz < SLOW_OUTPUT && hold_over(held, t_sink, &hold) != SM_OK)
        return SM_ERR_MEMORY;
    test_point_hold(&hold, held->stage->tvj_op_max, out);
    return SM_OK;
}

struct limit_search {
    struct held_point *held;
    enum sm_status status;
};

static double excess_at(double t_sink, void *context)
{
    struct limit_search *s = context;
    struct sm_point point;
    s->status = held_point_solve(s->held, t_sink, &point);
    if (s->status != SM_OK)
        return HUGE_VAL;
    return point_excess(&point, s->held->stage->tvj_op_max);
}

enum sm_status held_point_limit(struct held_point *held, double low, double high, double *t_sink,
                                struct sm_point *out)
{
    struct limit_search context = { held, SM_OK };
    *out = (struct sm_point){ .runaway = true };
    if (!(low < high))
        return SM_OK;
    struct root_search search = { .f = excess_at,
                                  .context = &context,
                                  .low = low,
                                  .high = high,
                                  .tolerance = JUNCTION_ACCURACY,
                                  .width = SINK_WIDTH };
    search.f_low = excess_at(low, &context);
    search.f_high = context.status == SM_OK ? excess_at(high, &context) : HUGE_VAL;
    if (context.status != SM_OK || search.f_low > 0.0 || search.f_high < 0.0)
        return context.status;
    double found = low;
    const enum sm_status status = root_find(&search, &found);
    if (context.status != SM_OK || status != SM_OK)
        return context.status != SM_OK ? context.status : status;
    context.status = held_point_solve(held, found, out);
    if (context.status == SM_OK && !out->runaway)
        *t_sink = found;
    return context.status;
}

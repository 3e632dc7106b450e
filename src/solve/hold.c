/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "solve/hold.h"

#include "base/maths.h"
#include "solve/root.h"
#include "solve/standing.h"

#include <math.h>

/* K of margin and 1, of output_current: how well that current is found. */
#define ALLOWED_ACCURACY 1e-4
#define ALLOWED_WIDTH 1e-7

double hold_current(const struct sm_drive *drive)
{
    return drive->test.load * drive->rating.output_current;
}

enum sm_status hold_solve(struct arena *arena, const struct stage *stage,
                          const struct sm_drive *drive, double i_drive, struct sm_hold *out)
{
    const int parallel = drive->rating.parallel;
    const double i_peak = SQRT2 * i_drive / parallel;
    struct standing standing;
    *out = (struct sm_hold){ .current = i_peak };
    if (!standing_open(arena, stage, parallel, i_peak, drive->rating.switching_frequency,
                       &standing))
        return SM_ERR_MEMORY;
    const enum outcome outcome = standing_settle(&standing);
    out->runaway = outcome == RUNAWAY;
    if (outcome != SETTLED)
        return outcome == RUNAWAY ? SM_OK : SM_ERR_CONVERGE;
    for (int c = 0; c < SM_CHIP_COUNT; c++) {
        const int other = OTHER_LEG * SM_CHIP_COUNT + c;
        out->power[c] = standing.p[c];
        out->tvj[c] = standing.t[c];
        out->other_power[c] = standing.p[other];
        out->other_tvj[c] = standing.t[other];
    }
    out->t_sink = standing.t_sink;
    out->margin = stage->tvj_op_max - fmax(out->tvj[SM_IGBT], out->tvj[SM_DIODE]);
    return SM_OK;
}

enum sm_status hold_try(struct arena *arena, const struct stage *stage,
                        const struct sm_drive *drive, double i_drive, struct sm_hold *out)
{
    const enum sm_status status = hold_solve(arena, stage, drive, i_drive, out);
    if (status != SM_ERR_CONVERGE)
        return status;
    out->runaway = true;
    return SM_OK;
}

/* ----------------------------------------------------- what is allowed */

struct hold_search {
    struct arena *scratch;
    const struct stage *stage;
    const struct sm_drive *drive;
    enum sm_status status;
};

/* K: margin at a current; without equilibrium as if the junction stood where runaway begins. */
static double margin_of(const struct stage *stage, const struct sm_hold *hold)
{
    return hold->runaway ? stage->tvj_op_max - T_RUNAWAY : hold->margin;
}

static double margin_at(double i_drive, void *context)
{
    struct hold_search *s = context;
    struct sm_hold hold;
    arena_clear(s->scratch);
    s->status = hold_try(s->scratch, s->stage, s->drive, i_drive, &hold);
    return s->status == SM_OK ? margin_of(s->stage, &hold) : HUGE_VAL;
}

enum sm_status hold_allowed(struct arena *scratch, const struct stage *stage,
                            const struct sm_drive *drive, struct sm_hold *out)
{
    const double full = hold_current(drive), rated = drive->rating.output_current;
    struct hold_search context = { scratch, stage, drive, SM_OK };
    arena_clear(scratch);
    enum sm_status status = hold_solve(scratch, stage, drive, full, out);
    if (status != SM_OK)
        return status;
    const double margin = margin_of(stage, out);
    const double other_end = (margin < 0.0 ? SM_HOLD_LEAST : SM_HOLD_MOST) * rated;
    const double other = margin_at(other_end, &context);
    if (context.status != SM_OK || (margin < 0.0) == (other < 0.0))
        return context.status;
    struct root_search search = { .f = margin_at,
                                  .context = &context,
                                  .low = full,
                                  .high = other_end,
                                  .f_low = margin,
                                  .f_high = other,
                                  .tolerance = ALLOWED_ACCURACY,
                                  .width = ALLOWED_WIDTH * rated };
    if (margin < 0.0) {
        search.low = other_end;
        search.high = full;
        search.f_low = other;
        search.f_high = margin;
    }
    double current = 0.0;
    status = root_find(&search, &current);
    if (status == SM_OK)
        out->allowed_current = (struct sm_optional){ .given = true, .value = current };
    return context.status != SM_OK ? context.status : status;
}

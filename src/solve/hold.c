/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "solve/hold.h"

#include "base/maths.h"
#include "device/segment.h"
#include "solve/root.h"

#include <math.h>

/* K: bound of the error left; the sequence converges by a fixed ratio. */
#define HOLD_TOLERANCE 1e-6

/* 1: losses that fall steeply with temperature make the turns swing around the goal; where a swing
 * leaves more than this of the one before, only half the way is gone from then on. */
#define SLOWEST_SWING 0.5

enum { HOLD_CAP = 100000 }; /* turns of some twenty multiplications */

/* 1: where the search for the current that may stand ends, in parts of output_current. */
#define ALLOWED_HIGH 10.0

/* K of margin and 1, of output_current: how well that current is found. */
#define ALLOWED_ACCURACY 1e-4
#define ALLOWED_WIDTH 1e-7

/* 1: share of the period that each of the two devices of a leg conducts at zero voltage. */
#define HOLD_DUTY 0.5

enum leg { HOT_LEG, OTHER_LEG, LEG_COUNT };

/* Legs of each kind in a bridge. */
static const int legs_of_kind[LEG_COUNT] = { 1, 2 };

/* One leg's two conducting chips. */
struct leg_state {
    double *loss[SM_CHIP_COUNT]; /* W  at the device's temperature knots */
    double lead;                 /* W  of the leg */
    double p[SM_CHIP_COUNT];     /* W */
    double t[SM_CHIP_COUNT];     /* K */
};

static bool leg_prepare(struct arena *arena, const struct stage *stage, double i,
                        double switching_hz, struct leg_state *leg)
{
    leg->lead = stage->lead_resistance * i * i;
    for (int c = 0; c < SM_CHIP_COUNT; c++) {
        const struct device *device = &stage->device[c];
        double *loss = leg->loss[c] = arena_doubles(arena, device->n_knots);
        double *one = arena_doubles(arena, device->n_knots);
        if (!loss || !one)
            return false;
        device_voltage_at_knots(device, &i, 1, one);
        for (size_t k = 0; k < device->n_knots; k++)
            loss[k] = HOLD_DUTY * i * one[k];
        for (int m = 0; m < ENERGY_COUNT; m++) {
            device_energy_at_knots(device, (enum energy_kind)m, &i, 1, one);
            for (size_t k = 0; k < device->n_knots; k++)
                loss[k] += switching_hz * one[k];
        }
        for (size_t k = 0; k < device->n_knots; k++)
            loss[k] *= stage->loss_factor;
    }
    return true;
}

static double loss_at(const struct device *device, const double *loss, double t)
{
    const size_t k = segment_of(device->t_knot, device->n_knots, t);
    return segment_value(device->t_knot, k, loss[k], loss[k + 1], t);
}

static double leg_heat(const struct leg_state *leg)
{
    return leg->p[SM_IGBT] + leg->p[SM_DIODE] + leg->lead;
}

static double bridge_heat(const struct leg_state leg[LEG_COUNT])
{
    double heat = 0.0;
    for (int g = 0; g < LEG_COUNT; g++)
        heat += legs_of_kind[g] * leg_heat(&leg[g]);
    return heat;
}

/* K over the sink, of one chip's case. */
static double case_rise(const struct heat_path *path, const struct leg_state *leg, int chip,
                        double bridge)
{
    if (path->form == SM_JOINT_PER_SWITCH)
        return path->rth_switch[chip] * leg->p[chip];
    double heat = leg_heat(leg); /* a half-bridge carries its own leg */
    if (path->switches == 6)
        heat = bridge; /* a six-pack carries all three */
    else if (path->switches == 1)
        heat = leg->p[chip] + 0.5 * leg->lead; /* the leg's two devices sit in two modules */
    return path->rth_module * (heat + path->same_case_heat);
}

/* What a turn asked for: the largest step and the sum of all, K. */
struct hold_step {
    double largest, sum;
};

/* One turn: losses from temperatures, temperatures from losses, of which a share of the way is
 * gone.  Returned: the whole way. */
static struct hold_step hold_turn(const struct stage *stage, int parallel, double share,
                                  struct leg_state leg[LEG_COUNT], double *t_sink)
{
    const struct heat_path *path = &stage->path;
    for (int g = 0; g < LEG_COUNT; g++)
        for (int c = 0; c < SM_CHIP_COUNT; c++)
            leg[g].p[c] = loss_at(&stage->device[c], leg[g].loss[c], leg[g].t[c]);
    const double bridge = bridge_heat(leg);
    *t_sink = path->t_base +
              path->rth_sa *
                  (parallel * bridge + path->modules * path->same_case_heat + path->other_heat);
    struct hold_step step = { 0.0, 0.0 };
    for (int g = 0; g < LEG_COUNT; g++)
        for (int c = 0; c < SM_CHIP_COUNT; c++) {
            const double t = *t_sink + case_rise(path, &leg[g], c, bridge) +
                             foster_sum(stage->foster_r[c]->v, stage->foster_r[c]->n) * leg[g].p[c];
            step.largest = fmax(step.largest, fabs(t - leg[g].t[c]));
            step.sum += t - leg[g].t[c];
            leg[g].t[c] += share * (t - leg[g].t[c]);
        }
    return step;
}

/* Losses that fall without end below the curves would cool a chip past absolute zero. */
static bool all_above_zero(const struct leg_state leg[LEG_COUNT])
{
    for (int g = 0; g < LEG_COUNT; g++)
        for (int c = 0; c < SM_CHIP_COUNT; c++)
            if (!(leg[g].t[c] > 0.0))
                return false;
    return true;
}

static enum sm_status hold_settle(const struct stage *stage, int parallel,
                                  struct leg_state leg[LEG_COUNT], struct sm_hold *out)
{
    struct hold_step last = { 0.0, 0.0 };
    double share = 1.0;
    for (int turn = 0; turn < HOLD_CAP; turn++) {
        const struct hold_step step = hold_turn(stage, parallel, share, leg, &out->t_sink);
        if (!all_above_zero(leg))
            return SM_ERR_CONVERGE;
        if (!(fmax(leg[HOT_LEG].t[SM_IGBT], leg[HOT_LEG].t[SM_DIODE]) < T_RUNAWAY)) {
            out->runaway = true;
            return SM_OK;
        }
        if (steps_left(step.largest, last.largest) < HOLD_TOLERANCE)
            return SM_OK;
        if (step.sum * last.sum < 0.0 && step.largest > SLOWEST_SWING * last.largest)
            share *= 0.5;
        last = step;
    }
    return SM_ERR_CONVERGE;
}

double hold_current(const struct sm_drive *drive)
{
    return drive->test.load * drive->rating.output_current;
}

enum sm_status hold_solve(struct arena *arena, const struct stage *stage,
                          const struct sm_drive *drive, double i_drive, struct sm_hold *out)
{
    const int parallel = drive->rating.parallel;
    const double i_peak = SQRT2 * i_drive / parallel;
    const double switching_hz = drive->rating.switching_frequency;
    struct leg_state leg[LEG_COUNT];
    *out = (struct sm_hold){ .current = i_peak };
    if (!leg_prepare(arena, stage, i_peak, switching_hz, &leg[HOT_LEG]) ||
        !leg_prepare(arena, stage, 0.5 * i_peak, switching_hz, &leg[OTHER_LEG]))
        return SM_ERR_MEMORY;
    for (int g = 0; g < LEG_COUNT; g++)
        for (int c = 0; c < SM_CHIP_COUNT; c++)
            leg[g].t[c] = stage->path.t_base;
    const enum sm_status status = hold_settle(stage, parallel, leg, out);
    if (status != SM_OK || out->runaway)
        return status;
    for (int c = 0; c < SM_CHIP_COUNT; c++) {
        out->power[c] = leg[HOT_LEG].p[c];
        out->tvj[c] = leg[HOT_LEG].t[c];
        out->other_power[c] = leg[OTHER_LEG].p[c];
        out->other_tvj[c] = leg[OTHER_LEG].t[c];
    }
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
    const double other_end = (margin < 0.0 ? HOLD_ALLOWED_LOW : ALLOWED_HIGH) * rated;
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

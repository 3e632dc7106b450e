/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "solve/network_cycle.h"

#include "base/maths.h"

#include <math.h>

/* Steps of a cycle: legs are a third of it apart, upper and lower switch a half. */
enum { STEPS = 720, HALF = STEPS / 2, THIRD = STEPS / 3, TOLD_EVERY = STEPS / SM_CYCLE_POINTS };

enum { TURN_CAP = 200 }; /* 10 are usual */

/* K: bound of the error that the turns leave. */
#define TURN_ACCURACY 1e-5

/* Places that are watched, of the first switch. */
enum { SEEN_IGBT, SEEN_DIODE, SEEN_CASE_IGBT, SEEN_CASE_DIODE, SEEN_SINK, SEEN_COUNT };

/* The cycle while it is worked out. */
struct turning {
    struct heat_network heat;
    struct network_step step;
    struct cycle cycle[SM_CHIP_COUNT];
    double factor;                /* 1  on the losses */
    double *t[SM_CHIP_COUNT];     /* K  [HALF] in the middle of the steps of conduction */
    double *p[SM_CHIP_COUNT];     /* W  [HALF] */
    double *dp;                   /* W/K  [HALF] not used here */
    double *constant;             /* W  [net.n] what does not come from chips */
    double *pulse[SM_CHIP_COUNT]; /* W  [STEPS] of the first switch, 0 while it does not conduct */
    double *driven;               /* [STEPS] of one mode */
    double *repeat;               /* 1  [net.n_modes] what a cycle takes from each */
    double *seen[SEEN_COUNT];     /* K over ambient  [STEPS + 1] at the steps' borders */
    size_t place[SEEN_COUNT];
};

/* Steps by which a switch comes later than the first one; they stand in the order of their modules:
 * upper and lower of a leg, leg after leg. */
static size_t later(size_t sw)
{
    return (sw / 2 * THIRD + sw % 2 * HALF) % STEPS;
}

static enum sm_status turning_open(struct arena *arena, const struct stage *stage,
                                   const struct operating_point *point,
                                   const struct heat_network_plan *plan, struct turning *out)
{
    *out = (struct turning){ .factor = stage->loss_factor };
    const enum sm_status status = heat_network_build(arena, plan, &out->heat);
    if (status != SM_OK)
        return status;
    const struct panels even = panels_even(arena, point, HALF);
    out->step = network_step_of(arena, &out->heat.net, 1.0 / point->output_hz / STEPS);
    out->dp = arena_doubles(arena, HALF);
    out->constant = arena_doubles(arena, out->heat.net.n);
    out->driven = arena_doubles(arena, STEPS);
    out->repeat = arena_doubles(arena, out->heat.net.n_modes);
    for (int k = 0; k < SM_CHIP_COUNT; k++) {
        out->t[k] = arena_doubles(arena, HALF);
        out->p[k] = arena_doubles(arena, HALF);
        out->pulse[k] = arena_doubles(arena, STEPS);
    }
    for (int s = 0; s < SEEN_COUNT; s++)
        out->seen[s] = arena_doubles(arena, STEPS + 1);
    for (int k = 0; !arena->failed && k < SM_CHIP_COUNT; k++) {
        out->cycle[k] = cycle_build(arena, &stage->device[k], &even);
        out->place[SEEN_IGBT + k] = out->heat.junction[0][k];
        out->place[SEEN_CASE_IGBT + k] = out->heat.case_under[0][k];
    }
    out->place[SEEN_SINK] = out->heat.sink;
    for (size_t mode = 0; !arena->failed && mode < out->heat.net.n_modes; mode++)
        out->repeat[mode] = -expm1(-out->heat.net.rate[mode] * (1.0 / point->output_hz));
    return arena->failed ? SM_ERR_MEMORY : SM_OK;
}

static void turning_begin(struct turning *turning, const struct stage *stage,
                          const struct sm_point *settled)
{
    for (int k = 0; k < SM_CHIP_COUNT; k++)
        for (size_t j = 0; j < HALF; j++)
            turning->t[k][j] = settled->chip[k].tvj_mean;
    const double lead = point_lead_heat(stage, cycle_rms_current(&turning->cycle[SM_IGBT]),
                                        cycle_rms_current(&turning->cycle[SM_DIODE]));
    heat_network_constant(&turning->heat, lead, turning->constant);
}

/* ------------------------------------------------------------- one turn */

/* The upper switch's chips: the IGBT conducts in the first half, the diode in the second. */
static void losses_update(struct turning *turning)
{
    for (int k = 0; k < SM_CHIP_COUNT; k++) {
        (void)cycle_losses(&turning->cycle[k], turning->factor, turning->t[k], turning->p[k],
                           turning->dp);
        for (size_t j = 0; j < HALF; j++)
            turning->pulse[k][k == SM_IGBT ? j : HALF + j] = turning->p[k][j];
    }
}

/* What all switches do to one mode in each step. */
static void mode_drive(struct turning *turning, const double *shape)
{
    const struct heat_network *heat = &turning->heat;
    double constant = 0.0;
    for (size_t place = 0; place < heat->net.n; place++)
        constant += shape[place] * turning->constant[place];
    for (size_t j = 0; j < STEPS; j++)
        turning->driven[j] = constant;
    for (size_t s = 0; s < heat->n_switches; s++)
        for (int k = 0; k < SM_CHIP_COUNT; k++) {
            const double share = heat->alike * shape[heat->junction[s][k]];
            const size_t shift = later(s);
            for (size_t j = 0; j < STEPS; j++)
                turning->driven[j] += share * turning->pulse[k][(j + STEPS - shift) % STEPS];
        }
}

/* The mode's course: from nothing through the cycle, then from the start that repeats. */
static void mode_add(struct turning *turning, size_t mode)
{
    const struct network *net = &turning->heat.net;
    const double *shape = &net->shape[mode * net->n];
    const double keep = turning->step.keep[mode], gain = turning->step.gain[mode];
    double state = 0.0;
    mode_drive(turning, shape);
    for (size_t j = 0; j < STEPS; j++)
        state = keep * state + gain * turning->driven[j];
    state /= turning->repeat[mode];
    for (size_t j = 0; j <= STEPS; j++) {
        for (int s = 0; s < SEEN_COUNT; s++)
            turning->seen[s][j] += shape[turning->place[s]] * state;
        if (j < STEPS)
            state = keep * state + gain * turning->driven[j];
    }
}

static void courses_update(struct turning *turning)
{
    const struct network *net = &turning->heat.net;
    for (int s = 0; s < SEEN_COUNT; s++)
        for (size_t j = 0; j <= STEPS; j++)
            turning->seen[s][j] =
                net->direct[turning->place[s]] * turning->constant[turning->place[s]];
    for (size_t mode = 0; mode < net->n_modes; mode++)
        mode_add(turning, mode);
}

/* Temperatures in the middle of the steps of conduction.  Returned: the longest way moved, K;
 * HUGE_VAL when that is runaway. */
static double temperatures_update(struct turning *turning)
{
    double moved = 0.0;
    for (int k = 0; k < SM_CHIP_COUNT; k++) {
        const double *rise = &turning->seen[SEEN_IGBT + k][k == SM_IGBT ? 0 : HALF];
        for (size_t j = 0; j < HALF; j++) {
            const double next = turning->heat.path->t_base + 0.5 * (rise[j] + rise[j + 1]);
            if (!(next < T_RUNAWAY))
                return HUGE_VAL;
            moved = larger(moved, fabs(next - turning->t[k][j]));
            turning->t[k][j] = next;
        }
    }
    return moved;
}

static enum sm_untold_id turn_until_settled(struct turning *turning)
{
    double last = 0.0;
    for (int turn = 0; turn < TURN_CAP; turn++) {
        losses_update(turning);
        courses_update(turning);
        const double moved = temperatures_update(turning);
        if (moved >= HUGE_VAL)
            return SM_UNTOLD_RUNAWAY;
        if (steps_left(moved, last) < TURN_ACCURACY)
            return SM_TOLD;
        last = moved;
    }
    return SM_UNTOLD_UNSETTLED;
}

/* ----------------------------------------------------------------- telling */

static double highest(const double *v)
{
    double found = v[0];
    for (size_t j = 1; j <= STEPS; j++)
        found = larger(found, v[j]);
    return found;
}

static double ripple_of_course(const double *v)
{
    double lowest = v[0];
    for (size_t j = 1; j <= STEPS; j++)
        lowest = smaller(lowest, v[j]);
    return highest(v) - lowest;
}

static void cycle_tell(const struct turning *turning, struct sm_network_cycle *out)
{
    const double base = turning->heat.path->t_base;
    for (size_t i = 0; i < SM_CYCLE_POINTS; i++) {
        const size_t j = i * TOLD_EVERY;
        out->time[i] = turning->step.width * (double)j;
        out->t_sink[i] = base + turning->seen[SEEN_SINK][j];
        for (int k = 0; k < SM_CHIP_COUNT; k++) {
            out->t_case[k][i] = base + turning->seen[SEEN_CASE_IGBT + k][j];
            out->tvj[k][i] = base + turning->seen[SEEN_IGBT + k][j];
        }
    }
    out->sink_ripple = ripple_of_course(turning->seen[SEEN_SINK]);
    for (int k = 0; k < SM_CHIP_COUNT; k++) {
        out->case_ripple[k] = ripple_of_course(turning->seen[SEEN_CASE_IGBT + k]);
        out->tvj_max[k] = base + highest(turning->seen[SEEN_IGBT + k]);
    }
}

enum sm_status network_cycle_solve(struct arena *scratch, const struct stage *stage,
                                   const struct operating_point *point,
                                   const struct heat_network_plan *plan,
                                   struct sm_network_cycle *out)
{
    struct sm_point settled;
    struct turning turning;
    *out = (struct sm_network_cycle){ .output_hz = point->output_hz };
    arena_clear(scratch);
    enum sm_status status = electrothermal_solve(scratch, stage, point, NULL, &settled, NULL);
    if (status == SM_OK && settled.runaway) {
        out->untold = SM_UNTOLD_RUNAWAY;
        return SM_OK;
    }
    if (status == SM_OK)
        status = turning_open(scratch, stage, point, plan, &turning);
    if (status == SM_ERR_CONVERGE || status == SM_ERR_DOMAIN) {
        out->untold = status == SM_ERR_DOMAIN ? SM_UNTOLD_RATES_APART : SM_UNTOLD_UNSETTLED;
        return SM_OK;
    }
    if (status != SM_OK)
        return status;
    for (int k = 0; k < SM_CHIP_COUNT; k++)
        out->rules_tvj_max[k] = settled.chip[k].tvj_max;
    turning_begin(&turning, stage, &settled);
    out->untold = turn_until_settled(&turning);
    if (out->untold == SM_TOLD)
        cycle_tell(&turning, out);
    return SM_OK;
}

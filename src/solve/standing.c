/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "solve/standing.h"

#include "base/maths.h"
#include "device/segment.h"

#include <gsl/gsl_linalg.h>
#include <math.h>

/* K: bound of the error left. */
#define TOLERANCE 1e-6

/* 1: losses that fall steeply with temperature make turns swing around the goal; a swing that
 * leaves no more than this of the one before will do.  After one that will not, half as much of the
 * way is gone, then so many times as much again. */
#define SLOWEST_SWING 0.5
#define LONGER 1.1

/* 1: up to this gain of the losses that rise, Newton's rule is taken as it is; above it there may
 * be no balance ahead, and its steps are held back. */
#define GAIN_MOST 0.9

/* 1: share of the period that each of the two devices of a leg conducts at zero voltage. */
#define HOLD_DUTY 0.5

enum { TURN_CAP = 100000 }; /* turns of some twenty multiplications */

/* Legs of each kind in a bridge. */
static const int legs_of_kind[LEG_COUNT] = { 1, 2 };

/* Between two turns. */
struct search {
    double way[STANDING_CHIPS]; /* K    that a chip is to go */
    double longest;             /* K    of them */
    double along;               /* K^2  all ways times those of the turn before: below 0, back */
    bool newton;                /* whether ways are foreseen by Newton's rule */
    double share;               /* 1    of them that is gone then */
    /* K/W: how each temperature follows each loss; found when first needed */
    double gain[STANDING_CHIPS][STANDING_CHIPS];
};

static size_t chip_of(int leg, int kind)
{
    return (size_t)leg * SM_CHIP_COUNT + (size_t)kind;
}

/* -------------------------------------------------------------- losses */

static bool loss_prepare(struct arena *arena, struct standing *s, size_t chip, double i,
                         double switching_hz)
{
    const struct device *device = &s->stage->device[chip % SM_CHIP_COUNT];
    double *loss = s->loss[chip] = arena_doubles(arena, device->n_knots);
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
        loss[k] *= s->stage->loss_factor;
    return true;
}

bool standing_open(struct arena *arena, const struct stage *stage, int parallel, double i_peak,
                   double switching_hz, struct standing *out)
{
    const double i[LEG_COUNT] = { i_peak, 0.5 * i_peak };
    *out = (struct standing){ .stage = stage, .parallel = parallel };
    for (size_t chip = 0; chip < STANDING_CHIPS; chip++) {
        if (!loss_prepare(arena, out, chip, i[chip / SM_CHIP_COUNT], switching_hz))
            return false;
        out->t[chip] = stage->path.t_base;
    }
    for (int g = 0; g < LEG_COUNT; g++)
        out->lead[g] = stage->lead_resistance * i[g] * i[g];
    return true;
}

static void losses_find(struct standing *s)
{
    for (size_t chip = 0; chip < STANDING_CHIPS; chip++) {
        const struct device *device = &s->stage->device[chip % SM_CHIP_COUNT];
        const double *loss = s->loss[chip], t = s->t[chip];
        const size_t k = segment_of(device->t_knot, device->n_knots, t);
        s->p[chip] = segment_value(device->t_knot, k, loss[k], loss[k + 1], t);
        s->slope[chip] = segment_slope(device->t_knot, k, loss[k], loss[k + 1]);
    }
}

/* -------------------------------------------------------- temperatures */

static double leg_heat(const struct standing *s, int leg)
{
    return s->p[chip_of(leg, SM_IGBT)] + s->p[chip_of(leg, SM_DIODE)] + s->lead[leg];
}

/* K over the sink, of one chip's case. */
static double case_rise(const struct standing *s, int leg, int kind, double bridge)
{
    const struct heat_path *path = &s->stage->path;
    const double own = s->p[chip_of(leg, kind)];
    if (path->form == SM_JOINT_PER_SWITCH)
        return path->rth_switch[kind] * own;
    double heat = leg_heat(s, leg); /* a half-bridge carries its own leg */
    if (path->switches == 6)
        heat = bridge; /* a six-pack carries all three */
    else if (path->switches == 1)
        heat = own + 0.5 * s->lead[leg]; /* the leg's two devices sit in two modules */
    return path->rth_module * (heat + path->same_case_heat);
}

/* K: where the losses would bring each chip.  Returned: and the sink. */
static double goals_find(const struct standing *s, double goal[STANDING_CHIPS])
{
    const struct heat_path *path = &s->stage->path;
    double bridge = 0.0;
    for (int g = 0; g < LEG_COUNT; g++)
        bridge += legs_of_kind[g] * leg_heat(s, g);
    const double t_sink =
        path->t_base + path->rth_sa * (s->parallel * bridge + path->modules * path->same_case_heat +
                                       path->other_heat);
    for (int g = 0; g < LEG_COUNT; g++)
        for (int k = 0; k < SM_CHIP_COUNT; k++) {
            const struct sm_list *r = s->stage->foster_r[k];
            goal[chip_of(g, k)] =
                t_sink + case_rise(s, g, k, bridge) + foster_sum(r->v, r->n) * s->p[chip_of(g, k)];
        }
    return t_sink;
}

static void gain_find(const struct standing *s, double gain[STANDING_CHIPS][STANDING_CHIPS])
{
    struct standing cold = *s;
    double without[STANDING_CHIPS], with[STANDING_CHIPS];
    for (size_t j = 0; j < STANDING_CHIPS; j++)
        cold.p[j] = 0.0;
    (void)goals_find(&cold, without);
    for (size_t j = 0; j < STANDING_CHIPS; j++) {
        cold.p[j] = 1.0;
        (void)goals_find(&cold, with);
        cold.p[j] = 0.0;
        for (size_t i = 0; i < STANDING_CHIPS; i++)
            gain[i][j] = with[i] - without[i];
    }
}

/* ----------------------------------------------------------- the search */

/* Solves m x = x; by QR, as that is what GSL does without memory of its own. */
static void system_solve(double m[STANDING_CHIPS][STANDING_CHIPS], double x[STANDING_CHIPS])
{
    double tau[STANDING_CHIPS];
    gsl_matrix_view matrix = gsl_matrix_view_array(&m[0][0], STANDING_CHIPS, STANDING_CHIPS);
    gsl_vector_view scales = gsl_vector_view_array(tau, STANDING_CHIPS);
    gsl_vector_view vector = gsl_vector_view_array(x, STANDING_CHIPS);
    (void)gsl_linalg_QR_decomp(&matrix.matrix, &scales.vector);
    (void)gsl_linalg_QR_svx(&matrix.matrix, &scales.vector, &vector.vector);
}

/* Newton's rule: (1 - gain slope) way = goal - t.  The eigenvalues of gain slope are real and none
 * of them is above what the rising slopes alone give, the largest sum of a row at most; where that
 * might be 1, as much is added as keeps the system's above 0 (eq. 10.7). */
static void newton_foresee(const struct standing *s, struct search *search)
{
    double m[STANDING_CHIPS][STANDING_CHIPS], rising = 0.0;
    for (size_t i = 0; i < STANDING_CHIPS; i++) {
        double row = 0.0;
        for (size_t j = 0; j < STANDING_CHIPS; j++) {
            m[i][j] = (i == j ? 1.0 : 0.0) - search->gain[i][j] * s->slope[j];
            row += search->gain[i][j] * larger(s->slope[j], 0.0);
        }
        rising = larger(rising, row);
    }
    for (size_t i = 0; i < STANDING_CHIPS; i++)
        m[i][i] += larger(rising - GAIN_MOST, 0.0);
    system_solve(m, search->way);
}

/* From the temperatures there are to those that their losses would cause. */
static void ways_find(struct standing *s, struct search *search)
{
    double goal[STANDING_CHIPS], before[STANDING_CHIPS];
    losses_find(s);
    s->t_sink = goals_find(s, goal);
    for (size_t i = 0; i < STANDING_CHIPS; i++) {
        before[i] = search->way[i];
        search->way[i] = goal[i] - s->t[i];
    }
    if (search->newton)
        newton_foresee(s, search);
    search->longest = search->along = 0.0;
    for (size_t i = 0; i < STANDING_CHIPS; i++) {
        search->longest = larger(search->longest, fabs(search->way[i]));
        search->along += search->way[i] * before[i];
    }
}

/* 1: how much of the way is gone; 0 when that is runaway. */
static double share_of(const struct standing *s, const struct search *search)
{
    double share = search->share;
    share = search->longest * share > LONGEST_STEP ? LONGEST_STEP / search->longest : share;
    for (int k = 0; k < SM_CHIP_COUNT; k++) {
        const size_t chip = chip_of(HOT_LEG, k);
        const double gap = T_RUNAWAY - s->t[chip], way = search->way[chip];
        if (way < gap)
            continue;
        if (gap < RUNAWAY_GAP)
            return 0.0;
        share = smaller(share, 0.5 * gap / way);
    }
    return share;
}

/* Returned: false where losses that fall without end below the curves would cool a chip past
 * absolute zero. */
static bool move(struct standing *s, const struct search *search, double share)
{
    bool above_zero = true;
    for (size_t i = 0; i < STANDING_CHIPS; i++) {
        s->t[i] += share * search->way[i];
        above_zero = above_zero && s->t[i] > 0.0;
    }
    return above_zero;
}

enum outcome standing_settle(struct standing *s)
{
    struct search search = { .share = 1.0 };
    double last = 0.0;
    for (int turn = 0; turn < TURN_CAP; turn++) {
        ways_find(s, &search);
        const double share = share_of(s, &search);
        if (!(share > 0.0))
            return RUNAWAY;
        const bool swings = search.along < 0.0 && search.longest > SLOWEST_SWING * last;
        if (swings && !search.newton) {
            search.newton = true;
            gain_find(s, search.gain);
            continue; /* the same turn again, with what it will come to */
        }
        if (!move(s, &search, share))
            return STUCK;
        if (steps_left(search.longest, last) < TOLERANCE)
            return SETTLED;
        if (search.newton)
            search.share = swings ? 0.5 * search.share : smaller(1.0, LONGER * search.share);
        last = search.longest;
    }
    return STUCK;
}

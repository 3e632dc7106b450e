/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "solve/equilibrium.h"

#include "base/maths.h"

#include <math.h>

/* K: bound of the error that the iteration leaves; a hundred times below the 1 mK promised. */
#define TOLERANCE 1e-5

/* K: steps this short may be the rounding of temperatures near 1000 K (1e-13) alone, whose ratio
 * says nothing: one that starts at the goal goes to and fro by the same last bit for ever. */
#define ROUNDING 1e-10

/* 1: a better ratio of two steps than this is not believed to go on: the first turn takes away what
 * Newton's rule can, later ones have only the shape of the losses left. */
#define BEST_RATIO 0.01

/* K: a step is cut to this, so that a bend of the losses over temperature is not jumped over; and
 * the step taken uphill where Newton's rule sees no equilibrium. */
#define LONGEST_STEP 100.0
#define UPHILL_STEP 25.0

/* K: a junction this near to T_RUNAWAY that still wants to pass it has run away. */
#define RUNAWAY_GAP 0.25

enum {
    TURN_CAP = 2000, /* 4 or 5 are usual; a contraction of 0.99 still fits */
    PATIENCE = 40    /* turns after which all steps are halved, again and again */
};

/* ------------------------------------------------------------ one turn */

static double largest_of(const double lane[PANEL_NODES])
{
    return larger(larger(lane[0], lane[1]), larger(lane[2], lane[3]));
}

/* Losses at the chip's temperatures, and the rise that they would cause. */
static struct turn chip_turn(struct chip_state *chip, double loss_factor)
{
    const struct mean_loss mean =
        cycle_losses(&chip->cycle, loss_factor, chip->t, chip->p, chip->dp);
    double misfit[PANEL_NODES] = { 0.0 }, own[PANEL_NODES] = { 0.0 }, top[PANEL_NODES] = { 0.0 };
    ripple_solve(&chip->ripple, chip->p, chip->rise);
    for (size_t j = 0; j < chip->cycle.n_nodes; j += PANEL_NODES)
        for (size_t k = 0; k < PANEL_NODES; k++) {
            const double slope = chip->cycle.weight[j + k] * chip->dp[j + k];
            const double rise = chip->rise[j + k];
            misfit[k] += slope * (rise - chip->t[j + k]);
            own[k] += slope * rise;
            top[k] = larger(rise, top[k]);
        }
    return (struct turn){ .loss = mean.loss,
                          .slope = mean.slope,
                          .misfit = lanes_sum(misfit),
                          .own = mean.loss > 0.0 ? lanes_sum(own) / mean.loss : 0.0,
                          .hottest = largest_of(top) };
}

void cases_from_losses(const struct heat_path *path, const double power[SM_CHIP_COUNT], double lead,
                       double t_case[SM_CHIP_COUNT])
{
    const double module_w = module_heat(path, power, lead);
    const double t_sink = path->t_base + path->rth_sa * sink_heat(path, module_w);
    for (int k = 0; k < SM_CHIP_COUNT; k++)
        t_case[k] = t_sink + (path->form == SM_JOINT_MODULE ? path->rth_module * module_w
                                                            : path->rth_switch[k] * power[k]);
}

/* K/W: how case `row` follows the mean loss of one switch's chip `column`. */
static double case_gain(const struct heat_path *path, int row, int column)
{
    const double through_sink = path->rth_sa * path->modules * path->switches;
    if (path->form == SM_JOINT_MODULE)
        return through_sink + path->rth_module * path->switches;
    return through_sink + (row == column ? path->rth_switch[row] : 0.0);
}

/* How much both mean losses grow until their temperatures fit them, each with the shape over the
 * cycle that it has now: Newton's rule.  False where the loop's gain leaves no equilibrium ahead.
 */
static bool newton_growth(const struct heat_path *path, const struct turn turn[SM_CHIP_COUNT],
                          const double t_case[SM_CHIP_COUNT], double growth[SM_CHIP_COUNT])
{
    double m[SM_CHIP_COUNT][SM_CHIP_COUNT], rest[SM_CHIP_COUNT];
    for (int r = 0; r < SM_CHIP_COUNT; r++) {
        for (int c = 0; c < SM_CHIP_COUNT; c++)
            m[r][c] = (r == c ? 1.0 - turn[r].own : 0.0) - turn[r].slope * case_gain(path, r, c);
        rest[r] = turn[r].misfit + turn[r].slope * t_case[r];
    }
    const double det = m[0][0] * m[1][1] - m[0][1] * m[1][0];
    if (!(det > 0.0) || !(m[0][0] > 0.0) || !(m[1][1] > 0.0))
        return false;
    growth[0] = (rest[0] * m[1][1] - rest[1] * m[0][1]) / det;
    growth[1] = (rest[1] * m[0][0] - rest[0] * m[1][0]) / det;
    return true;
}

/* ----------------------------------------------------------- the search */

double steps_left(double step, double last_step)
{
    if (step < ROUNDING)
        return step;
    const double q = larger(last_step > 0.0 ? step / last_step : 1.0, BEST_RATIO);
    return q < 1.0 ? step * q / (1.0 - q) : HUGE_VAL;
}

/* Mean over a chip's own half of the cycle. */
static double conduction_mean(const struct chip_state *chip, const double *values)
{
    return 2.0 * cycle_mean(&chip->cycle, values);
}

/* Where Newton's rule sees no equilibrium: uphill, or as far down as the losses lead. */
static void next_without_newton(struct equilibrium *e, const struct chip_state *chip)
{
    for (int k = 0; k < SM_CHIP_COUNT; k++) {
        const double now = conduction_mean(&chip[k], chip[k].t);
        const double rise = conduction_mean(&chip[k], chip[k].rise);
        e->next.times[k] = 1.0;
        if (e->next.t_case[k] + rise > now)
            e->next.t_case[k] = now - rise + UPHILL_STEP;
    }
}

/* One turn: losses at the temperatures, then the temperatures that those losses would cause,
 * foreseen to where the losses will have grown with them. */
static void turn_once(struct equilibrium *e, struct chip_state *chip)
{
    struct next *next = &e->next;
    double growth[SM_CHIP_COUNT];
    for (int k = 0; k < SM_CHIP_COUNT; k++) {
        e->turn[k] = chip_turn(&chip[k], e->loss_factor);
        next->loss[k] = e->turn[k].loss;
    }
    cases_from_losses(e->path, next->loss, e->lead, next->t_case);
    if (!newton_growth(e->path, e->turn, next->t_case, growth)) {
        next_without_newton(e, chip);
        return;
    }
    for (int k = 0; k < SM_CHIP_COUNT; k++) {
        const double loss = next->loss[k];
        next->times[k] = loss > 0.0 ? 1.0 + growth[k] / loss : 1.0;
        next->loss[k] = loss + growth[k];
    }
    cases_from_losses(e->path, next->loss, e->lead, next->t_case);
}

/* K: hottest node, next. */
static double hottest_next(const struct equilibrium *e)
{
    double hottest = 0.0;
    for (int k = 0; k < SM_CHIP_COUNT; k++)
        hottest = larger(hottest, e->next.t_case[k] + e->next.times[k] * e->turn[k].hottest);
    return hottest;
}

/* Moves one chip a share of the way to its next temperatures.  Returned: the longest step, K. */
static double move(struct equilibrium *e, int kind, struct chip_state *chip, double share)
{
    const double t_case = e->next.t_case[kind], times = e->next.times[kind];
    const double *restrict rise = chip->rise;
    double *restrict t = chip->t;
    double longest[PANEL_NODES] = { 0.0 }, top[PANEL_NODES] = { 0.0 };
    for (size_t j = 0; j < chip->cycle.n_nodes; j += PANEL_NODES)
        for (size_t k = 0; k < PANEL_NODES; k++) {
            const double step = share * (t_case + times * rise[j + k] - t[j + k]);
            const double moved = t[j + k] + step;
            longest[k] = larger(fabs(step), longest[k]);
            top[k] = larger(moved, top[k]);
            t[j + k] = moved;
        }
    e->hottest = larger(e->hottest, largest_of(top));
    return largest_of(longest);
}

static double move_both(struct equilibrium *e, struct chip_state *chip, double share)
{
    e->hottest = 0.0;
    const double igbt = move(e, SM_IGBT, &chip[SM_IGBT], share);
    return larger(igbt, move(e, SM_DIODE, &chip[SM_DIODE], share));
}

/* 1: how much of the way to the next temperatures is gone; 0 when that is runaway. */
static double share_of(const struct equilibrium *e)
{
    const double now = e->hottest, next = hottest_next(e), way = fabs(next - now);
    if (next < T_RUNAWAY)
        return way > LONGEST_STEP ? LONGEST_STEP / way : 1.0;
    return T_RUNAWAY - now > RUNAWAY_GAP ? 0.5 * (T_RUNAWAY - now) / way : 0.0;
}

/* At the edge of equilibrium the slopes behind Newton's rule are too rough, and full steps go round
 * the goal: they are halved until they do not.  Whether it has settled is told from the full step.
 */
enum outcome equilibrium_find(struct equilibrium *e, struct chip_state chip[SM_CHIP_COUNT])
{
    double last_step = 0.0, damping = 1.0;
    for (int k = 0; k < SM_CHIP_COUNT; k++)
        for (size_t j = 0; j < chip[k].cycle.n_nodes; j++)
            e->hottest = larger(e->hottest, chip[k].t[j]);
    while (e->turns < TURN_CAP) {
        turn_once(e, chip);
        e->turns++;
        const double free = share_of(e), share = damping * free;
        if (!(share > 0.0))
            return RUNAWAY;
        const double step = move_both(e, chip, share) / share;
        e->residual = steps_left(step, last_step);
        if (free >= 1.0 && e->residual < TOLERANCE)
            return SETTLED;
        last_step = step;
        if (e->turns % PATIENCE == 0)
            damping *= 0.5;
    }
    return STUCK;
}

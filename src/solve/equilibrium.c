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

/* K: the step taken uphill where Newton's rule sees no equilibrium. */
#define UPHILL_STEP 25.0

/* 1: by which nodes are held back less after a turn that got shorter, and how much at most. */
#define LETTING_GO 1.1
#define HELD_MOST 10000.0

enum {
    TURN_CAP = 2000, /* 4 or 5 are usual; a contraction of 0.99 still fits */
    PATIENCE = 40    /* turns after which nodes are held back where steps get no shorter */
};

/* ------------------------------------------------------------ one turn */

static double largest_of(const double lane[PANEL_NODES])
{
    return larger(larger(lane[0], lane[1]), larger(lane[2], lane[3]));
}

static double smallest_of(const double lane[PANEL_NODES])
{
    return smaller(smaller(lane[0], lane[1]), smaller(lane[2], lane[3]));
}

/* Losses at the chip's temperatures, and the rise that they would cause. */
static struct turn chip_turn(struct chip_state *chip, double loss_factor)
{
    const struct mean_loss mean =
        cycle_losses(&chip->cycle, loss_factor, chip->t, chip->p, chip->dp);
    double misfit[PANEL_NODES] = { 0.0 }, own[PANEL_NODES] = { 0.0 };
    double top[PANEL_NODES] = { -HUGE_VAL, -HUGE_VAL, -HUGE_VAL, -HUGE_VAL };
    double bottom[PANEL_NODES] = { HUGE_VAL, HUGE_VAL, HUGE_VAL, HUGE_VAL };
    ripple_solve(&chip->ripple, chip->p, chip->rise);
    for (size_t j = 0; j < chip->cycle.n_nodes; j += PANEL_NODES)
        for (size_t k = 0; k < PANEL_NODES; k++) {
            const double slope = chip->cycle.weight[j + k] * chip->dp[j + k];
            const double rise = chip->rise[j + k];
            misfit[k] += slope * (rise - chip->t[j + k]);
            own[k] += slope * rise;
            top[k] = larger(rise, top[k]);
            bottom[k] = smaller(rise, bottom[k]);
        }
    return (struct turn){ .loss = mean.loss,
                          .slope = mean.slope,
                          .misfit = lanes_sum(misfit),
                          .own = mean.loss > 0.0 ? lanes_sum(own) / mean.loss : 0.0,
                          .hottest = largest_of(top),
                          .coldest = smallest_of(bottom) };
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
    if (!(det > 0.0) || !(m[0][0] + m[1][1] > 0.0))
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

/* The next mean loss, and the rise that it causes in the shape over the cycle that there is. */
static void next_loss(struct next *next, int kind, double growth)
{
    const double loss = next->loss[kind];
    next->times[kind] = loss > 0.0 ? 1.0 + growth / loss : 1.0;
    next->loss[kind] = loss + growth;
}

/* W: how much one chip's mean loss grows by Newton's rule while the other's stands; false, and
 * *growth as it was, where its losses rise with temperature. */
static bool falling_growth(const struct equilibrium *e, int kind, double *growth)
{
    const struct turn *turn = &e->turn[kind];
    const double m = 1.0 - turn->own - turn->slope * case_gain(e->path, kind, kind);
    if (!(turn->slope < 0.0) || !(m > 0.0))
        return false;
    *growth = (turn->misfit + turn->slope * e->next.t_case[kind]) / m;
    return true;
}

/* A chip's mean to `goal`, in the shape over the cycle that there is; less of it where the coldest
 * node would go down for it. */
static void uphill(struct equilibrium *e, int kind, double goal, double rise)
{
    const double below = rise - e->turn[kind].coldest, room = goal - e->coldest;
    const double times = below > room ? room / below : 1.0;
    e->next.times[kind] = times;
    e->next.t_case[kind] = goal - times * rise;
}

/* Where Newton's rule sees no equilibrium of both: a chip whose losses fall with temperature goes
 * to where they balance, the other uphill, or as far down as its losses lead. */
static void next_without_newton(struct equilibrium *e, const struct chip_state *chip)
{
    struct next *next = &e->next;
    bool falls[SM_CHIP_COUNT];
    double growth[SM_CHIP_COUNT] = { 0.0 };
    for (int k = 0; k < SM_CHIP_COUNT; k++)
        falls[k] = falling_growth(e, k, &growth[k]);
    for (int k = 0; k < SM_CHIP_COUNT; k++)
        next_loss(next, k, growth[k]);
    cases_from_losses(e->path, next->loss, e->lead, next->t_case);
    for (int k = 0; k < SM_CHIP_COUNT; k++) {
        const double now = conduction_mean(&chip[k], chip[k].t);
        const double rise = conduction_mean(&chip[k], chip[k].rise);
        if (!falls[k] && next->t_case[k] + rise > now)
            uphill(e, k, now + UPHILL_STEP, rise);
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
    for (int k = 0; k < SM_CHIP_COUNT; k++)
        next_loss(next, k, growth[k]);
    cases_from_losses(e->path, next->loss, e->lead, next->t_case);
}

/* K: a bound of the hottest node next, and of the coldest. */
static double hottest_next(const struct equilibrium *e)
{
    double hottest = 0.0;
    for (int k = 0; k < SM_CHIP_COUNT; k++) {
        const double times = e->next.times[k];
        const double rise = times > 0.0 ? e->turn[k].hottest : e->turn[k].coldest;
        hottest = larger(hottest, e->next.t_case[k] + times * rise);
    }
    return hottest;
}

static double coldest_next(const struct equilibrium *e)
{
    double coldest = HUGE_VAL;
    for (int k = 0; k < SM_CHIP_COUNT; k++) {
        const double times = e->next.times[k];
        const double rise = times > 0.0 ? e->turn[k].coldest : e->turn[k].hottest;
        coldest = smaller(coldest, e->next.t_case[k] + times * rise);
    }
    return coldest;
}

/* Moves one chip a share of the way to its next temperatures.  Returned: the longest way, K. */
static double move(struct equilibrium *e, int kind, struct chip_state *chip, double share)
{
    const double t_case = e->next.t_case[kind], times = e->next.times[kind];
    const double *restrict rise = chip->rise;
    double *restrict t = chip->t;
    double longest[PANEL_NODES] = { 0.0 }, top[PANEL_NODES] = { 0.0 };
    double bottom[PANEL_NODES] = { HUGE_VAL, HUGE_VAL, HUGE_VAL, HUGE_VAL };
    for (size_t j = 0; j < chip->cycle.n_nodes; j += PANEL_NODES)
        for (size_t k = 0; k < PANEL_NODES; k++) {
            const double way = t_case + times * rise[j + k] - t[j + k];
            const double moved = t[j + k] + share * way;
            longest[k] = larger(fabs(way), longest[k]);
            top[k] = larger(moved, top[k]);
            bottom[k] = smaller(moved, bottom[k]);
            t[j + k] = moved;
        }
    e->hottest = larger(e->hottest, largest_of(top));
    e->coldest = smaller(e->coldest, smallest_of(bottom));
    return largest_of(longest);
}

/* The same, with nodes held back as much as their losses are steep: by `held` where steepest. */
static double move_held(struct equilibrium *e, int kind, struct chip_state *chip, double share,
                        double held)
{
    double steepest = 0.0, longest = 0.0;
    for (size_t j = 0; j < chip->cycle.n_nodes; j++)
        steepest = larger(steepest, fabs(chip->dp[j]));
    const double more = steepest > 0.0 ? (held - 1.0) / steepest : 0.0;
    for (size_t j = 0; j < chip->cycle.n_nodes; j++) {
        const double way = e->next.t_case[kind] + e->next.times[kind] * chip->rise[j] - chip->t[j];
        longest = larger(longest, fabs(way));
        chip->t[j] += share * way / (1.0 + more * fabs(chip->dp[j]));
        e->hottest = larger(e->hottest, chip->t[j]);
        e->coldest = smaller(e->coldest, chip->t[j]);
    }
    return longest;
}

static double move_both(struct equilibrium *e, struct chip_state *chip, double share, double held)
{
    double longest = 0.0;
    e->hottest = 0.0;
    e->coldest = HUGE_VAL;
    for (int k = 0; k < SM_CHIP_COUNT; k++)
        longest = larger(longest, held > 1.0 ? move_held(e, k, &chip[k], share, held)
                                             : move(e, k, &chip[k], share));
    return longest;
}

/* 1: how much of the way to the next temperatures is gone; 0 when that is runaway.  On the way down
 * the coldest node counts: losses that fall below zero do not cool it past absolute zero. */
static double share_of(const struct equilibrium *e)
{
    const double next = hottest_next(e), up = next - e->hottest;
    const double down = up < 0.0 ? e->coldest - coldest_next(e) : 0.0;
    const double way = larger(fabs(up), down);
    double share = way > LONGEST_STEP ? LONGEST_STEP / way : 1.0;
    if (down >= e->coldest)
        share = smaller(share, 0.5 * e->coldest / down);
    if (next < T_RUNAWAY)
        return share;
    const double gap = T_RUNAWAY - e->hottest;
    return gap > RUNAWAY_GAP ? 0.5 * gap / up : 0.0;
}

/* Losses that leap can throw the foreseen ones out of all bounds; then the temperatures would be
 * no numbers, which no comparison sees. */
static bool all_finite(const struct next *next)
{
    bool finite = true;
    for (int k = 0; k < SM_CHIP_COUNT; k++)
        finite = finite && isfinite(next->loss[k]) && isfinite(next->times[k]);
    return finite;
}

/* 1: twice as much after a turn that got no shorter, a little less after one that did; where that
 * led nowhere, from the start again. */
static double held_next(double held, bool shorter)
{
    if (shorter)
        return larger(1.0, held / LETTING_GO);
    return held < HELD_MOST ? 2.0 * held : 1.0;
}

/* At the edge of equilibrium the slopes behind Newton's rule are too rough, and where losses fall
 * steeply each node answers to its own heat: full steps then go round the goal, and the nodes are
 * held back until they do not.  Whether it has settled is told from the full step. */
enum outcome equilibrium_find(struct equilibrium *e, struct chip_state chip[SM_CHIP_COUNT])
{
    double last_step = 0.0, held = 1.0;
    e->coldest = HUGE_VAL;
    for (int k = 0; k < SM_CHIP_COUNT; k++)
        for (size_t j = 0; j < chip[k].cycle.n_nodes; j++) {
            e->hottest = larger(e->hottest, chip[k].t[j]);
            e->coldest = smaller(e->coldest, chip[k].t[j]);
        }
    while (e->turns < TURN_CAP) {
        turn_once(e, chip);
        e->turns++;
        if (!all_finite(&e->next))
            return STUCK;
        const double share = share_of(e);
        if (!(share > 0.0))
            return RUNAWAY;
        const double step = move_both(e, chip, share, held);
        e->residual = steps_left(step, last_step);
        if (share >= 1.0 && e->residual < TOLERANCE)
            return SETTLED;
        if (e->turns > PATIENCE)
            held = held_next(held, step < last_step);
        last_step = step;
    }
    return STUCK;
}

/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "solve/electrothermal.h"

#include "base/maths.h"

#include <math.h>

/* K: bound of the error that the iteration leaves; a hundred times below the 1 mK promised. */
#define TOLERANCE 1e-5

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

/* -------------------------------------------------------------- chips */

static void chip_cool(struct chip_state *chip, double t)
{
    for (size_t j = 0; j < chip->cycle.n_nodes; j++)
        chip->t[j] = t;
}

static void chip_prepare(struct arena *arena, const struct stage *stage,
                         const struct panels *panels, double output_hz, enum sm_chip_kind kind,
                         struct chip_state *chip)
{
    chip->cycle = cycle_build(arena, &stage->device[kind], panels);
    chip->ripple = ripple_build(arena, stage->foster_r[kind], stage->foster_tau[kind],
                                panels->width, panels->n_panels, output_hz);
    chip->t = arena_doubles(arena, panels->n_nodes);
    chip->p = arena_doubles(arena, panels->n_nodes);
    chip->dp = arena_doubles(arena, panels->n_nodes);
    chip->rise = arena_doubles(arena, panels->n_nodes);
    if (!arena->failed)
        chip_cool(chip, stage->path.t_base);
}

/* What one turn finds of a chip, at the temperatures it has. */
struct turn {
    double loss;    /* W    mean */
    double slope;   /* W/K  mean */
    double misfit;  /* W    by which the mean would grow if each node's temperature were its rise */
    double own;     /* W/W  by which it grows with itself, through the rise */
    double hottest; /* K    highest rise of a node */
};

static struct turn chip_turn(struct chip_state *chip, double loss_factor)
{
    const struct cycle *cycle = &chip->cycle;
    const struct mean_loss mean = cycle_losses(cycle, loss_factor, chip->t, chip->p, chip->dp);
    struct turn turn = { .loss = mean.loss, .slope = mean.slope };
    double through_rise = 0.0;
    ripple_solve(&chip->ripple, chip->p, chip->rise);
    for (size_t j = 0; j < cycle->n_nodes; j++) {
        const double slope = cycle->weight[j] * chip->dp[j];
        turn.misfit += slope * (chip->rise[j] - chip->t[j]);
        through_rise += slope * chip->rise[j];
        turn.hottest = larger(turn.hottest, chip->rise[j]);
    }
    turn.own = mean.loss > 0.0 ? through_rise / mean.loss : 0.0;
    return turn;
}

/* ------------------------------------------------- cases and the sink */

/* K: case temperatures that these mean losses would settle at. */
static void cases_from_losses(const struct heat_path *path, const double power[SM_CHIP_COUNT],
                              double lead, double t_case[SM_CHIP_COUNT])
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

/* ---------------------------------------------------------- iteration */

enum outcome { SETTLED, RUNAWAY, STUCK };

/* A node's next temperature is the case's plus so many times its rise. */
struct next {
    double t_case[SM_CHIP_COUNT]; /* K */
    double times[SM_CHIP_COUNT];  /* 1 */
};

struct search {
    const struct heat_path *path;
    double lead;        /* W  per switch */
    double loss_factor; /* 1 */
    struct turn turn[SM_CHIP_COUNT];
    struct next next;
    double hottest; /* K  node now */
    int turns;
    double residual; /* K  bound of the error left */
};

double steps_left(double step, double last_step)
{
    if (step <= 0.0)
        return 0.0;
    const double q = larger(last_step > 0.0 ? step / last_step : 1.0, BEST_RATIO);
    return q < 1.0 ? step * q / (1.0 - q) : HUGE_VAL;
}

/* Mean over a chip's own half of the cycle. */
static double conduction_mean(const struct chip_state *chip, const double *values)
{
    return 2.0 * cycle_mean(&chip->cycle, values);
}

/* Where Newton's rule sees no equilibrium: uphill, or as far down as the losses lead. */
static void next_without_newton(struct search *search, const struct chip_state *chip)
{
    for (int k = 0; k < SM_CHIP_COUNT; k++) {
        const double now = conduction_mean(&chip[k], chip[k].t);
        const double rise = conduction_mean(&chip[k], chip[k].rise);
        search->next.times[k] = 1.0;
        if (search->next.t_case[k] + rise > now)
            search->next.t_case[k] = now - rise + UPHILL_STEP;
    }
}

/* One turn: losses at the temperatures, then the temperatures that those losses would cause,
 * foreseen to where the losses will have grown with them. */
static void turn_once(struct search *search, struct chip_state *chip)
{
    struct next *next = &search->next;
    double power[SM_CHIP_COUNT], growth[SM_CHIP_COUNT];
    for (int k = 0; k < SM_CHIP_COUNT; k++) {
        search->turn[k] = chip_turn(&chip[k], search->loss_factor);
        power[k] = search->turn[k].loss;
    }
    cases_from_losses(search->path, power, search->lead, next->t_case);
    if (!newton_growth(search->path, search->turn, next->t_case, growth)) {
        next_without_newton(search, chip);
        return;
    }
    for (int k = 0; k < SM_CHIP_COUNT; k++) {
        next->times[k] = power[k] > 0.0 ? 1.0 + growth[k] / power[k] : 1.0;
        power[k] += growth[k];
    }
    cases_from_losses(search->path, power, search->lead, next->t_case);
}

/* K: hottest node, next. */
static double hottest_next(const struct search *search)
{
    double hottest = 0.0;
    for (int k = 0; k < SM_CHIP_COUNT; k++)
        hottest = larger(hottest,
                         search->next.t_case[k] + search->next.times[k] * search->turn[k].hottest);
    return hottest;
}

/* Moves a share of the way to the next temperatures.  Returned: the longest step, K. */
static double move(struct search *search, struct chip_state *chip, double share)
{
    double longest = 0.0;
    search->hottest = 0.0;
    for (int k = 0; k < SM_CHIP_COUNT; k++) {
        const double t_case = search->next.t_case[k], times = search->next.times[k];
        double *t = chip[k].t;
        for (size_t j = 0; j < chip[k].cycle.n_nodes; j++) {
            const double step = share * (t_case + times * chip[k].rise[j] - t[j]);
            t[j] += step;
            longest = larger(longest, fabs(step));
            search->hottest = larger(search->hottest, t[j]);
        }
    }
    return longest;
}

/* 1: how much of the way to the next temperatures is gone; 0 when that is runaway. */
static double share_of(const struct search *search)
{
    const double now = search->hottest, next = hottest_next(search), way = fabs(next - now);
    if (next < T_RUNAWAY)
        return way > LONGEST_STEP ? LONGEST_STEP / way : 1.0;
    return T_RUNAWAY - now > RUNAWAY_GAP ? 0.5 * (T_RUNAWAY - now) / way : 0.0;
}

/* At the edge of equilibrium the slopes behind Newton's rule are too rough, and full steps go round
 * the goal: they are halved until they do not.  Whether it has settled is told from the full step.
 */
static enum outcome find_equilibrium(struct search *search, struct chip_state *chip)
{
    double last_step = 0.0, damping = 1.0;
    for (int k = 0; k < SM_CHIP_COUNT; k++)
        for (size_t j = 0; j < chip[k].cycle.n_nodes; j++)
            search->hottest = larger(search->hottest, chip[k].t[j]);
    while (search->turns < TURN_CAP) {
        turn_once(search, chip);
        search->turns++;
        const double free = share_of(search), share = damping * free;
        if (!(share > 0.0))
            return RUNAWAY;
        const double step = move(search, chip, share) / share;
        search->residual = steps_left(step, last_step);
        if (free >= 1.0 && search->residual < TOLERANCE)
            return SETTLED;
        last_step = step;
        if (search->turns % PATIENCE == 0)
            damping *= 0.5;
    }
    return STUCK;
}

/* -------------------------------------------------------------- result */

void point_margin(struct sm_point *point)
{
    const struct sm_chip_result *chip = point->chip;
    point->worst = chip[SM_DIODE].margin < chip[SM_IGBT].margin ? SM_DIODE : SM_IGBT;
    point->margin = chip[point->worst].margin;
}

static void chip_result(const struct search *search, const struct chip_state *chip, int kind,
                        struct sm_chip_result *out)
{
    const double t_case = search->next.t_case[kind], times = search->next.times[kind];
    const struct extremes rise = ripple_extremes(&chip->ripple, chip->p, chip->rise);
    double mean[LOSS_COUNT];
    cycle_mean_losses(&chip->cycle, chip->t, mean);
    for (int m = 0; m < LOSS_COUNT; m++)
        mean[m] *= search->loss_factor;
    out->conduction = mean[LOSS_CONDUCTION];
    if (kind == SM_IGBT) {
        out->turn_on = mean[LOSS_FIRST];
        out->turn_off = mean[LOSS_SECOND];
    } else {
        out->recovery = mean[LOSS_FIRST];
    }
    out->total = out->conduction + out->turn_on + out->turn_off + out->recovery;
    out->tvj_max = t_case + times * rise.highest;
    out->tvj_min = t_case + times * rise.lowest;
}

static void point_result(const struct stage *stage, const struct search *search,
                         const struct chip_state *chip, struct sm_point *out)
{
    const struct heat_path *path = search->path;
    double power[SM_CHIP_COUNT], t_case[SM_CHIP_COUNT];
    for (int k = 0; k < SM_CHIP_COUNT; k++) {
        chip_result(search, &chip[k], k, &out->chip[k]);
        power[k] = out->chip[k].total;
    }
    cases_from_losses(path, power, search->lead, t_case);
    for (int k = 0; k < SM_CHIP_COUNT; k++) {
        struct sm_chip_result *c = &out->chip[k];
        c->t_case = t_case[k];
        c->tvj_mean = t_case[k] + foster_sum(chip[k].ripple.r, chip[k].ripple.n_terms) * power[k];
        c->margin = stage->tvj_op_max - c->tvj_max;
    }
    out->lead = search->lead;
    out->module_heat = module_heat(path, power, search->lead);
    out->sink_heat = sink_heat(path, out->module_heat);
    out->t_sink = path->t_base + path->rth_sa * out->sink_heat;
    point_margin(out);
    out->iterations = search->turns;
    out->residual = search->residual;
}

static void point_head(const struct operating_point *point, struct sm_point *out)
{
    *out = (struct sm_point){ .output_hz = point->output_hz,
                              .i_module = point->i_module,
                              .i_drive = point->i_drive,
                              .v_dc = point->v_dc,
                              .v_out = point->v_out,
                              .modulation_requested = point->modulation_requested,
                              .modulation_index = point->m,
                              .power_factor = point->power_factor,
                              .phi = point->phi };
}

enum sm_status electrothermal_prepare(struct arena *arena, const struct stage *stage,
                                      const struct operating_point *point, struct chip_state *chips)
{
    const struct panels panels =
        panels_build(arena, stage->device, SM_CHIP_COUNT, point, stage->widest);
    for (int k = 0; !arena->failed && k < SM_CHIP_COUNT; k++)
        chip_prepare(arena, stage, &panels, point->output_hz, (enum sm_chip_kind)k, &chips[k]);
    return arena->failed ? SM_ERR_MEMORY : SM_OK;
}

enum sm_status electrothermal_settle(const struct stage *stage, const struct operating_point *point,
                                     const double *t_sink, struct chip_state *chips,
                                     struct sm_point *out)
{
    struct heat_path path = stage->path;
    if (t_sink) {
        path.t_base = *t_sink;
        path.rth_sa = 0.0;
    }
    point_head(point, out);
    double squares = 0.0;
    for (int k = 0; k < SM_CHIP_COUNT; k++) {
        out->chip[k].i_rms = cycle_rms_current(&chips[k].cycle);
        squares += out->chip[k].i_rms * out->chip[k].i_rms;
    }
    struct search search = { .path = &path,
                             .lead = stage->lead_resistance * squares,
                             .loss_factor = stage->loss_factor };
    switch (find_equilibrium(&search, chips)) {
    case RUNAWAY:
        out->runaway = true;
        for (int k = 0; k < SM_CHIP_COUNT; k++)
            chip_cool(&chips[k], path.t_base);
        return SM_OK;
    case STUCK:
        return SM_ERR_CONVERGE;
    case SETTLED:
        break;
    }
    point_result(stage, &search, chips, out);
    return SM_OK;
}

bool electrothermal_try(const struct stage *stage, const struct operating_point *point,
                        const double *t_sink, struct chip_state *chips, struct sm_point *out)
{
    if (electrothermal_settle(stage, point, t_sink, chips, out) == SM_OK)
        return out->runaway;
    for (int k = 0; k < SM_CHIP_COUNT; k++)
        chip_cool(&chips[k], stage->path.t_base);
    out->runaway = true;
    return true;
}

enum sm_status electrothermal_solve(struct arena *arena, const struct stage *stage,
                                    const struct operating_point *point, const double *t_sink,
                                    struct sm_point *out, struct chip_state *chips)
{
    struct chip_state own[SM_CHIP_COUNT];
    struct chip_state *chip = chips ? chips : own;
    const enum sm_status status = electrothermal_prepare(arena, stage, point, chip);
    return status == SM_OK ? electrothermal_settle(stage, point, t_sink, chip, out) : status;
}

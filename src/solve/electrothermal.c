/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "solve/electrothermal.h"

#include <math.h>

/* K: bound of the error that the iteration leaves; a hundred times below the 1 mK promised. */
#define TOLERANCE 1e-5

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
    chip->rise = arena_doubles(arena, panels->n_nodes);
    if (!arena->failed)
        chip_cool(chip, stage->path.t_base);
}

/* Losses at the chip's temperatures, and the rise that they would cause. */
static void chip_turn(struct chip_state *chip, double loss_factor)
{
    const struct mean_loss mean = cycle_losses(&chip->cycle, loss_factor, chip->t, chip->p);
    chip->mean = mean.loss;
    chip->slope = mean.slope;
    ripple_solve(&chip->ripple, chip->p, chip->rise);
}

/* Mean over the chip's own half of the cycle. */
static double conduction_mean(const struct chip_state *chip, const double *values)
{
    return 2.0 * cycle_mean(&chip->cycle, values);
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

/* Newton's step of both chips' mean temperatures; false where the loop's gain leaves no equilibrium
 * ahead. */
static bool newton_step(const struct heat_path *path, const struct chip_state *chip,
                        const double residual[SM_CHIP_COUNT], double step[SM_CHIP_COUNT])
{
    double m[SM_CHIP_COUNT][SM_CHIP_COUNT];
    for (int r = 0; r < SM_CHIP_COUNT; r++)
        for (int c = 0; c < SM_CHIP_COUNT; c++) {
            const double own = r == c ? foster_sum(chip[r].ripple.r, chip[r].ripple.n_terms) : 0.0;
            m[r][c] = (r == c ? 1.0 : 0.0) - (case_gain(path, r, c) + own) * chip[c].slope;
        }
    const double det = m[0][0] * m[1][1] - m[0][1] * m[1][0];
    if (!(det > 0.0) || !(m[0][0] > 0.0) || !(m[1][1] > 0.0))
        return false;
    step[0] = (residual[0] * m[1][1] - residual[1] * m[0][1]) / det;
    step[1] = (residual[1] * m[0][0] - residual[0] * m[1][0]) / det;
    return true;
}

static double larger_of(const double v[SM_CHIP_COUNT])
{
    return fmax(fabs(v[0]), fabs(v[1]));
}

static void choose_step(const struct heat_path *path, const struct chip_state *chip,
                        const double residual[SM_CHIP_COUNT], double step[SM_CHIP_COUNT])
{
    if (!newton_step(path, chip, residual, step)) {
        for (int k = 0; k < SM_CHIP_COUNT; k++)
            step[k] = residual[k] > 0.0 ? UPHILL_STEP : residual[k];
        return;
    }
    const double longest = larger_of(step);
    if (longest > LONGEST_STEP)
        for (int k = 0; k < SM_CHIP_COUNT; k++)
            step[k] *= LONGEST_STEP / longest;
}

/* ---------------------------------------------------------- iteration */

enum outcome { SETTLED, RUNAWAY, STUCK };

struct search {
    const struct heat_path *path;
    double lead;                  /* W  per switch */
    double loss_factor;           /* 1 */
    double offset[SM_CHIP_COUNT]; /* K  a node's temperature is this plus its rise */
    int turns;
    double residual; /* K  bound of the error left */
};

bool steps_settled(double step, double last_step, double tolerance)
{
    const double q = last_step > 0.0 ? step / last_step : 1.0;
    return step <= 0.0 || (q < 1.0 && step * q / (1.0 - q) < tolerance);
}

/* One turn: losses at the temperatures, the temperatures that those losses would cause, and
 * Newton's correction of their mean.  What it leaves is the next temperatures less their rise. */
static void turn(struct search *search, struct chip_state *chip)
{
    double power[SM_CHIP_COUNT], residual[SM_CHIP_COUNT], step[SM_CHIP_COUNT];
    for (int k = 0; k < SM_CHIP_COUNT; k++) {
        chip_turn(&chip[k], search->loss_factor);
        power[k] = chip[k].mean;
    }
    cases_from_losses(search->path, power, search->lead, search->offset);
    for (int k = 0; k < SM_CHIP_COUNT; k++)
        residual[k] = search->offset[k] + conduction_mean(&chip[k], chip[k].rise) -
                      conduction_mean(&chip[k], chip[k].t);
    choose_step(search->path, chip, residual, step);
    for (int k = 0; k < SM_CHIP_COUNT; k++)
        search->offset[k] += step[k] - residual[k];
}

/* Moves a share of the way to the next temperatures.  Returned: the longest step, K. */
static double move(const struct search *search, struct chip_state *chip, double share)
{
    double longest = 0.0;
    for (int k = 0; k < SM_CHIP_COUNT; k++)
        for (size_t j = 0; j < chip[k].cycle.n_nodes; j++) {
            const double step = share * (search->offset[k] + chip[k].rise[j] - chip[k].t[j]);
            chip[k].t[j] += step;
            longest = fmax(longest, fabs(step));
        }
    return longest;
}

/* K: of both chips' nodes, now and next. */
static void hottest_nodes(const struct search *search, const struct chip_state *chip, double *now,
                          double *next)
{
    *now = *next = 0.0;
    for (int k = 0; k < SM_CHIP_COUNT; k++)
        for (size_t j = 0; j < chip[k].cycle.n_nodes; j++) {
            *now = fmax(*now, chip[k].t[j]);
            *next = fmax(*next, search->offset[k] + chip[k].rise[j]);
        }
}

/* At the edge of equilibrium the slopes behind Newton's rule are too rough, and full steps go round
 * the goal: they are halved until they do not.  Whether it has settled is told from the full step.
 */
static enum outcome find_equilibrium(struct search *search, struct chip_state *chip)
{
    double last_step = 0.0, damping = 1.0;
    while (search->turns < TURN_CAP) {
        double now = 0.0, next = 0.0, share = damping;
        turn(search, chip);
        search->turns++;
        hottest_nodes(search, chip, &now, &next);
        const bool hot = !(next < T_RUNAWAY);
        if (hot) {
            if (!(T_RUNAWAY - now > RUNAWAY_GAP))
                return RUNAWAY;
            share = 0.5 * (T_RUNAWAY - now) / (next - now);
        }
        const double step = move(search, chip, share) / share;
        if (!hot && steps_settled(step, last_step, TOLERANCE)) {
            search->residual = step > 0.0 ? step * step / (last_step - step) : 0.0;
            return SETTLED;
        }
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
    const struct cycle *cycle = &chip->cycle;
    const double first = search->loss_factor * cycle_mean_loss(cycle, LOSS_FIRST, chip->t);
    out->conduction = search->loss_factor * cycle_mean_loss(cycle, LOSS_CONDUCTION, chip->t);
    if (kind == SM_IGBT) {
        out->turn_on = first;
        out->turn_off = search->loss_factor * cycle_mean_loss(cycle, LOSS_SECOND, chip->t);
    } else {
        out->recovery = first;
    }
    out->total = out->conduction + out->turn_on + out->turn_off + out->recovery;
    out->tvj_max = search->offset[kind] + ripple_highest(&chip->ripple, chip->p, chip->rise);
    out->tvj_min = search->offset[kind] + ripple_lowest(&chip->ripple, chip->p, chip->rise);
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

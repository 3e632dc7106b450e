/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "solve/electrothermal.h"

#include <math.h>

/* K: bounds of the error that the two iterations leave; a hundred times below the 1 mK promised. */
#define CHIP_TOLERANCE 1e-6
#define CASE_TOLERANCE 1e-5

/* K: a step of the case temperatures is cut to this, so that a bend of the losses over temperature
 * is not jumped over; and the step taken uphill where Newton's rule sees no equilibrium. */
#define LONGEST_STEP 100.0
#define UPHILL_STEP 25.0

/* K: when even a step this short ends beyond T_RUNAWAY, it is the case's own doing. */
#define SHORTEST_STEP 0.25

enum {
    CHIP_CAP = 2000, /* turns; a contraction of 0.99 still fits; 6 are usual */
    CASE_CAP = 200   /* turns; 5 are usual */
};

enum chip_outcome { CHIP_SETTLED, CHIP_RUNAWAY, CHIP_STUCK };

/* --------------------------------------------------------------- chips */

static void chip_prepare(struct arena *arena, const struct stage *stage,
                         const struct operating_point *point, enum sm_chip_kind kind,
                         struct chip_state *chip)
{
    chip->cycle =
        cycle_build(arena, &stage->device[kind], point, stage->loss_factor, stage->widest);
    if (arena->failed)
        return;
    const size_t n = chip->cycle.n_nodes;
    chip->ripple = ripple_build(arena, stage->foster_r[kind], stage->foster_tau[kind],
                                chip->cycle.width, chip->cycle.n_panels, point->output_hz);
    chip->t = arena_doubles(arena, n);
    chip->p = arena_doubles(arena, n);
    chip->dp = arena_doubles(arena, n);
    chip->rise = arena_doubles(arena, n);
    chip->work = arena_doubles(arena, n);
}

bool steps_settled(double step, double last_step, double tolerance)
{
    const double q = last_step > 0.0 ? step / last_step : 1.0;
    return step <= 0.0 || (q < 1.0 && step * q / (1.0 - q) < tolerance);
}

/* The chip's own loop at a held case temperature, from the temperatures it had. */
static enum chip_outcome chip_settle(struct chip_state *chip, double t_case)
{
    const size_t n = chip->cycle.n_nodes;
    double last_step = 0.0;
    for (int turn = 0; turn < CHIP_CAP; turn++) {
        cycle_losses(&chip->cycle, chip->t, chip->p, chip->dp);
        ripple_solve(&chip->ripple, chip->p, chip->rise);
        double step = 0.0, hottest = 0.0;
        for (size_t j = 0; j < n; j++) {
            const double t = t_case + chip->rise[j];
            step = fmax(step, fabs(t - chip->t[j]));
            hottest = fmax(hottest, t);
            chip->t[j] = t;
        }
        if (!(hottest < T_RUNAWAY))
            return CHIP_RUNAWAY;
        if (steps_settled(step, last_step, CHIP_TOLERANCE))
            return CHIP_SETTLED;
        last_step = step;
    }
    return CHIP_STUCK;
}

/* Slope of the mean loss over the case temperature: 1 K more at the case warms the nodes by 1 K and
 * by what their own extra loss adds.  A few digits are enough: it only steers Newton's steps. */
static void chip_slope(struct chip_state *chip)
{
    enum { TURNS = 3 };
    const size_t n = chip->cycle.n_nodes;
    for (size_t j = 0; j < n; j++)
        chip->work[j] = chip->dp[j];
    for (int turn = 0; turn < TURNS; turn++) {
        ripple_solve(&chip->ripple, chip->work, chip->rise);
        for (size_t j = 0; j < n; j++)
            chip->work[j] = chip->dp[j] * (1.0 + chip->rise[j]);
    }
    chip->mean = cycle_mean(&chip->cycle, chip->p);
    chip->slope = cycle_mean(&chip->cycle, chip->work);
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

/* Newton's step of both case temperatures; false where the loop's gain leaves no equilibrium ahead.
 */
static bool newton_step(const struct heat_path *path, const struct chip_state *chip,
                        const double residual[SM_CHIP_COUNT], double step[SM_CHIP_COUNT])
{
    double m[SM_CHIP_COUNT][SM_CHIP_COUNT];
    for (int r = 0; r < SM_CHIP_COUNT; r++)
        for (int c = 0; c < SM_CHIP_COUNT; c++)
            m[r][c] = (r == c ? 1.0 : 0.0) - case_gain(path, r, c) * chip[c].slope;
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
        step[0] = step[1] = UPHILL_STEP;
        return;
    }
    const double longest = larger_of(step);
    if (longest > LONGEST_STEP)
        for (int k = 0; k < SM_CHIP_COUNT; k++)
            step[k] *= LONGEST_STEP / longest;
}

/* Both chips at given case temperatures, then their slopes. */
static enum chip_outcome chips_settle(struct chip_state *chip, const double t_case[SM_CHIP_COUNT])
{
    for (int k = 0; k < SM_CHIP_COUNT; k++) {
        const enum chip_outcome outcome = chip_settle(&chip[k], t_case[k]);
        if (outcome != CHIP_SETTLED)
            return outcome;
    }
    for (int k = 0; k < SM_CHIP_COUNT; k++)
        chip_slope(&chip[k]);
    return CHIP_SETTLED;
}

struct search {
    double t_case[SM_CHIP_COUNT]; /* K */
    double step[SM_CHIP_COUNT];   /* K  last taken */
    double lead;                  /* W  per switch */
    int turns;
    double residual; /* K  bound of the error left */
};

static void reset_temperatures(struct chip_state *chip, const double t_case[SM_CHIP_COUNT])
{
    for (int k = 0; k < SM_CHIP_COUNT; k++)
        for (size_t j = 0; j < chip[k].cycle.n_nodes; j++)
            chip[k].t[j] = t_case[k];
}

/* Takes half of the last step back and forgets what ran away.  False when it was too short. */
static bool step_back(struct search *search, struct chip_state *chip)
{
    if (search->turns == 0 || larger_of(search->step) < SHORTEST_STEP)
        return false;
    for (int k = 0; k < SM_CHIP_COUNT; k++) {
        search->step[k] *= 0.5;
        search->t_case[k] -= search->step[k];
    }
    reset_temperatures(chip, search->t_case);
    return true;
}

static enum chip_outcome find_equilibrium(const struct heat_path *path, struct chip_state *chip,
                                          struct search *search)
{
    for (; search->turns < CASE_CAP; search->turns++) {
        const enum chip_outcome outcome = chips_settle(chip, search->t_case);
        if (outcome == CHIP_STUCK)
            return CHIP_STUCK;
        if (outcome == CHIP_RUNAWAY) {
            if (!step_back(search, chip))
                return CHIP_RUNAWAY;
            continue;
        }
        const double power[SM_CHIP_COUNT] = { chip[SM_IGBT].mean, chip[SM_DIODE].mean };
        double residual[SM_CHIP_COUNT];
        cases_from_losses(path, power, search->lead, residual);
        for (int k = 0; k < SM_CHIP_COUNT; k++)
            residual[k] -= search->t_case[k];
        choose_step(path, chip, residual, search->step);
        search->residual = larger_of(search->step);
        for (int k = 0; k < SM_CHIP_COUNT; k++)
            search->t_case[k] += search->step[k];
        if (search->residual < CASE_TOLERANCE)
            return CHIP_SETTLED;
        if (fmax(search->t_case[0], search->t_case[1]) >= T_RUNAWAY)
            return CHIP_RUNAWAY;
        for (int k = 0; k < SM_CHIP_COUNT; k++)
            for (size_t j = 0; j < chip[k].cycle.n_nodes; j++)
                chip[k].t[j] += search->step[k];
    }
    return CHIP_STUCK;
}

/* -------------------------------------------------------------- result */

void point_margin(struct sm_point *point)
{
    const struct sm_chip_result *chip = point->chip;
    point->worst = chip[SM_DIODE].margin < chip[SM_IGBT].margin ? SM_DIODE : SM_IGBT;
    point->margin = chip[point->worst].margin;
}

static void chip_result(const struct chip_state *chip, enum sm_chip_kind kind, double t_case,
                        double tvj_op_max, struct sm_chip_result *out)
{
    const double first = cycle_mean_loss(&chip->cycle, LOSS_FIRST, chip->t);
    out->conduction = cycle_mean_loss(&chip->cycle, LOSS_CONDUCTION, chip->t);
    if (kind == SM_IGBT) {
        out->turn_on = first;
        out->turn_off = cycle_mean_loss(&chip->cycle, LOSS_SECOND, chip->t);
    } else {
        out->recovery = first;
    }
    out->total = out->conduction + out->turn_on + out->turn_off + out->recovery;
    out->t_case = t_case;
    out->tvj_mean = t_case + foster_sum(chip->ripple.r, chip->ripple.n_terms) * out->total;
    out->tvj_max = t_case + ripple_highest(&chip->ripple, chip->p, chip->rise);
    out->tvj_min = t_case + ripple_lowest(&chip->ripple, chip->p, chip->rise);
    out->margin = tvj_op_max - out->tvj_max;
}

static void point_result(const struct stage *stage, const struct heat_path *path,
                         struct chip_state *chip, const struct search *search, struct sm_point *out)
{
    for (int k = 0; k < SM_CHIP_COUNT; k++) {
        /* chip_slope() used the work arrays: the state behind the result is solved once more */
        ripple_solve(&chip[k].ripple, chip[k].p, chip[k].rise);
        for (size_t j = 0; j < chip[k].cycle.n_nodes; j++)
            chip[k].t[j] = search->t_case[k] + chip[k].rise[j];
        chip_result(&chip[k], (enum sm_chip_kind)k, search->t_case[k], stage->tvj_op_max,
                    &out->chip[k]);
    }
    const double power[SM_CHIP_COUNT] = { out->chip[SM_IGBT].total, out->chip[SM_DIODE].total };
    out->lead = search->lead;
    out->module_heat = module_heat(path, power, search->lead);
    out->sink_heat = sink_heat(path, out->module_heat);
    out->t_sink = path->t_base + path->rth_sa * out->sink_heat;
    point_margin(out);
    out->iterations = search->turns + 1;
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

enum sm_status electrothermal_solve(struct arena *arena, const struct stage *stage,
                                    const struct operating_point *point, const double *t_sink,
                                    struct sm_point *out, struct chip_state *chips)
{
    struct chip_state own[SM_CHIP_COUNT];
    struct chip_state *chip = chips ? chips : own;
    struct heat_path path = stage->path;
    if (t_sink) {
        path.t_base = *t_sink;
        path.rth_sa = 0.0;
    }
    point_head(point, out);
    struct search search = { .t_case = { path.t_base, path.t_base } };
    double squares = 0.0;
    for (int k = 0; k < SM_CHIP_COUNT; k++) {
        chip_prepare(arena, stage, point, (enum sm_chip_kind)k, &chip[k]);
        if (arena->failed)
            return SM_ERR_MEMORY;
        out->chip[k].i_rms = cycle_rms_current(&chip[k].cycle);
        squares += out->chip[k].i_rms * out->chip[k].i_rms;
    }
    search.lead = stage->lead_resistance * squares;
    reset_temperatures(chip, search.t_case);
    switch (find_equilibrium(&path, chip, &search)) {
    case CHIP_RUNAWAY:
        out->runaway = true;
        return SM_OK;
    case CHIP_STUCK:
        return SM_ERR_CONVERGE;
    case CHIP_SETTLED:
        break;
    }
    point_result(stage, &path, chip, &search, out);
    return SM_OK;
}

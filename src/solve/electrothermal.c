/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "solve/electrothermal.h"

#include <math.h>

/* -------------------------------------------------------------- chips */

static void chip_cool(struct chip_state *chip, double t)
{
    for (size_t j = 0; j < chip->cycle.n_nodes; j++)
        chip->t[j] = t;
    chip->t_sink = t;
}

/* A sink that is held somewhere else takes the nodes along: most of the way to their new places. */
static void chip_follow(struct chip_state *chip, double t_sink)
{
    for (size_t j = 0; j < chip->cycle.n_nodes; j++)
        chip->t[j] += t_sink - chip->t_sink;
    chip->t_sink = t_sink;
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
    if (arena->failed)
        return;
    chip->i_rms = cycle_rms_current(&chip->cycle);
    chip_cool(chip, stage->path.t_base);
}

/* -------------------------------------------------------------- result */

void point_margin(struct sm_point *point)
{
    const struct sm_chip_result *chip = point->chip;
    point->worst = chip[SM_DIODE].margin < chip[SM_IGBT].margin ? SM_DIODE : SM_IGBT;
    point->margin = chip[point->worst].margin;
}

double point_excess(const struct sm_point *point, double tvj_op_max)
{
    return point->runaway ? T_RUNAWAY - tvj_op_max : -point->margin;
}

static void chip_result(const struct equilibrium *e, const struct chip_state *chip, int kind,
                        struct sm_chip_result *out)
{
    const double t_case = e->next.t_case[kind], times = e->next.times[kind];
    const struct extremes rise = ripple_extremes(&chip->ripple, chip->p, chip->rise);
    double mean[LOSS_COUNT];
    cycle_mean_losses(&chip->cycle, chip->t, mean);
    for (int m = 0; m < LOSS_COUNT; m++)
        mean[m] *= e->loss_factor;
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
    out->swing = out->tvj_max - out->tvj_min;
}

static void point_result(const struct stage *stage, const struct equilibrium *e,
                         const struct chip_state *chip, struct sm_point *out)
{
    const struct heat_path *path = e->path;
    double power[SM_CHIP_COUNT], t_case[SM_CHIP_COUNT];
    for (int k = 0; k < SM_CHIP_COUNT; k++) {
        chip_result(e, &chip[k], k, &out->chip[k]);
        power[k] = out->chip[k].total;
    }
    cases_from_losses(path, power, e->lead, t_case);
    for (int k = 0; k < SM_CHIP_COUNT; k++) {
        struct sm_chip_result *c = &out->chip[k];
        c->t_case = t_case[k];
        c->tvj_mean = t_case[k] + foster_sum(chip[k].ripple.r, chip[k].ripple.n_terms) * power[k];
        c->margin = stage->tvj_op_max - c->tvj_max;
    }
    out->lead = e->lead;
    out->module_heat = module_heat(path, power, e->lead);
    out->sink_heat = sink_heat(path, out->module_heat);
    out->t_sink = path->t_base + path->rth_sa * out->sink_heat;
    point_margin(out);
    out->iterations = e->turns;
    out->residual = e->residual;
}

static void point_head(const struct operating_point *point, const struct chip_state *chips,
                       struct sm_point *out)
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
    for (int k = 0; k < SM_CHIP_COUNT; k++)
        out->chip[k].i_rms = chips[k].i_rms;
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

/* The heat path with the sink held, if it is; then the chips follow it. */
static struct heat_path path_over(const struct stage *stage, const double *t_sink,
                                  struct chip_state *chips)
{
    struct heat_path path = stage->path;
    if (!t_sink)
        return path;
    path.t_base = *t_sink;
    path.rth_sa = 0.0;
    for (int k = 0; k < SM_CHIP_COUNT; k++)
        chip_follow(&chips[k], *t_sink);
    return path;
}

/* W into the sink. */
static double heat_of(const struct equilibrium *e)
{
    return sink_heat(e->path, module_heat(e->path, e->next.loss, e->lead));
}

double point_lead_heat(const struct stage *stage, double i_igbt, double i_diode)
{
    return stage->lead_resistance * (i_igbt * i_igbt + i_diode * i_diode);
}

static void chips_cool(struct chip_state *chips, double t_base)
{
    for (int k = 0; k < SM_CHIP_COUNT; k++)
        chip_cool(&chips[k], t_base);
}

/* Chips that ran away are cold again. */
static enum outcome find(const struct stage *stage, const struct heat_path *path,
                         struct chip_state *chips, struct equilibrium *e)
{
    *e = (struct equilibrium){ .path = path,
                               .lead = point_lead_heat(stage, chips[SM_IGBT].i_rms,
                                                       chips[SM_DIODE].i_rms),
                               .loss_factor = stage->loss_factor };
    const enum outcome outcome = equilibrium_find(e, chips);
    const double t_sink = path->t_base + path->rth_sa * heat_of(e);
    for (int k = 0; k < SM_CHIP_COUNT; k++)
        chips[k].t_sink = t_sink;
    if (outcome != SETTLED)
        chips_cool(chips, path->t_base);
    return outcome;
}

enum sm_status electrothermal_settle(const struct stage *stage, const struct operating_point *point,
                                     const double *t_sink, struct chip_state *chips,
                                     struct sm_point *out)
{
    const struct heat_path path = path_over(stage, t_sink, chips);
    struct equilibrium e;
    const enum outcome outcome = find(stage, &path, chips, &e);
    point_head(point, chips, out);
    if (outcome == STUCK)
        return SM_ERR_CONVERGE;
    if (outcome == SETTLED) {
        point_result(stage, &e, chips, out);
        if (fmax(out->chip[SM_IGBT].tvj_max, out->chip[SM_DIODE].tvj_max) <= T_RUNAWAY)
            return SM_OK;
        /* the highest stands between the nodes that were searched */
        point_head(point, chips, out);
        chips_cool(chips, path.t_base);
    }
    out->runaway = true;
    return SM_OK;
}

bool electrothermal_try(const struct stage *stage, const struct operating_point *point,
                        const double *t_sink, struct chip_state *chips, struct sm_point *out)
{
    if (electrothermal_settle(stage, point, t_sink, chips, out) != SM_OK)
        out->runaway = true;
    return out->runaway;
}

bool electrothermal_heat(const struct stage *stage, double t_sink, struct chip_state *chips,
                         double *heat)
{
    const struct heat_path path = path_over(stage, &t_sink, chips);
    struct equilibrium e;
    if (find(stage, &path, chips, &e) != SETTLED)
        return false;
    *heat = heat_of(&e);
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

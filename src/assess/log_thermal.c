/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "assess/log_thermal.h"

#include "assess/log_joint.h"
#include "assess/log_outliers.h"
#include "assess/log_sink.h"

#include <math.h>

/* 1: of a kelvin of sink that must be left of the case's for its heat to be followed; nearer to 0
 * the joint is at the edge of runaway. */
#define LEAST_LEFT 0.2

static const struct sm_optional *cell(const struct log_rows *rows, size_t i,
                                      enum sm_log_column column)
{
    return &rows->log->rows[i].cell[column];
}

static struct sm_log_finding untold(enum sm_log_why_id why)
{
    return (struct sm_log_finding){ .result = SM_LOG_IS_NOT_SETTLED, .why = why };
}

/* What a row must have in any use of it. */
static bool any_given(const struct log_rows *rows, enum sm_log_column column)
{
    for (size_t i = 0; i < rows->log->n_rows; i++)
        if (cell(rows, i, column)->given)
            return true;
    return false;
}

static enum sm_log_result_id held_against(const struct sm_log_estimate *rth, double expected)
{
    if (fabs(rth->value - expected) <= SM_LOG_UNLIKE * expected ||
        (rth->low_with_model <= expected && expected <= rth->high_with_model))
        return SM_LOG_IS_AS_EXPECTED;
    return rth->value > expected ? SM_LOG_IS_HIGH : SM_LOG_IS_LOW;
}

/* K/W: of the case.  Of a joint told per switch all of them side by side, which is what the mean
 * over the base sees. */
static double joint_expected(const struct heat_path *path)
{
    if (path->form == SM_JOINT_MODULE)
        return path->rth_module;
    return 1.0 /
           (path->switches * (1.0 / path->rth_switch[SM_IGBT] + 1.0 / path->rth_switch[SM_DIODE]));
}

/* Why there can be no joint or no heatsink in it; SM_LOG_TOLD when there can. */
static enum sm_log_why_id why_not(const struct log_rows *rows)
{
    if (!any_given(rows, SM_LOG_SINK))
        return SM_LOG_WHY_NO_SINK;
    if (rows->n_known == 0)
        return SM_LOG_WHY_NO_CURRENTS;
    return rows->n_loaded == 0 ? SM_LOG_WHY_NO_LOAD : SM_LOG_TOLD;
}

/* ------------------------------------------------------------------- joint */

static enum sm_log_why_id why_no_joint(const struct log_rows *rows)
{
    if (!rows->ntc_as_case && !any_given(rows, SM_LOG_CASE))
        return any_given(rows, SM_LOG_NTC) ? SM_LOG_WHY_NTC_IS_NO_CASE : SM_LOG_WHY_NO_CASE;
    return why_not(rows);
}

/* The readings of the joint, and which row each came from. */
struct joint_packed {
    double *time, *power, *rise;
    bool *cold, *outlier;
    size_t *row, n;
};

static bool joint_pack_open(struct arena *arena, size_t n, struct joint_packed *p)
{
    *p = (struct joint_packed){ .time = arena_doubles(arena, n),
                                .power = arena_doubles(arena, n),
                                .rise = arena_doubles(arena, n),
                                .cold = arena_bytes(arena, n * sizeof *p->cold),
                                .outlier = arena_bytes(arena, n * sizeof *p->outlier),
                                .row = arena_bytes(arena, n * sizeof *p->row) };
    return !arena->failed;
}

static void joint_pack(const struct log_rows *rows, struct joint_packed *p)
{
    for (size_t i = 0; i < rows->log->n_rows; i++) {
        const struct log_load *load = &rows->load[i];
        const struct sm_optional *sink = cell(rows, i, SM_LOG_SINK);
        double t_case = 0.0, slope = 0.0;
        if (!(load->cold || load->loaded) || !sink->given || !log_rows_can_heat(rows, i) ||
            !log_rows_case(rows, i, &t_case) ||
            !log_rows_heat(rows, &rows->model->case_map, i, t_case, &p->power[p->n], &slope))
            continue;
        p->time[p->n] = cell(rows, i, SM_LOG_TIME)->value;
        p->rise[p->n] = t_case - sink->value;
        p->cold[p->n] = load->cold;
        p->row[p->n++] = i;
    }
}

static void strays_tell(const struct log_rows *rows, const struct joint_packed *p,
                        const struct joint_fit *fit)
{
    for (size_t k = 0; k < p->n; k++)
        if (p->outlier[k]) {
            rows->aside[p->row[k]] = SM_LOG_ASIDE_JOINT_OFF;
            rows->off[p->row[k]] = p->rise[k] - fit->offset - fit->rth.value * p->power[k];
        }
}

static double median_power(struct arena *arena, const struct joint_packed *p)
{
    double *values = arena_doubles(arena, p->n);
    size_t n = 0;
    for (size_t k = 0; values && k < p->n; k++)
        if (!p->cold[k] && !p->outlier[k])
            values[n++] = p->power[k];
    return n > 0 ? log_median(values, n) : 0.0;
}

/* Of a joint told per switch, both must say their layer. */
static bool knows_layer(const struct sm_module *module)
{
    return module->mounting.rth_cs.given || !module->igbt_thermal.rth_cs.given ||
           module->igbt_thermal.rth_cs_conductivity.given ==
               module->diode_thermal.rth_cs_conductivity.given;
}

/* The layer: its resistance goes with its thickness. */
static struct sm_optional layer_of(const struct log_rows *rows, double rth, double expected)
{
    const struct sm_joint_result joint = joint_of(&rows->c->drive->joint, rows->c->module);
    if (!joint.layer_used || !joint.thickness.given || !knows_layer(rows->c->module) || rth <= 0.0)
        return (struct sm_optional){ .given = false };
    return sm_given(joint.thickness.value * rth / expected);
}

static void joint_found(const struct log_rows *rows, const struct joint_packed *p,
                        const struct joint_fit *fit, struct sm_log_joint *out)
{
    out->is = (struct sm_log_finding){ .result = held_against(&fit->rth, out->expected),
                                       .rows = fit->loaded + fit->cold };
    out->rth = fit->rth;
    out->offset_from = fit->offset_from;
    out->offset = fit->offset;
    out->cold = fit->cold;
    out->thickness = layer_of(rows, fit->rth.value, out->expected);
    out->per_kelvin = sm_given(1.0 / (out->expected * median_power(rows->arena, p)));
    out->drift = fit->drift;
    strays_tell(rows, p, fit);
}

enum sm_status log_joint_judge(const struct log_rows *rows, struct sm_log_joint *out)
{
    struct joint_packed p;
    struct joint_fit fit;
    *out = (struct sm_log_joint){ .is = untold(why_no_joint(rows)),
                                  .expected = joint_expected(&rows->model->on_sink.path),
                                  .from_ntc = rows->ntc_as_case };
    if (out->is.why != SM_LOG_TOLD)
        return SM_OK;
    if (!joint_pack_open(rows->arena, rows->log->n_rows, &p))
        return SM_ERR_MEMORY;
    joint_pack(rows, &p);
    const struct joint_readings readings = { p.n,    p.time,    p.power,      p.rise,
                                             p.cold, p.outlier, out->expected };
    const enum sm_status status = joint_fit(rows->arena, &readings, &fit);
    if (status != SM_OK)
        return status;
    if (fit.settled) {
        joint_found(rows, &p, &fit, out);
        return SM_OK;
    }
    out->is = untold(fit.loaded == 0 && p.n == 0 ? SM_LOG_WHY_NO_WHOLE_ROW
                     : fit.too_few               ? SM_LOG_WHY_FEW_JOINT
                                                 : SM_LOG_WHY_SCATTERED_JOINT);
    return SM_OK;
}

/* -------------------------------------------------------------------- sink */

/* The readings of the heatsink, and which row each came from. */
struct sink_packed {
    double *time, *heat, *slope, *ambient, *t_sink;
    bool *outlier;
    size_t *row, n;
};

static bool sink_pack_open(struct arena *arena, size_t n, struct sink_packed *p)
{
    *p = (struct sink_packed){ .time = arena_doubles(arena, n),
                               .heat = arena_doubles(arena, n),
                               .slope = arena_doubles(arena, n),
                               .ambient = arena_doubles(arena, n),
                               .t_sink = arena_doubles(arena, n),
                               .outlier = arena_bytes(arena, n * sizeof *p->outlier),
                               .row = arena_bytes(arena, n * sizeof *p->row) };
    return !arena->failed;
}

/* Heat of one module and its slope over the sink.  Over the case as read, where there is a joint to
 * go with it: 1 K of sink is then 1 / (1 - R_joint slope) K of case.  Else over the sink, with the
 * file's joint. */
static bool sink_row_heat(const struct log_rows *rows, const struct sm_log_joint *joint, size_t i,
                          double *heat, double *slope)
{
    double t_case = 0.0;
    if (joint->is.why != SM_LOG_TOLD || joint->from_ntc || rows->aside[i] != SM_LOG_IN_USE ||
        !log_rows_case(rows, i, &t_case))
        return log_rows_heat(rows, &rows->model->sink_map, i, cell(rows, i, SM_LOG_SINK)->value,
                             heat, slope);
    if (!log_rows_heat(rows, &rows->model->case_map, i, t_case, heat, slope))
        return false;
    const double left = 1.0 - joint->rth.value * *slope;
    *slope = left > LEAST_LEFT ? *slope / left : 0.0;
    return true;
}

/* One row; the heat as a straight line over the sink's temperature, through what was read.  Without
 * load nothing else on the sink is warm either. */
static bool sink_pack_row(const struct log_rows *rows, const struct sm_log_joint *joint, size_t i,
                          struct sink_packed *p)
{
    const struct sm_optional *sink = cell(rows, i, SM_LOG_SINK);
    const struct sm_optional *ambient = cell(rows, i, SM_LOG_AMBIENT);
    const struct heat_path *path = &rows->model->on_sink.path;
    double heat = 0.0, slope = 0.0;
    if (!sink->given || !ambient->given || !log_rows_can_heat(rows, i) ||
        !sink_row_heat(rows, joint, i, &heat, &slope))
        return false;
    const double all = rows->load[i].cold ? 0.0 : sink_heat(path, heat);
    p->slope[p->n] = path->modules * slope;
    p->heat[p->n] = all - p->slope[p->n] * sink->value;
    p->time[p->n] = cell(rows, i, SM_LOG_TIME)->value;
    p->ambient[p->n] = ambient->value;
    p->t_sink[p->n] = sink->value;
    p->row[p->n++] = i;
    return true;
}

/* From the first loaded row on, with what came before in its start temperature, to the last. */
static void sink_pack(const struct log_rows *rows, const struct sm_log_joint *joint,
                      struct sink_packed *p)
{
    size_t last = 0;
    for (size_t i = 0; i < rows->log->n_rows; i++) {
        if (p->n == 0 && !rows->load[i].loaded)
            continue;
        if (sink_pack_row(rows, joint, i, p) && rows->load[i].loaded)
            last = p->n;
    }
    p->n = last;
}

static struct sink_readings sink_readings_of(const struct log_rows *rows,
                                             const struct sink_packed *p)
{
    return (struct sink_readings){ .n = p->n,
                                   .time = p->time,
                                   .heat = p->heat,
                                   .slope = p->slope,
                                   .ambient = p->ambient,
                                   .t_sink = p->t_sink,
                                   .outlier = p->outlier,
                                   .expected = rows->model->on_sink.path.rth_sa };
}

/* What was followed, in place of the readings. */
static void sink_strays_tell(const struct log_rows *rows, const struct sink_packed *p,
                             const struct sink_fit *fit, double *followed)
{
    const struct sink_readings readings = sink_readings_of(rows, p);
    sink_follow(&readings, fit->rth.value, fit->capacity, fit->t_start, followed);
    for (size_t k = 0; k < p->n; k++)
        if (p->outlier[k]) {
            rows->aside[p->row[k]] = SM_LOG_ASIDE_SINK_OFF;
            rows->off[p->row[k]] = p->t_sink[k] - followed[k];
        }
}

static enum sm_log_why_id why_no_sink(const struct log_rows *rows)
{
    return any_given(rows, SM_LOG_AMBIENT) ? why_not(rows) : SM_LOG_WHY_NO_AMBIENT;
}

static enum sm_status sink_found(const struct log_rows *rows, const struct sink_packed *p,
                                 const struct sink_fit *fit, struct sm_log_sink *out)
{
    double *followed = arena_doubles(rows->arena, p->n);
    if (!followed)
        return SM_ERR_MEMORY;
    out->is = (struct sm_log_finding){ .result = held_against(&fit->rth, out->expected),
                                       .rows = fit->used };
    out->rth = fit->rth;
    sink_strays_tell(rows, p, fit, followed);
    return SM_OK;
}

enum sm_status log_sink_judge(const struct log_rows *rows, const struct sm_log_joint *joint,
                              struct sm_log_sink *out)
{
    struct sink_packed p;
    struct sink_fit fit;
    *out = (struct sm_log_sink){ .is = untold(why_no_sink(rows)),
                                 .expected = rows->model->on_sink.path.rth_sa };
    if (out->is.why != SM_LOG_TOLD)
        return SM_OK;
    if (!sink_pack_open(rows->arena, rows->log->n_rows, &p))
        return SM_ERR_MEMORY;
    sink_pack(rows, joint, &p);
    const struct sink_readings readings = sink_readings_of(rows, &p);
    const enum sm_status status = sink_fit(rows->arena, &readings, &fit);
    if (status != SM_OK)
        return status;
    out->duration = fit.duration;
    out->capacity = fit.capacity;
    out->capacity_error = fit.capacity_error;
    out->time_constant = fit.time_constant;
    if (fit.settled)
        return sink_found(rows, &p, &fit, out);
    out->is = untold(p.n == 0        ? SM_LOG_WHY_NO_WHOLE_ROW
                     : fit.too_few   ? SM_LOG_WHY_FEW_SINK
                     : fit.too_short ? SM_LOG_WHY_SHORT_SINK
                                     : SM_LOG_WHY_SCATTERED_SINK);
    return SM_OK;
}

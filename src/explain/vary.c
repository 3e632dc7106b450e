/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Points that are no test points: the end of an overload, and the place where a value that was
 * searched for takes the file's. */
#include "base/maths.h"
#include "explain/builder.h"
#include "solve/hold.h"
#include "solve/limits.h"
#include "solve/sink_time.h"
#include "solve/stage.h"
#include "solve/test_point.h"

/* ------------------------------------------------------------- an overload */

/* The sink when the time is over, K; false when the chips lost their equilibrium before. */
static bool sink_at_end(struct site *site, double *t_sink)
{
    const struct sm_cooling *cooling = &site->variant->c.drive->cooling;
    const struct sink_run run = { .capacity = cooling->sink_capacity.value,
                                  .t_start = site->start->point.t_sink,
                                  .duration = site->duration };
    struct sink_time sink = sink_time_start(&site->variant->stage, &site->op, site->chip, &run);
    sink_time_march(&sink, site->duration, NULL);
    *t_sink = sink.t_sink;
    return !sink.runaway;
}

enum sm_status overload_site(struct builder *b, const struct site *start,
                             const struct variant *variant, double duration, struct site *out)
{
    const struct sm_rating *rating = &b->c->drive->rating;
    const double current = rating->overload_current.value * rating->output_current;
    out->kind = SITE_OVERLOAD;
    out->index = start->index;
    out->start = start;
    out->variant = variant;
    out->duration = duration;
    out->marched = b->c->drive->cooling.sink_capacity.given;
    out->op = operating_point_with_current(b->c->drive, start->op.output_hz, current);
    out->point = (struct sm_point){ .runaway = true };
    const enum sm_status status =
        electrothermal_prepare(b->arena, &variant->stage, &out->op, out->chip);
    double t_sink = 0.0;
    if (status != SM_OK || start->point.runaway || (out->marched && !sink_at_end(out, &t_sink)))
        return status;
    (void)electrothermal_try(&variant->stage, &out->op, out->marched ? &t_sink : NULL, out->chip,
                             &out->point);
    return SM_OK;
}

/* ------------------------------------------------------- a changed value */

/* What a limit changes in the drive file, and how that follows from its value. */
static const struct {
    int changed;
    enum formula given;
} limit_keys[SM_LIMIT_COUNT] = {
    [SM_LIMIT_LOAD_CURRENT] = { SM_DRIVE_LOAD, FORMULA_VARIED_LOAD },
    [SM_LIMIT_AMBIENT] = { SM_DRIVE_AMBIENT, FORMULA_VARIED_AS_IS },
    [SM_LIMIT_SWITCHING] = { SM_DRIVE_SWITCHING_FREQUENCY, FORMULA_VARIED_AS_IS },
    [SM_LIMIT_JOINT_THICKNESS] = { SM_DRIVE_THICKNESS, FORMULA_VARIED_THICKNESS },
    [SM_LIMIT_RTH_SA] = { SM_DRIVE_RTH_SA, FORMULA_VARIED_AS_IS },
    [SM_LIMIT_LOWEST_OUTPUT] = { SM_DRIVE_KEY_COUNT, FORMULA_VARIED_AS_IS },
};

/* The drive of the variant is changed already. */
static enum sm_status variant_build(struct builder *b, struct variant *v)
{
    v->c = *b->c;
    v->c.drive = &v->drive;
    v->stage = stage_build(b->arena, &v->c);
    v->joint = joint_of(&v->drive.joint, v->c.module);
    if (b->arena->failed)
        return SM_ERR_MEMORY;
    return hold_try(b->arena, &v->stage, &v->drive, hold_current(&v->drive), &v->hold);
}

static size_t test_frequency(const struct builder *b, double hz)
{
    size_t i = 0;
    while (i + 1 < b->n_tests && !same_number(b->tests[i].op.output_hz, hz))
        i++;
    return i;
}

static enum sm_status vary_limit(struct builder *b, enum sm_limit_id id)
{
    const struct sm_limit *limit = &b->result->limits[id];
    struct variant *v = &b->varied;
    if (limit->state != SM_LIMIT_FOUND)
        return SM_OK;
    *v = (struct variant){ .prefix = numbered(b, "limits", id, "."),
                           .drive = *b->c->drive,
                           .changed = limit_keys[id].changed,
                           .given = limit_keys[id].given,
                           .changes_output = id == SM_LIMIT_LOWEST_OUTPUT,
                           .k = id };
    limit_put(id, limit->value, &v->drive);
    enum sm_status status = variant_build(b, v);
    if (status != SM_OK)
        return status;
    b->there =
        (struct site){ .name = numbered(b, "limits", id, ".point"),
                       .index = test_frequency(b, limit->set_by_hz),
                       .variant = v,
                       .op = operating_point_at(&v->drive, limit->set_by_hz, v->drive.test.load) };
    status = electrothermal_prepare(b->arena, &v->stage, &b->there.op, b->there.chip);
    if (status != SM_OK)
        return status;
    (void)electrothermal_try(&v->stage, &b->there.op, NULL, b->there.chip, &b->there.point);
    test_point_hold(&v->hold, v->stage.tvj_op_max, &b->there.point);
    return SM_OK;
}

static enum sm_status vary_hold(struct builder *b)
{
    const struct sm_optional *allowed = &b->result->hold.allowed_current;
    struct variant *v = &b->varied;
    if (!allowed->given)
        return SM_OK;
    *v = (struct variant){ .prefix = "allowed.",
                           .drive = *b->c->drive,
                           .changed = SM_DRIVE_LOAD,
                           .given = FORMULA_VARIED_HOLD };
    limit_put(SM_LIMIT_LOAD_CURRENT, allowed->value, &v->drive);
    return variant_build(b, v);
}

static enum sm_status vary_overload(struct builder *b, size_t i)
{
    const struct sm_optional *allowed = &b->result->overload[i].allowed_time;
    struct variant *v = &b->varied;
    if (!allowed->given || allowed->value <= 0.0)
        return SM_OK;
    *v = (struct variant){ .prefix = numbered(b, "overload", i, ".stop."),
                           .drive = *b->c->drive,
                           .changed = SM_DRIVE_OVERLOAD_TIME,
                           .given = FORMULA_VARIED_TIME,
                           .k = i };
    v->drive.rating.overload_time.value = allowed->value;
    const enum sm_status status = variant_build(b, v);
    b->there.name = numbered(b, "overload", i, ".stop");
    return status == SM_OK ? overload_site(b, &b->tests[i], v, allowed->value, &b->there) : status;
}

enum sm_status builder_vary(struct builder *b, enum quantity q, const struct where *w)
{
    switch ((int)q) {
    case QUANTITY_LIMIT_VALUE:
    case QUANTITY_LIMIT_HZ:
        return vary_limit(b, (enum sm_limit_id)w->k);
    case QUANTITY_HOLD_ALLOWED:
        return vary_hold(b);
    case QUANTITY_OVERLOAD_ALLOWED:
        return vary_overload(b, w->site->index);
    default:
        return SM_OK;
    }
}

/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The overload: its end, and the sink's way there. */
#include "base/maths.h"
#include "explain/builder.h"
#include "solve/sink_time.h"
#include "swapmargin/quantity.h"

#include <math.h>

/* Stretches of the march, in parts of the sink's time constant: the first, and how much longer each
 * is than the one before: the way is a decay, so that later ones may be long.  The last of them is
 * halved again and again: near an edge of equilibrium the heat rises steeply. */
#define FIRST_STRETCH 0.25
#define LONGER 1.15

enum { LONG_STRETCHES = 100, HALVINGS = 8, STRETCHES = LONG_STRETCHES + HALVINGS + 1 };

/* Ends of the stretches, s.  Returned: how many stretches. */
static size_t stretches(const struct site *site, double end[STRETCHES + 1])
{
    const struct variant *v = site->variant;
    const double tau = v->c.drive->cooling.sink_capacity.value * v->stage.path.rth_sa;
    double length = FIRST_STRETCH * tau;
    size_t n = 0;
    end[0] = 0.0;
    while (n + 1 < LONG_STRETCHES && end[n] + length < site->duration) {
        end[n + 1] = end[n] + length;
        length *= LONGER;
        n++;
    }
    for (int i = 0; i < HALVINGS; i++, n++)
        end[n + 1] = 0.5 * (end[n] + site->duration);
    end[++n] = site->duration;
    return n;
}

/* A march beside a second pair of chips, which tell the heat at each of its temperatures. */
struct walk {
    const struct site *site;
    struct chip_state march[SM_CHIP_COUNT], heat[SM_CHIP_COUNT];
    struct sink_time sink;
};

static bool walk_open(const struct ask *ask, struct walk *w)
{
    const struct site *site = w->site = ask->w.site;
    const struct variant *v = site->variant;
    const struct sink_run run = { .capacity = v->c.drive->cooling.sink_capacity.value,
                                  .t_start = site->start->point.t_sink,
                                  .duration = site->duration };
    if (electrothermal_prepare(ask->b->arena, &v->stage, &site->op, w->march) != SM_OK ||
        electrothermal_prepare(ask->b->arena, &v->stage, &site->op, w->heat) != SM_OK)
        return false;
    w->sink = sink_time_start(&v->stage, &site->op, w->march, &run);
    return true;
}

/* On to a time, s.  Returned: the heat into the sink then, W. */
static double walk_to(struct walk *w, double time)
{
    struct sm_point point;
    sink_time_march(&w->sink, time, NULL);
    (void)electrothermal_try(&w->site->variant->stage, &w->site->op, &w->sink.t_sink, w->heat,
                             &point);
    return point.sink_heat;
}

#define WHY_NO_CAPACITY                                                                            \
    "sink_capacity is not given: the overload is judged as if it lasted for good"

static void tell_march(const struct ask *ask)
{
    double end[STRETCHES + 1];
    struct walk w;
    if (!ask->w.site->marched || ask->w.site->point.runaway) {
        say_null(ask, ask->w.site->point.runaway ? WHY_RUNAWAY : WHY_NO_CAPACITY);
        return;
    }
    const size_t n = stretches(ask->w.site, end);
    if (!walk_open(ask, &w))
        return;
    say_rows(ask, PANEL_NODES * n);
    double *place = say_laid_out(ask, COLUMN_MARCH_PLACE);
    double *share = say_laid_out(ask, COLUMN_MARCH_SHARE);
    double *t = say_computed(ask, COLUMN_MARCH_TIME, FORMULA_MARCH_TIME);
    double *sink = say_laid_out(ask, COLUMN_MARCH_SINK);
    double *heat = say_laid_out(ask, COLUMN_MARCH_HEAT);
    double *net = say_computed(ask, COLUMN_MARCH_NET, FORMULA_MARCH_NET);
    const struct heat_path *path = &ask->w.site->variant->stage.path;
    for (size_t j = 0; !ask->b->arena->failed && j < PANEL_NODES * n; j++) {
        const size_t k = j / PANEL_NODES, node = j % PANEL_NODES;
        const double length = end[k + 1] - end[k];
        t[j] = end[k] + length * panel_place[node];
        place[j] = t[j] / ask->w.site->duration;
        share[j] = panel_mean_weight[node] * length / ask->w.site->duration;
        heat[j] = walk_to(&w, t[j]);
        net[j] = heat[j] - (w.sink.t_sink - path->t_base) / path->rth_sa;
        (void)sm_quantity_to_unit(w.sink.t_sink, "degC", &sink[j]);
    }
}

/* K: a margin this far from none is no root but an edge of equilibrium. */
#define ROOT_WITHIN 1e-2

static void tell_allowed(const struct ask *ask, const struct sm_overload *overload)
{
    if (!overload->allowed_time.given)
        say_null(ask, overload->runaway || overload->margin < 0.0
                          ? "not known: the sink's heat capacity, or a settled start, is missing"
                          : "the overload fits");
    else if (overload->allowed_time.value <= 0.0)
        say_value(ask, 0.0, FORMULA_ALLOWED_AT_ONCE);
    else
        say_value(ask, overload->allowed_time.value,
                  fabs(ask->b->there.point.margin) < ROOT_WITHIN ? FORMULA_ALLOWED_TIME
                                                                 : FORMULA_ALLOWED_EDGE);
}

void tell_overload(const struct ask *ask)
{
    const struct sm_overload *overload = &ask->b->result->overload[ask->w.site->index];
    switch ((int)ask->q) {
    case QUANTITY_OVERLOAD_HZ:
        say_value(ask, overload->output_hz, FORMULA_AS_FREQUENCY);
        return;
    case QUANTITY_OVERLOAD_CURRENT:
        say_value(ask, overload->i_drive, FORMULA_OVERLOAD_CURRENT);
        return;
    case QUANTITY_OVERLOAD_ALLOWED:
        tell_allowed(ask, overload);
        return;
    case QUANTITY_MARCH:
        tell_march(ask);
        return;
    default:
        break;
    }
    if (overload->runaway) {
        say_null(ask, WHY_RUNAWAY);
        return;
    }
    switch ((int)ask->q) {
    case QUANTITY_OVERLOAD_TVJ:
        say_value(ask, overload->tvj_max, FORMULA_OVERLOAD_TVJ);
        break;
    case QUANTITY_OVERLOAD_SINK:
        say_value(ask, overload->t_sink, FORMULA_OVERLOAD_SINK);
        break;
    case QUANTITY_OVERLOAD_MARGIN:
        say_value(ask, overload->margin, FORMULA_OVERLOAD_MARGIN);
        break;
    default:
        break;
    }
}

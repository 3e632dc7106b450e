/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "solve/sink_time.h"

#include <math.h>

/* K: what an error of the heat may move a settled sink by. */
#define HEAT_ACCURACY 2e-3

/* 1: what an error of the heat may change the time of a passing sink by. */
#define TIME_ACCURACY 2e-5

/* 1: step over the time constant.  The classical Runge-Kutta rule of order 4 then errs by less than
 * 1e-8 of the way left in each step (0.05^5 / 120). */
#define STEP 0.05

/* K: a sink that has no farther to go than this has settled. */
#define SETTLED 1e-6

/* K: stretches of sink temperature that one polynomial covers. */
#define LONGEST_PIECE 20.0
#define SHORTEST_PIECE 0.01

/* 1: how much longer than the piece before, which may have been cut short by a bend. */
#define LONGER 4.0

/* 1: how much longer than the way foreseen a piece is, so that one is enough. */
#define ROOM 1.1

/* 1: a step foreseen to come this near to its target is tried as one that gets there: a
 * polynomial is worth nothing far outside its piece. */
#define NEARLY 0.9

/* K: for the slope of the net heat. */
#define SLOPE_STEP 1e-3

struct sink_time sink_time_start(const struct stage *stage, const struct operating_point *point,
                                 struct chip_state *chips, const struct sink_run *run)
{
    return (struct sink_time){ .t_sink = run->t_start,
                               .source = { .stage = stage, .point = point, .chips = chips },
                               .run = *run,
                               .longest = LONGEST_PIECE,
                               .edge = HUGE_VAL };
}

/* W: what stays in the sink. */
static double net_of(const struct sink_time *sink, double heat, double t)
{
    const struct heat_path *path = &sink->source.stage->path;
    return heat - (t - path->t_base) / path->rth_sa;
}

static double net_at(const struct sink_time *sink, double t)
{
    return net_of(sink, heat_piece_at(&sink->piece, t), t);
}

/* W/K: slope of the net heat; below 0 where the sink settles. */
static double net_slope(const struct sink_time *sink, double t)
{
    return (net_at(sink, t + SLOPE_STEP) - net_at(sink, t - SLOPE_STEP)) / (2.0 * SLOPE_STEP);
}

/* -------------------------------------------------------------- pieces */

/* How far the sink can get in the time left, with a sign: no farther than its rate of now tells,
 * and no farther than to where it settles, where the losses do not rise; else in several pieces. */
static double way_ahead(const struct sink_time *sink)
{
    const double time_left = fmax(sink->run.duration - sink->time, 0.0);
    const double net = net_of(sink, sink->heat, sink->t_sink);
    const double way =
        ROOM * net * fmin(time_left / sink->run.capacity, 2.0 * sink->source.stage->path.rth_sa);
    const double length = fmin(fmax(fabs(way), 2.0 * SHORTEST_PIECE), sink->longest);
    return net < 0.0 ? -length : length;
}

/* W: how exact the heat has to be on the way to a temperature.  Where the sink may settle, it
 * has to settle right; where it passes by far from that, in time. */
static double heat_tolerance(const struct sink_time *sink, double to)
{
    const double settles = HEAT_ACCURACY / sink->source.stage->path.rth_sa;
    const double here = fabs(net_of(sink, sink->heat, sink->t_sink));
    const double there = fabs(net_of(sink, sink->heat, to));
    const bool passes = net_of(sink, sink->heat, to) * (to - sink->t_sink) > 0.0;
    return passes ? fmax(settles, TIME_ACCURACY * fmin(here, there)) : settles;
}

/* Whether a sink known to run away lies on the way to `to`, or beyond. */
static bool edge_ahead(const struct sink_time *sink, double to)
{
    return isfinite(sink->edge) && (sink->edge - sink->t_sink) * (to - sink->t_sink) > 0.0;
}

/* A new piece from t_sink on.  Each reaches at most half-way to a sink known to run away: towards
 * such an edge the heat is steep, and the pieces shrink with the distance.  Where none is left, the
 * march has run away. */
static void piece_ahead(struct sink_time *sink)
{
    double to = sink->t_sink + way_ahead(sink);
    for (;;) {
        const double half = 0.5 * (sink->t_sink + sink->edge);
        if (edge_ahead(sink, to) && fabs(half - sink->t_sink) < fabs(to - sink->t_sink))
            to = half;
        const bool shortest = fabs(to - sink->t_sink) < SHORTEST_PIECE;
        if (shortest && edge_ahead(sink, to)) {
            sink->runaway = true;
            return;
        }
        sink->piece = (struct heat_piece){ .from = sink->t_sink, .to = to };
        sink->source.tolerance = heat_tolerance(sink, to);
        double edge = to;
        const enum heat_outcome outcome =
            heat_piece_build(&sink->source, sink->heat, &sink->piece, &edge);
        if (outcome == HEAT_RUNAWAY)
            sink->edge = edge;
        else if (outcome == HEAT_SMOOTH || shortest)
            break;
        else
            to = 0.5 * (sink->t_sink + to);
    }
    sink->longest = fmin(LONGER * fabs(to - sink->t_sink), LONGEST_PIECE);
}

/* --------------------------------------------------------------- steps */

/* s: the time it takes to get to t_end, by Simpson's rule of dt/dT_s. */
static double time_to(const struct sink_time *sink, double t_end)
{
    const double t = sink->t_sink, way = t_end - t, c = sink->run.capacity;
    const double k1 = c / net_at(sink, t), k2 = c / net_at(sink, t + 0.5 * way);
    return way / 6.0 * (k1 + 4.0 * k2 + c / net_at(sink, t_end));
}

/* K: the same rule forward, a step of h seconds. */
static double step_of(const struct sink_time *sink, double h)
{
    const double t = sink->t_sink, s = h / sink->run.capacity;
    const double k1 = net_at(sink, t);
    const double k2 = net_at(sink, t + 0.5 * s * k1);
    const double k3 = net_at(sink, t + 0.5 * s * k2);
    const double k4 = net_at(sink, t + s * k3);
    return t + s / 6.0 * (k1 + 2.0 * k2 + 2.0 * k3 + k4);
}

/* Where the sink may go before something else has to be done: the end of the piece, or stop
 * where it comes first. */
static double target_of(const struct sink_time *sink, const double *stop)
{
    const double way = sink->piece.to - sink->t_sink;
    const bool first =
        stop && (*stop - sink->t_sink) * way > 0.0 && fabs(*stop - sink->t_sink) <= fabs(way);
    return first ? *stop : sink->piece.to;
}

/* One step, no farther than to `time`, to the end of the piece or to stop.  Returned: false when
 * the sink has got to stop. */
static bool step_on(struct sink_time *sink, double time, const double *stop)
{
    const double c = sink->run.capacity, target = target_of(sink, stop);
    const double net = net_at(sink, sink->t_sink), slope = net_slope(sink, sink->t_sink);
    const double rate = fmax(fabs(slope), 1.0 / sink->source.stage->path.rth_sa);
    const double h = fmin(time - sink->time, STEP * c / rate);
    if (slope < 0.0 && fabs(net) < SETTLED * fabs(slope)) {
        sink->time = time;
        return true;
    }
    if (fabs(net) * h / c >= NEARLY * fabs(target - sink->t_sink)) {
        const double there = time_to(sink, target);
        if (there <= h) {
            sink->time += there;
            sink->heat = heat_piece_at(&sink->piece, target);
            sink->t_sink = target;
            sink->piece.n = 0;
            return !(stop && fabs(*stop - target) <= SETTLED);
        }
    }
    sink->t_sink = step_of(sink, h);
    sink->time += h;
    return true;
}

void sink_time_march(struct sink_time *sink, double time, const double *stop)
{
    if (sink->source.solves == 0)
        sink->runaway = !heat_at_sink(&sink->source, sink->t_sink, &sink->heat);
    if (stop && fabs(*stop - sink->t_sink) <= SETTLED)
        return;
    while (!sink->runaway && sink->time < time) {
        if (sink->piece.n == 0)
            piece_ahead(sink);
        if (!sink->runaway && !step_on(sink, time, stop))
            return;
    }
}

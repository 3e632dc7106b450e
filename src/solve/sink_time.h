/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The sink's temperature in time: the slow state of a drive.  Cases and chips settle within
 * seconds, the sink within tens of minutes, so they are taken to follow it at once:
 *
 *   C_s dT_s/dt = heat(T_s) - (T_s - T_a) / R_sa
 *
 * with heat(T_s) all heat into the sink in the periodic steady state over a sink held at T_s.
 *
 *   electrothermal_prepare(arena, stage, &point, chips)
 *   struct sink_time sink = sink_time_start(stage, &point, chips, &run);
 *   for (each time asked, rising)
 *       sink_time_march(&sink, time, NULL), then look at sink.t_sink and sink.runaway;
 *       electrothermal_settle(stage, &point, &sink.t_sink, chips, ...) for cases and junctions
 *
 * The next run starts where this one ended: run.t_start = sink.t_sink.
 * Accuracy: 2 mK (tests/test_sink_time.c against closed forms and against a march of the equation
 * itself).  Cost: 4 to 9 electrothermal solutions for 20 K of sink.
 *
 * Equations: docs/method.md, eq. 12.1. */
#ifndef SM_SOLVE_SINK_TIME_H
#define SM_SOLVE_SINK_TIME_H

#include "solve/heat_piece.h"

struct sink_run {
    double capacity; /* J/K  of the sink, > 0 */
    double t_start;  /* K    of the sink */
    double duration; /* s    how long it will be marched in all: how far a polynomial reaches */
};

struct sink_time {
    double time;   /* s  since the start */
    double t_sink; /* K  then */
    bool runaway;  /* then the chips lost their equilibrium: the march ended early, for good */
    struct heat_source source;
    struct sink_run run;
    struct heat_piece piece; /* around t_sink, in the direction of travel; n is 0 between two */
    double heat;             /* W  into the sink at t_sink, where a piece starts */
    double longest;          /* K  how far the next piece may reach */
    double edge;             /* K  the sink last found to run away; HUGE_VAL before */
};

/* Given: stage, operating point and the chips prepared for them, all borrowed; the run. */
struct sink_time sink_time_start(const struct stage *stage, const struct operating_point *point,
                                 struct chip_state *chips, const struct sink_run *run);

/* Marches on to `time`, s since the start, from sink->time on.  stop NULL as a rule, or a sink
 * temperature, K, at which the march ends before its time. */
void sink_time_march(struct sink_time *sink, double time, const double *stop);

#endif

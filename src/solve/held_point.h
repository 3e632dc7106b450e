/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * One test frequency over a sink held at a temperature, as the verdict would see it: below 1 Hz the
 * zero-speed hold over the same sink counts where it is the worse. */
#ifndef SM_SOLVE_HELD_POINT_H
#define SM_SOLVE_HELD_POINT_H

#include "solve/test_point.h"

/* A point that is asked for over many sinks. */
struct held_point {
    const struct stage *stage;
    const struct sm_drive *drive;
    struct test_point test;
    struct arena *hold; /* for the hold's own solutions; cleared by each */
};

/* chips live in `arena`; everything else is borrowed.  Errors: SM_ERR_MEMORY. */
enum sm_status held_point_open(struct arena *arena, struct arena *hold, const struct stage *stage,
                               const struct sm_drive *drive, double output_hz,
                               struct held_point *out);

/* Solves it over t_sink, K.  Runaway is a result.  Errors: SM_ERR_MEMORY. */
enum sm_status held_point_solve(struct held_point *held, double t_sink, struct sm_point *out);

/* The sink over which the hottest junction is at tvj_op_max, between two sinks.
 * Returned: *out, solved there; out->runaway when there is none: then *t_sink is as it was. */
enum sm_status held_point_limit(struct held_point *held, double low, double high, double *t_sink,
                                struct sm_point *out);

#endif

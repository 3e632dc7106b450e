/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The legs of a bridge at zero speed, each with a current that stands: losses and temperatures
 * together.
 *
 * Equations: docs/method.md, eq. 10.1 to 10.7. */
#ifndef SM_SOLVE_STANDING_H
#define SM_SOLVE_STANDING_H

#include "base/arena.h"
#include "solve/equilibrium.h"
#include "solve/stage.h"

/* The hot leg stands at the current's peak, the other two at half of it. */
enum leg { HOT_LEG, OTHER_LEG, LEG_COUNT };

enum { STANDING_CHIPS = LEG_COUNT * SM_CHIP_COUNT }; /* [leg * SM_CHIP_COUNT + kind] */

struct standing {
    const struct stage *stage;
    int parallel;
    double *loss[STANDING_CHIPS]; /* W    at the device's temperature knots */
    double lead[LEG_COUNT];       /* W    of one leg */
    double p[STANDING_CHIPS];     /* W    losses at t */
    double slope[STANDING_CHIPS]; /* W/K  theirs */
    double t[STANDING_CHIPS];     /* K */
    double t_sink;                /* K */
};

/* Both kinds of leg at the air's temperature, with `i_peak`, A, in the hot one of each module.
 * Returned: false for lack of memory. */
bool standing_open(struct arena *arena, const struct stage *stage, int parallel, double i_peak,
                   double switching_hz, struct standing *out);

/* Warms them until losses and temperatures balance: SETTLED; RUNAWAY when the hot leg passes
 * T_RUNAWAY; STUCK when a chip's loss falls below zero so far that it cools past absolute zero, or
 * the cap on turns was reached. */
enum outcome standing_settle(struct standing *s);

#endif

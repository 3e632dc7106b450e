/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The loop of losses and temperatures.
 *
 * A chip's loss at each node of its conduction depends on its own temperature there; that
 * temperature is the case's plus the Foster response to those losses; the case's depends on the
 * mean losses of all chips.  One turn goes once through this circle; how far the two mean losses
 * grow on the way, which all the resistances of the heat path act on, is foreseen by Newton's
 * rule.
 *
 * Equations: docs/method.md, eq. 8.1 to 8.4. */
#ifndef SM_SOLVE_EQUILIBRIUM_H
#define SM_SOLVE_EQUILIBRIUM_H

#include "load/cycle.h"
#include "swapmargin/result.h"
#include "thermal/heat_path.h"
#include "thermal/ripple.h"

/* K (673.15 K = 400 degC): a junction that passes this has no equilibrium below it; bonds, solder
 * and silicon's blocking ability are gone long before. */
#define T_RUNAWAY 673.15

/* K: a junction this near to T_RUNAWAY that still wants to pass it has run away. */
#define RUNAWAY_GAP 0.25

/* K: a step is cut to this, so that a bend of the losses over temperature is not jumped over. */
#define LONGEST_STEP 100.0

/* One chip kind, prepared for one operating point. */
struct chip_state {
    struct cycle cycle;
    struct ripple ripple;
    double i_rms;  /* A    for the leads */
    double *t;     /* K    junction temperature at each node */
    double *p;     /* W    loss at each node */
    double *dp;    /* W/K  its slope */
    double *rise;  /* K    of the junction over the case that p would cause, at each node */
    double t_sink; /* K    under these temperatures */
};

/* What one turn finds of a chip, at the temperatures it has. */
struct turn {
    double loss;    /* W    mean */
    double slope;   /* W/K  mean */
    double misfit;  /* W    by which the mean would grow if each node's temperature were its rise */
    double own;     /* W/W  by which it grows with itself, through the rise */
    double hottest; /* K    highest rise of a node */
    double coldest; /* K    lowest */
};

/* A node's next temperature is the case's plus so many times its rise. */
struct next {
    double t_case[SM_CHIP_COUNT]; /* K */
    double times[SM_CHIP_COUNT];  /* 1 */
    double loss[SM_CHIP_COUNT];   /* W  means that go with them */
};

/* The search, and where it ended. */
struct equilibrium {
    const struct heat_path *path;
    double lead;        /* W  per switch */
    double loss_factor; /* 1 */
    struct turn turn[SM_CHIP_COUNT];
    struct next next;
    double hottest; /* K  node now */
    double coldest; /* K  node now */
    int turns;
    double residual; /* K  bound of the error left at any node */
};

enum outcome { SETTLED, RUNAWAY, STUCK };

/* Given: path, lead and loss_factor, the rest 0; both chips, at the temperatures to start from.
 * Returned: SETTLED, `next` and the chips' temperatures in equilibrium; RUNAWAY; STUCK when the cap
 * on turns was reached, or a chip would cool past absolute zero. */
enum outcome equilibrium_find(struct equilibrium *e, struct chip_state chip[SM_CHIP_COUNT]);

/* K: case temperatures that mean losses would settle at. */
void cases_from_losses(const struct heat_path *path, const double power[SM_CHIP_COUNT], double lead,
                       double t_case[SM_CHIP_COUNT]);

/* Bound of what is left of a sequence of steps: steps that shrink by a fixed ratio q leave
 * step q / (1 - q), the sum of all later ones; q is taken as 0.01 at least.  last_step 0: there was
 * none.  Returned: HUGE_VAL while they do not shrink; the step itself where it is no more than
 * rounding (1e-10 K). */
double steps_left(double step, double last_step);

#endif

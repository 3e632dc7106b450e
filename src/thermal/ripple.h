/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Junction over case, in the periodic steady state of a Foster network that is heated by the same
 * loss in every output cycle.  Solved directly: no marching until it settles.
 *
 * The loss is given at the four nodes of each panel of half a cycle (base/panel.h) and taken as
 * the cubic through them; it is 0 in the other half.  Each Foster term is then advanced over a
 * panel exactly: x(end) = x(start) exp(-h/tau) + r (w0 p0 + w1 p1 + w2 p2 + w3 p3), and the state
 * at the start of conduction follows in closed form from periodicity. */
#ifndef SM_THERMAL_RIPPLE_H
#define SM_THERMAL_RIPPLE_H

#include "base/arena.h"
#include "base/panel.h"
#include "swapmargin/quantity.h"

#include <stddef.h>

/* One Foster term over one panel, from its start up to each of its later nodes. */
struct panel_step {
    double decay[PANEL_NODES];               /* 1    exp(-t/tau); [0] is 1 */
    double weight[PANEL_NODES][PANEL_NODES]; /* K/W  of the panel's losses, times r; [0] is 0 */
};

struct ripple {
    size_t n_panels, n_terms;
    const double *r, *tau;   /* K/W, s; borrowed */
    const double *duration;  /* s, one a panel */
    double half_period;      /* s */
    struct panel_step *step; /* [panel * n_terms + term] */
    double *rest;            /* 1  exp(-half_period/tau), one a term */
    double *start;           /* K  state of each term at the start of conduction, last solved */
    double *inside;          /* K  the same at the start of one panel, for a search inside it */
};

/* Given: Foster terms r (K/W) and tau (s), equally long, 1 ... 12; panel widths in rad that add up
 * to pi; output_hz > 0.  r, tau are borrowed. */
struct ripple ripple_build(struct arena *arena, const struct sm_list *r, const struct sm_list *tau,
                           const double *width, size_t n_panels, double output_hz);

/* Rise of the junction over the case, K, at every node: rise[PANEL_NODES n_panels] from p, W. */
void ripple_solve(struct ripple *ripple, const double *p, double *rise);

/* Highest and lowest rise over the whole cycle, K, between the nodes too; after ripple_solve() with
 * the same p and rise. */
double ripple_highest(const struct ripple *ripple, const double *p, const double *rise);
double ripple_lowest(const struct ripple *ripple, const double *p, const double *rise);

/* K/W: what the terms add up to, junction to case at standstill. */
double foster_sum(const double *r, size_t n);

#endif

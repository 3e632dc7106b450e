/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Junction over case, in the periodic steady state of a Foster network that is heated by the same
 * loss in every output cycle.  Solved directly: no marching until it settles.
 *
 * The loss is given at the four nodes of each panel of half a cycle (base/panel.h) and taken as
 * the cubic through them; it is 0 in the other half.  Each Foster term is then advanced over a
 * panel exactly: x(end) = x(start) exp(-h/tau) + r (w0 p0 + w1 p1 + w2 p2 + w3 p3), and the state
 * at the start of conduction follows in closed form from periodicity.
 *
 * Terms are taken four at a time, the last four filled up with terms of 0 K/W, so that each step
 * is a product of a matrix of 4 x 4 with four numbers: compilers put that into vector registers.
 *
 * Equations: docs/method.md, eq. 7.1 to 7.5. */
#ifndef SM_THERMAL_RIPPLE_H
#define SM_THERMAL_RIPPLE_H

#include "base/arena.h"
#include "base/panel.h"
#include "swapmargin/quantity.h"

#include <stddef.h>

enum { LANES = PANEL_NODES };

/* Four terms over one panel of a certain width. */
struct lane_step {
    struct panel_matrix decay; /* 1    of term k's state at the start, up to node n */
    double end_decay[LANES];   /* 1    the same up to the end */
    struct panel_matrix end;   /* K/W  of node k's loss, on term n at the end */
};

/* One width of panel: many panels share one. */
struct panel_width {
    double width;             /* rad */
    double duration;          /* s */
    struct panel_matrix rise; /* K/W  of node k's loss at node n, all terms */
    struct lane_step *group;  /* [n_groups] */
};

struct ripple {
    size_t n_panels, n_terms, n_groups;
    const double *r, *tau;            /* K/W, s; borrowed */
    const struct panel_width **width; /* one a panel */
    double *repeat; /* 1  one a lane: state at the start over that after a cycle from 0 */
    double *state;  /* K  [(panel * n_groups + group) * LANES + lane], at its start */
};

/* Given: Foster terms r (K/W) and tau (s), equally long, 1 ... 12; panel widths in rad that add up
 * to pi; output_hz > 0.  r, tau are borrowed. */
struct ripple ripple_build(struct arena *arena, const struct sm_list *r, const struct sm_list *tau,
                           const double *width, size_t n_panels, double output_hz);

/* Rise of the junction over the case, K, at every node: rise[PANEL_NODES n_panels] from p, W. */
void ripple_solve(struct ripple *ripple, const double *p, double *rise);

/* K. */
struct extremes {
    double lowest, highest;
};

/* Lowest and highest rise over the whole cycle, K, between the nodes too; after ripple_solve() with
 * the same p and rise.  Without loss every term falls, so both are in the loaded half, its first
 * instant included. */
struct extremes ripple_extremes(const struct ripple *ripple, const double *p, const double *rise);

/* One term of 1 K/W over part of a panel: state at the fraction v = returned value * state at the
 * panel's start + sum of weight[k] * loss of node k.
 * Given: a >= 0, the panel's duration over the term's time constant; 0 <= v <= 1. */
double ripple_weights(double a, double v, double weight[PANEL_NODES]);

/* Rise over the case, K, `seconds` after the conduction's end, while the chip cools freely: 0 to
 * half a period; after ripple_solve() with the same p. */
double ripple_after(const struct ripple *ripple, const double *p, double seconds);

/* K/W: what the terms add up to, junction to case at standstill. */
double foster_sum(const double *r, size_t n);

#endif

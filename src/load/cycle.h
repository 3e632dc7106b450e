/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * One chip's half cycle of conduction, cut into panels in which everything is smooth, and the loss
 * at the panels' nodes.
 *
 * The upper IGBT conducts while the phase current is positive: psi from -pi/2 to pi/2 about the
 * current's peak.  The upper diode carries the negative half; half-wave symmetry of every scheme
 * makes it the same half cycle with 1 - d for d.  In the other half the chip's loss is 0.  A panel
 * has four nodes (base/panel.h): between them the loss is taken as a cubic.  Panels end
 * where the modulation bends or jumps and where the current passes a datasheet point.  Means are
 * over the whole cycle. */
#ifndef SM_LOAD_CYCLE_H
#define SM_LOAD_CYCLE_H

#include "base/arena.h"
#include "base/panel.h"
#include "device/device.h"
#include "load/operating_point.h"

#include <stddef.h>

enum loss_kind { LOSS_CONDUCTION, LOSS_FIRST, LOSS_SECOND, LOSS_COUNT }; /* FIRST: E_on or E_rr */

struct cycle {
    size_t n_panels;
    size_t n_nodes;        /* node j belongs to panel j / PANEL_NODES */
    const double *width;   /* rad, one a panel; they add up to pi */
    const double *psi;     /* rad, one a node, from the current's peak */
    const double *current; /* A   i_peak cos psi */
    const double *duty;    /* 1    of this chip */
    const double *weight;  /* 1    mean over the cycle = sum of weight * value */
    size_t n_knots;
    const double *t_knot; /* K    borrowed from the device */
    /* W at [knot * n_nodes + node]: the loss is linear in temperature between knots. */
    const double *loss[LOSS_COUNT];
    const double *total;
};

/* Given: a device, an operating point.  widest, rad: no panel is wider (CYCLE_WIDEST as a rule).
 * On lack of memory arena->failed is set. */
struct cycle cycle_build(struct arena *arena, const struct device *device,
                         const struct operating_point *point, double widest);

/* rad: panels this wide keep the quadrature's error of a junction temperature below 0.5 mK
 * (tests/test_cycle.c and tests/test_electrothermal.c show it against panels a quarter as wide). */
#define CYCLE_WIDEST (3.14159265358979323846 / 12.0)

/* Sum of weight * values, in fixed order. */
double cycle_mean(const struct cycle *cycle, const double *values);

/* A: rms of this chip's current, from the mean of d i^2. */
double cycle_rms_current(const struct cycle *cycle);

/* Mean of one loss, W, with each node at its own temperature t[n_nodes], K. */
double cycle_mean_loss(const struct cycle *cycle, enum loss_kind kind, const double *t);

/* Total loss at every node at temperatures t: p[n_nodes], W, and its slope dp[n_nodes], W/K; both
 * times a factor. */
void cycle_losses(const struct cycle *cycle, double factor, const double *t, double *p, double *dp);

#endif

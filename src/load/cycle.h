/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * One chip's half cycle of conduction: its loss at the panels' nodes, at any temperature.  In the
 * other half the loss is 0.  Means are over the whole cycle.
 *
 * Equations: docs/method.md, eq. 4.1 to 4.6. */
#ifndef SM_LOAD_CYCLE_H
#define SM_LOAD_CYCLE_H

#include "base/arena.h"
#include "device/device.h"
#include "load/panels.h"

#include <stddef.h>

enum loss_kind { LOSS_CONDUCTION, LOSS_FIRST, LOSS_SECOND, LOSS_COUNT }; /* FIRST: E_on or E_rr */

struct cycle {
    size_t n_panels;
    size_t n_nodes;
    const double *width;   /* rad  these five are the panels' */
    const double *psi;     /* rad */
    const double *current; /* A */
    const double *weight;  /* 1 */
    const double *duty;    /* 1    of this chip */
    size_t n_knots;
    const double *t_knot; /* K    borrowed from the device */
    /* W at [knot * n_nodes + node]: the loss is linear in temperature between knots. */
    const double *loss[LOSS_COUNT];
    const double *total;
    const double *slope; /* W/K  of the total from one knot to the next */
};

/* Given: a device and panels made for it; both are borrowed.  On lack of memory arena->failed is
 * set. */
struct cycle cycle_build(struct arena *arena, const struct device *device,
                         const struct panels *panels);

/* Sum of weight * values, in fixed order. */
double cycle_mean(const struct cycle *cycle, const double *values);

/* A: rms of this chip's current, from the mean of d i^2. */
double cycle_rms_current(const struct cycle *cycle);

/* Means of the losses, W, with each node at its own temperature t[n_nodes], K. */
void cycle_mean_losses(const struct cycle *cycle, const double *t, double mean[LOSS_COUNT]);

/* Mean of the total loss, W, and of its slope over temperature, W/K. */
struct mean_loss {
    double loss, slope;
};

/* Total loss at every node at temperatures t, p[n_nodes], W, and its slope, dp[n_nodes], W/K; both
 * times a factor.  Returned: their means. */
struct mean_loss cycle_losses(const struct cycle *cycle, double factor, const double *t, double *p,
                              double *dp);

#endif

/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * A panel: a stretch of the cycle in which everything is smooth, with the four nodes of the
 * Gauss-Lobatto rule.  Between them a quantity is the cubic through its four values; the rule is
 * exact up to the fifth power.  Source: Abramowitz and Stegun, Handbook of Mathematical
 * Functions, 25.4.32. */
#ifndef SM_BASE_PANEL_H
#define SM_BASE_PANEL_H

enum { PANEL_NODES = 4 };

#define SQRT5 2.23606797749978969641

/* 1: places of the nodes and weights of the mean, in parts of the panel. */
static const double panel_place[PANEL_NODES] = { 0.0, 0.5 - 0.5 / SQRT5, 0.5 + 0.5 / SQRT5, 1.0 };
static const double panel_mean_weight[PANEL_NODES] = { 1.0 / 12.0, 5.0 / 12.0, 5.0 / 12.0,
                                                       1.0 / 12.0 };

/* A matrix over the nodes, column by column; aligned for vector loads. */
struct panel_matrix {
    _Alignas(32) double column[PANEL_NODES][PANEL_NODES];
};

/* The cubic that is 1 at node k and 0 at the others: sum of panel_basis.column[k][q] v^q. */
static const struct panel_matrix panel_basis = { {
    { 1.0, -6.0, 10.0, -5.0 },
    { 0.0, 5.0 * SQRT5 *(0.5 + 0.5 / SQRT5), -5.0 * SQRT5 *(1.5 + 0.5 / SQRT5), 5.0 * SQRT5 },
    { 0.0, -5.0 * SQRT5 *(0.5 - 0.5 / SQRT5), 5.0 * SQRT5 *(1.5 - 0.5 / SQRT5), -5.0 * SQRT5 },
    { 0.0, 1.0, -5.0, 5.0 },
} };

/* Sums over the nodes of panels are kept for each place apart (lanes): none waits for the one
 * before, and compilers put four into vector registers.  This adds them up. */
static inline double lanes_sum(const double lane[PANEL_NODES])
{
    return (lane[0] + lane[1]) + (lane[2] + lane[3]);
}

/* out = m v and out += m v; written out, for compilers then keep all of it in vector registers. */
static inline void panel_product(const struct panel_matrix *m, const double *v,
                                 double *restrict out)
{
    const double v0 = v[0], v1 = v[1], v2 = v[2], v3 = v[3];
    for (int n = 0; n < PANEL_NODES; n++)
        out[n] = (m->column[0][n] * v0 + m->column[1][n] * v1) +
                 (m->column[2][n] * v2 + m->column[3][n] * v3);
}

static inline void panel_add_product(const struct panel_matrix *m, const double *v,
                                     double *restrict out)
{
    double product[PANEL_NODES];
    panel_product(m, v, product);
    for (int n = 0; n < PANEL_NODES; n++)
        out[n] += product[n];
}

#endif

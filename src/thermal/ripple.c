/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "thermal/ripple.h"

#include "base/maths.h"

#include <math.h>
#include <stdbool.h>

/* ------------------------------------------- one term over one stretch */

/* phi1 ... phi4 of z = -a, a >= 0: phi1 = (exp z - 1)/z, phi(k+1) = (phi k - 1/k!)/z.  Near 0 the
 * quotients cancel, so the last comes from its series and the others from it. */
struct phi {
    double exp;
    double k[PANEL_NODES]; /* phi1 ... phi4 */
};

/* |z| up to which the series is used: there its first term left out is below 1e-12, and above it
 * the quotients lose less than four digits. */
#define SERIES_LIMIT 0.25

/* phi4 = sum over k of z^k / (k + 4)! */
static double phi4_series(double z)
{
    return 1.0 / 24.0 +
           z * (1.0 / 120.0 +
                z * (1.0 / 720.0 + z * (1.0 / 5040.0 +
                                        z * (1.0 / 40320.0 + z * (1.0 / 362880.0 +
                                                                  z * (1.0 / 3628800.0 +
                                                                       z * (1.0 / 39916800.0)))))));
}

static inline struct phi phi_of(double a)
{
    const double z = -a;
    struct phi phi;
    if (a > SERIES_LIMIT) {
        const double inverse = 1.0 / z;
        phi.exp = exp(z);
        phi.k[0] = (phi.exp - 1.0) * inverse;
        phi.k[1] = (phi.k[0] - 1.0) * inverse;
        phi.k[2] = (phi.k[1] - 1.0 / 2.0) * inverse;
        phi.k[3] = (phi.k[2] - 1.0 / 6.0) * inverse;
        return phi;
    }
    phi.k[3] = phi4_series(z);
    phi.k[2] = 1.0 / 6.0 + z * phi.k[3];
    phi.k[1] = 1.0 / 2.0 + z * phi.k[2];
    phi.k[0] = 1.0 + z * phi.k[1];
    phi.exp = 1.0 + z * phi.k[0];
    return phi;
}

/* State reached at the fraction v of a panel from 0, of one term of 1 K/W heated by 1, v, v^2, v^3:
 * the integral of the power times the term's own decay.  a = h/tau.  Returned: what is left of the
 * state at the start. */
static inline double moments_at(double a, double v, double moment[PANEL_NODES])
{
    const struct phi phi = phi_of(a * v);
    const double av = a * v, av2 = av * v, av3 = av2 * v;
    moment[0] = av * phi.k[0];
    moment[1] = av2 * phi.k[1];
    moment[2] = av3 * (2.0 * phi.k[2]);
    moment[3] = av3 * v * (6.0 * phi.k[3]);
    return phi.exp;
}

double ripple_weights(double a, double v, double weight[PANEL_NODES])
{
    double moment[PANEL_NODES];
    const double decay = moments_at(a, v, moment);
    for (int k = 0; k < PANEL_NODES; k++) {
        weight[k] = 0.0;
        for (int q = 0; q < PANEL_NODES; q++)
            weight[k] += panel_basis.column[k][q] * moment[q];
    }
    return decay;
}

double foster_sum(const double *r, size_t n)
{
    double sum = 0.0;
    for (size_t i = 0; i < n; i++)
        sum += r[i];
    return sum;
}

/* ------------------------------------------------------------ building */

/* Four terms over one width: what is left of each at every node, and what the powers of v make of
 * each at the end (by term) and of all of them at every node. */
static void group_build(const struct ripple *ripple, size_t group, double duration,
                        struct lane_step *step, struct panel_matrix *rise)
{
    struct panel_matrix end = { { { 0.0 } } }; /* K/W  of loss v^k on term n at the end */
    for (size_t lane = 0; lane < LANES && group * LANES + lane < ripple->n_terms; lane++) {
        const double a = duration / ripple->tau[group * LANES + lane];
        const double r = ripple->r[group * LANES + lane];
        double moment[PANEL_NODES];
        step->decay.column[lane][0] = 1.0;
        for (int n = 1; n < PANEL_NODES; n++) {
            step->decay.column[lane][n] = moments_at(a, panel_place[n], moment);
            for (int q = 0; q < PANEL_NODES; q++)
                rise->column[q][n] += r * moment[q];
        }
        step->end_decay[lane] = step->decay.column[lane][PANEL_NODES - 1];
        for (int q = 0; q < PANEL_NODES; q++)
            end.column[q][lane] = r * moment[q];
    }
    for (int k = 0; k < PANEL_NODES; k++)
        panel_product(&end, panel_basis.column[k], step->end.column[k]);
}

static void width_build(const struct ripple *ripple, struct panel_width *width)
{
    struct panel_matrix rise = { { { 0.0 } } }; /* K/W  of loss v^k at node n */
    for (size_t group = 0; group < ripple->n_groups; group++)
        group_build(ripple, group, width->duration, &width->group[group], &rise);
    for (int k = 0; k < PANEL_NODES; k++)
        panel_product(&rise, panel_basis.column[k], width->rise.column[k]);
}

/* 1: relative difference of two widths that are the same but for rounding. */
#define SAME_WIDTH 1e-12

/* The width as an earlier panel has it, or a new one; NULL when there is no memory. */
static const struct panel_width *width_of(struct arena *arena, const struct ripple *ripple,
                                          size_t panel, double rad, double output_hz)
{
    for (size_t p = 0; p < panel; p++)
        if (fabs(ripple->width[p]->width - rad) <= SAME_WIDTH * rad)
            return ripple->width[p];
    struct panel_width *width = arena_bytes(arena, sizeof *width);
    struct lane_step *group = arena_bytes(arena, ripple->n_groups * sizeof *group);
    if (!width || !group)
        return NULL;
    width->width = rad;
    width->duration = rad / (2.0 * PI * output_hz);
    width->group = group;
    width_build(ripple, width);
    return width;
}

struct ripple ripple_build(struct arena *arena, const struct sm_list *r, const struct sm_list *tau,
                           const double *width, size_t n_panels, double output_hz)
{
    struct ripple ripple = { .n_panels = n_panels,
                             .n_terms = r->n,
                             .n_groups = (r->n + LANES - 1) / LANES,
                             .r = r->v,
                             .tau = tau->v };
    ripple.width = arena_bytes(arena, n_panels * sizeof(const struct panel_width *));
    ripple.state = arena_doubles(arena, n_panels * ripple.n_groups * LANES);
    ripple.repeat = arena_doubles(arena, ripple.n_groups * LANES);
    if (arena->failed)
        return ripple;
    for (size_t p = 0; !arena->failed && p < n_panels; p++)
        ripple.width[p] = width_of(arena, &ripple, p, width[p], output_hz);
    for (size_t i = 0; i < r->n; i++) {
        /* half the period without loss; the other half lets the start decay by the same factor */
        const double half = 0.5 / output_hz / tau->v[i];
        ripple.repeat[i] = exp(-half) / -expm1(-2.0 * half);
    }
    return ripple;
}

/* ------------------------------------------------------------- solving */

static double *state_of(const struct ripple *ripple, size_t panel, size_t group)
{
    return &ripple->state[(panel * ripple->n_groups + group) * LANES];
}

/* Four terms marched from nothing through the conduction; where a panel's state will stand, what
 * its losses add up to its end.  Returned in x: the state at the start that repeats. */
static void march_from_zero(const struct ripple *ripple, size_t group, const double *p,
                            double x[LANES])
{
    double y[LANES] = { 0.0 };
    for (size_t panel = 0; panel < ripple->n_panels; panel++) {
        const struct lane_step *s = &ripple->width[panel]->group[group];
        double *restrict heat = state_of(ripple, panel, group);
        panel_product(&s->end, &p[PANEL_NODES * panel], heat);
        for (int l = 0; l < LANES; l++)
            y[l] = y[l] * s->end_decay[l] + heat[l];
    }
    for (size_t l = 0; l < LANES; l++)
        x[l] = y[l] * ripple->repeat[group * LANES + l];
}

/* The same march from that start: the states, and their part of the rise at the nodes. */
static void add_states(const struct ripple *ripple, size_t group, const double start[LANES],
                       double *rise)
{
    double x[LANES] = { start[0], start[1], start[2], start[3] };
    for (size_t panel = 0; panel < ripple->n_panels; panel++) {
        const struct lane_step *s = &ripple->width[panel]->group[group];
        double *restrict state = state_of(ripple, panel, group);
        panel_add_product(&s->decay, x, &rise[PANEL_NODES * panel]);
        double end[LANES];
        for (int l = 0; l < LANES; l++)
            end[l] = x[l] * s->end_decay[l] + state[l];
        for (int l = 0; l < LANES; l++)
            state[l] = x[l];
        for (int l = 0; l < LANES; l++)
            x[l] = end[l];
    }
}

void ripple_solve(struct ripple *ripple, const double *p, double *rise)
{
    for (size_t panel = 0; panel < ripple->n_panels; panel++)
        panel_product(&ripple->width[panel]->rise, &p[PANEL_NODES * panel],
                      &rise[PANEL_NODES * panel]);
    for (size_t group = 0; group < ripple->n_groups; group++) {
        double start[LANES];
        march_from_zero(ripple, group, p, start);
        add_states(ripple, group, start, rise);
    }
}

double ripple_after(const struct ripple *ripple, const double *p, double seconds)
{
    const size_t last = ripple->n_panels - 1;
    double rise = 0.0;
    for (size_t group = 0; group < ripple->n_groups; group++) {
        const struct lane_step *s = &ripple->width[last]->group[group];
        const double *start = state_of(ripple, last, group);
        double heat[LANES] = { 0.0 };
        panel_add_product(&s->end, &p[PANEL_NODES * last], heat);
        for (size_t l = 0; l < LANES && group * LANES + l < ripple->n_terms; l++)
            rise += (start[l] * s->end_decay[l] + heat[l]) *
                    exp(-seconds / ripple->tau[group * LANES + l]);
    }
    return rise;
}

/* ------------------------------------------------------------ extremes */

/* The rise at a place of a panel, with its slope and bend over the fraction of the panel. */
struct rise {
    double value, slope, bend; /* K */
};

/* Exact for the panel's cubic of losses g0 + g1 v + g2 v^2 + g3 v^3. */
static struct rise rise_inside(const struct ripple *ripple, size_t panel,
                               const double g[PANEL_NODES], double v)
{
    const double loss = g[0] + v * (g[1] + v * (g[2] + v * g[3]));
    const double loss_slope = g[1] + v * (2.0 * g[2] + v * 3.0 * g[3]);
    const double duration = ripple->width[panel]->duration;
    struct rise rise = { 0.0, 0.0, 0.0 };
    for (size_t i = 0; i < ripple->n_terms; i++) {
        const double a = duration / ripple->tau[i], r = ripple->r[i];
        double moment[PANEL_NODES];
        const double decay = moments_at(a, v, moment);
        const double start = state_of(ripple, panel, i / LANES)[i % LANES];
        const double x = start * decay + r * (moment[0] * g[0] + moment[1] * g[1] +
                                              moment[2] * g[2] + moment[3] * g[3]);
        const double slope = a * (r * loss - x);
        rise.value += x;
        rise.slope += slope;
        rise.bend += a * (r * loss_slope - slope);
    }
    return rise;
}

/* K: what an extreme may still gain when its search ends; it is added, and errs by a small part. */
#define EXTREME_TOLERANCE 1e-7

enum { EXTREME_CAP = 60 }; /* turns: halving alone ends within them; 2 are usual */

/* Highest (sign 1) or lowest (sign -1) rise near node k of a panel, whose neighbours are not beyond
 * it: Newton's rule on the slope, halving the stretch where that leads out of it. */
static double extreme_near(const struct ripple *ripple, size_t panel, int k, const double *p,
                           double sign)
{
    double g[PANEL_NODES];
    panel_product(&panel_basis, &p[PANEL_NODES * panel], g);
    double v = panel_place[k];
    struct rise rise = rise_inside(ripple, panel, g, v);
    const int side = sign * rise.slope > 0.0 ? 1 : -1;
    if (k + side < 0 || k + side >= PANEL_NODES)
        return rise.value;
    double uphill = v, downhill = panel_place[k + side];
    for (int turn = 0; turn < EXTREME_CAP; turn++) {
        const double gain = -0.5 * rise.slope * rise.slope / rise.bend;
        if (sign * gain >= 0.0 && sign * gain < EXTREME_TOLERANCE)
            return rise.value + gain;
        const double newton = v - rise.slope / rise.bend;
        const bool inside = (newton - uphill) * (newton - downhill) < 0.0;
        v = sign * gain >= 0.0 && inside ? newton : 0.5 * (uphill + downhill);
        rise = rise_inside(ripple, panel, g, v);
        if (sign * rise.slope * side > 0.0)
            uphill = v;
        else
            downhill = v;
    }
    return rise.value;
}

/* Nodes where neither neighbour is beyond them are looked at: only there can an extreme be near,
 * and a jump of the loss can raise a short second one.  A panel's last node and the next one's
 * first are the same instant, so a neighbour outside the panel is the next but one. */
struct extremes ripple_extremes(const struct ripple *ripple, const double *p, const double *rise)
{
    struct extremes found = { rise[0], rise[0] };
    for (size_t panel = 0; panel < ripple->n_panels; panel++) {
        const double *y = &rise[PANEL_NODES * panel];
        const double before = panel > 0 ? y[-2] : y[0];
        const double after = panel + 1 < ripple->n_panels ? y[PANEL_NODES + 1] : y[PANEL_NODES - 1];
        for (int k = 0; k < PANEL_NODES; k++) {
            const double left = k > 0 ? y[k - 1] : before;
            const double right = k + 1 < PANEL_NODES ? y[k + 1] : after;
            if (y[k] >= left && y[k] >= right)
                found.highest = fmax(found.highest, extreme_near(ripple, panel, k, p, 1.0));
            if (y[k] <= left && y[k] <= right)
                found.lowest = fmin(found.lowest, extreme_near(ripple, panel, k, p, -1.0));
        }
    }
    return found;
}

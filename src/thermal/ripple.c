/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "thermal/ripple.h"

#include "base/maths.h"

#include <math.h>

/* ------------------------------------------- one term over one stretch */

/* phi1 ... phi4 of z = -a, a >= 0: phi1 = (exp z - 1)/z, phi(k+1) = (phi k - 1/k!)/z.  Near 0 the
 * quotients cancel, so the last comes from its series and the others from it. */
struct phi {
    double exp;
    double k[PANEL_NODES]; /* phi1 ... phi4 */
};

/* |z| up to which the series is used, and its terms: the first one left out is below 1e-17 there. */
#define SERIES_LIMIT 1.0
enum { SERIES_TERMS = 15 };

static struct phi phi_of(double a)
{
    const double z = -a;
    struct phi phi;
    if (a > SERIES_LIMIT) {
        phi.exp = exp(z);
        phi.k[0] = (phi.exp - 1.0) / z;
        phi.k[1] = (phi.k[0] - 1.0) / z;
        phi.k[2] = (phi.k[1] - 1.0 / 2.0) / z;
        phi.k[3] = (phi.k[2] - 1.0 / 6.0) / z;
        return phi;
    }
    /* Horner form of 24 phi4 = sum over k of z^k 4! / (k + 4)! */
    double sum = 1.0;
    for (int k = SERIES_TERMS; k > 0; k--)
        sum = 1.0 + sum * z / (double)(k + 4);
    phi.k[3] = sum / 24.0;
    phi.k[2] = 1.0 / 6.0 + z * phi.k[3];
    phi.k[1] = 1.0 / 2.0 + z * phi.k[2];
    phi.k[0] = 1.0 + z * phi.k[1];
    phi.exp = 1.0 + z * phi.k[0];
    return phi;
}

/* Weights on the panel's losses of the state reached at the fraction c of the panel: integral of the
 * cubic times the term's own decay.  a = h/tau.  Returned: what is left of the state at the start. */
static double weights_at(double a, double c, double w[PANEL_NODES])
{
    static const double factorial[PANEL_NODES] = { 1.0, 1.0, 2.0, 6.0 };
    const struct phi phi = phi_of(a * c);
    double moment[PANEL_NODES]; /* of v^q */
    double power = a * c;
    for (int q = 0; q < PANEL_NODES; q++, power *= c)
        moment[q] = power * factorial[q] * phi.k[q];
    for (int k = 0; k < PANEL_NODES; k++) {
        w[k] = 0.0;
        for (int q = 0; q < PANEL_NODES; q++)
            w[k] += panel_basis[k][q] * moment[q];
    }
    return phi.exp;
}

static struct panel_step step_build(double r, double tau, double h)
{
    struct panel_step step = { .decay = { 1.0 } };
    for (int n = 1; n < PANEL_NODES; n++) {
        step.decay[n] = weights_at(h / tau, panel_place[n], step.weight[n]);
        for (int k = 0; k < PANEL_NODES; k++)
            step.weight[n][k] *= r;
    }
    return step;
}

struct ripple ripple_build(struct arena *arena, const struct sm_list *r, const struct sm_list *tau,
                           const double *width, size_t n_panels, double output_hz)
{
    struct ripple ripple = { .n_panels = n_panels,
                             .n_terms = r->n,
                             .r = r->v,
                             .tau = tau->v,
                             .half_period = 0.5 / output_hz };
    double *duration = arena_doubles(arena, n_panels);
    ripple.step = arena_bytes(arena, n_panels * r->n * sizeof *ripple.step);
    ripple.rest = arena_doubles(arena, r->n);
    ripple.start = arena_doubles(arena, r->n);
    if (arena->failed)
        return ripple;
    for (size_t p = 0; p < n_panels; p++)
        duration[p] = width[p] / (2.0 * PI * output_hz);
    ripple.duration = duration;
    for (size_t p = 0; p < n_panels; p++)
        for (size_t i = 0; i < r->n; i++)
            ripple.step[p * r->n + i] = step_build(r->v[i], tau->v[i], duration[p]);
    for (size_t i = 0; i < r->n; i++)
        ripple.rest[i] = exp(-ripple.half_period / tau->v[i]);
    return ripple;
}

/* ------------------------------------------------------------- solving */

/* State of one term at node n of a panel, from its state x at the panel's start. */
static double advance(const struct panel_step *s, int n, double x, const double *p)
{
    const double *w = s->weight[n];
    return x * s->decay[n] + w[0] * p[0] + w[1] * p[1] + w[2] * p[2] + w[3] * p[3];
}

static const struct panel_step *step_of(const struct ripple *ripple, size_t panel, size_t term)
{
    return &ripple->step[panel * ripple->n_terms + term];
}

/* State of one term at the end of the first n panels, from its state at their start. */
static double march(const struct ripple *ripple, size_t term, size_t n, double x, const double *p)
{
    for (size_t panel = 0; panel < n; panel++)
        x = advance(step_of(ripple, panel, term), PANEL_NODES - 1, x, &p[PANEL_NODES * panel]);
    return x;
}

/* State of one term at the start of conduction that repeats after a period. */
static double periodic_start(const struct ripple *ripple, size_t term, const double *p)
{
    const double x = march(ripple, term, ripple->n_panels, 0.0, p);
    /* rest stands for the half period without loss; the loaded half decays by the same factor */
    return x * ripple->rest[term] / -expm1(-2.0 * ripple->half_period / ripple->tau[term]);
}

static void add_term(const struct ripple *ripple, size_t term, const double *p, double *rise)
{
    double x = ripple->start[term];
    for (size_t panel = 0; panel < ripple->n_panels; panel++) {
        const struct panel_step *s = step_of(ripple, panel, term);
        const double *q = &p[PANEL_NODES * panel];
        double *y = &rise[PANEL_NODES * panel];
        y[0] += x;
        y[1] += advance(s, 1, x, q);
        y[2] += advance(s, 2, x, q);
        x = advance(s, 3, x, q);
        y[3] += x;
    }
}

void ripple_solve(struct ripple *ripple, const double *p, double *rise)
{
    for (size_t j = 0; j < PANEL_NODES * ripple->n_panels; j++)
        rise[j] = 0.0;
    for (size_t i = 0; i < ripple->n_terms; i++) {
        ripple->start[i] = periodic_start(ripple, i, p);
        add_term(ripple, i, p, rise);
    }
}

/* ------------------------------------------------------------ extremes */

/* Rise at the fraction c of a panel, exact for the panel's cubic of losses. */
static double rise_inside(const struct ripple *ripple, size_t panel, double c, const double *p)
{
    double sum = 0.0;
    for (size_t i = 0; i < ripple->n_terms; i++) {
        double w[PANEL_NODES];
        const double decay = weights_at(ripple->duration[panel] / ripple->tau[i], c, w);
        const double *q = &p[PANEL_NODES * panel];
        double heated = 0.0;
        for (int k = 0; k < PANEL_NODES; k++)
            heated += w[k] * q[k];
        sum += march(ripple, i, panel, ripple->start[i], p) * decay + ripple->r[i] * heated;
    }
    return sum;
}

/* Place of the vertex of the parabola through three nodes of a panel; outside 0 ... 1 when it does
 * not bend the way that `sign` asks. */
static double vertex(const double *y, int first, double sign)
{
    const double *v = &panel_place[first], *q = &y[first];
    const double left = (q[1] - q[0]) / (v[1] - v[0]);
    const double right = (q[2] - q[1]) / (v[2] - v[1]);
    const double bend = (right - left) / (v[2] - v[0]);
    if (sign * bend >= 0.0)
        return -1.0;
    return 0.5 * (v[0] + v[1]) - 0.5 * left / bend;
}

/* The vertex lies within a few hundredths of a panel of the true extreme, where the slope is 0:
 * evaluating exactly there leaves next to nothing. */
static double extreme_near(const struct ripple *ripple, size_t panel, const double *p,
                           const double *rise, double sign)
{
    const double *y = &rise[PANEL_NODES * panel];
    int at = 0;
    for (int k = 1; k < PANEL_NODES; k++)
        if (sign * y[k] > sign * y[at])
            at = k;
    const double c = vertex(y, at < 2 ? 0 : 1, sign);
    if (c <= 0.0 || c >= 1.0)
        return y[at];
    return sign * fmax(sign * y[at], sign * rise_inside(ripple, panel, c, p));
}

static double extreme(const struct ripple *ripple, const double *p, const double *rise, double sign)
{
    size_t at = 0;
    for (size_t j = 1; j < PANEL_NODES * ripple->n_panels; j++)
        if (sign * rise[j] > sign * rise[at])
            at = j;
    const size_t panel = at / PANEL_NODES, node = at % PANEL_NODES;
    double best = extreme_near(ripple, panel, p, rise, sign);
    if (node == PANEL_NODES - 1 && panel + 1 < ripple->n_panels)
        best = sign * fmax(sign * best, sign * extreme_near(ripple, panel + 1, p, rise, sign));
    if (node == 0 && panel > 0)
        best = sign * fmax(sign * best, sign * extreme_near(ripple, panel - 1, p, rise, sign));
    return best;
}

double ripple_highest(const struct ripple *ripple, const double *p, const double *rise)
{
    return extreme(ripple, p, rise, 1.0);
}

/* Without loss every term falls, so the lowest is in the loaded half, its first instant included. */
double ripple_lowest(const struct ripple *ripple, const double *p, const double *rise)
{
    return extreme(ripple, p, rise, -1.0);
}

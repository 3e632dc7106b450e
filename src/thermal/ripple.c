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

/* |z| up to which the series is used, and its terms: the first one left out is below 1e-17 there.
 */
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

/* Weights on the panel's losses of the state reached at the fraction c of the panel: integral of
 * the cubic times the term's own decay.  a = h/tau.  Returned: what is left of the state at the
 * start. */
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

double foster_sum(const double *r, size_t n)
{
    double sum = 0.0;
    for (size_t i = 0; i < n; i++)
        sum += r[i];
    return sum;
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
    ripple.inside = arena_doubles(arena, r->n);
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

/* Rise at the fraction c of a panel, exact for the panel's cubic of losses; ripple->inside holds
 * the state at its start. */
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
        sum += ripple->inside[i] * decay + ripple->r[i] * heated;
    }
    return sum;
}

/* 1: part of a bracket kept at each turn of the golden-section search. */
#define GOLDEN 0.61803398874989484820

/* The bracket shrinks to 0.3 % of a node distance; the slope is 0 at an extreme, so what is left of
 * the rise goes with the square of that. */
enum { GOLDEN_TURNS = 12 };

/* Extreme between two places of a panel, one hill or one valley. */
static double extreme_between(const struct ripple *ripple, size_t panel, const double *p,
                              double low, double high, double sign)
{
    double a = high - GOLDEN * (high - low), b = low + GOLDEN * (high - low);
    double at_a = sign * rise_inside(ripple, panel, a, p);
    double at_b = sign * rise_inside(ripple, panel, b, p);
    for (int turn = 0; turn < GOLDEN_TURNS; turn++) {
        if (at_a > at_b) {
            high = b;
            b = a;
            at_b = at_a;
            a = high - GOLDEN * (high - low);
            at_a = sign * rise_inside(ripple, panel, a, p);
        } else {
            low = a;
            a = b;
            at_a = at_b;
            b = low + GOLDEN * (high - low);
            at_b = sign * rise_inside(ripple, panel, b, p);
        }
    }
    return sign * fmax(at_a, at_b);
}

/* Extreme of one panel: its best node, and what lies between that node's neighbours. */
static double extreme_near(const struct ripple *ripple, size_t panel, const double *p,
                           const double *rise, double sign)
{
    const double *y = &rise[PANEL_NODES * panel];
    int at = 0;
    for (int k = 1; k < PANEL_NODES; k++)
        if (sign * y[k] > sign * y[at])
            at = k;
    for (size_t i = 0; i < ripple->n_terms; i++)
        ripple->inside[i] = march(ripple, i, panel, ripple->start[i], p);
    const double low = panel_place[at > 0 ? at - 1 : 0];
    const double high = panel_place[at < PANEL_NODES - 1 ? at + 1 : at];
    const double between = extreme_between(ripple, panel, p, low, high, sign);
    return sign * fmax(sign * y[at], sign * between);
}

/* True where neither neighbour of a node is beyond it: only there can an extreme be near. */
static bool turns_at(const struct ripple *ripple, const double *rise, size_t j, double sign)
{
    const size_t last = PANEL_NODES * ripple->n_panels - 1;
    return (j == 0 || sign * rise[j] >= sign * rise[j - 1]) &&
           (j == last || sign * rise[j] >= sign * rise[j + 1]);
}

/* A jump of the loss can raise a short second hill: every turn of the rise is looked at. */
static double extreme(const struct ripple *ripple, const double *p, const double *rise, double sign)
{
    double best = rise[0];
    for (size_t j = 0; j < PANEL_NODES * ripple->n_panels; j++)
        if (turns_at(ripple, rise, j, sign))
            best = sign *
                   fmax(sign * best, sign * extreme_near(ripple, j / PANEL_NODES, p, rise, sign));
    return best;
}

double ripple_highest(const struct ripple *ripple, const double *p, const double *rise)
{
    return extreme(ripple, p, rise, 1.0);
}

/* Without loss every term falls, so the lowest is in the loaded half, its first instant included.
 */
double ripple_lowest(const struct ripple *ripple, const double *p, const double *rise)
{
    return extreme(ripple, p, rise, -1.0);
}

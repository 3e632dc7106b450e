/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "thermal/ripple.h"

#include "base/maths.h"

#include <math.h>

enum { NODES = 3 };

/* ------------------------------------------- one term over one stretch */

/* phi1, phi2, phi3 of z = -a, a >= 0: phi1 = (exp z - 1)/z, phi(k+1) = (phi k - 1/k!)/z.  Near 0 the
 * quotients cancel, so the last comes from its series and the others from it. */
struct phi {
    double one, two, three, exp;
};

/* |z| up to which the series is used, and its terms: the first one left out is below 1e-17 there. */
#define SERIES_LIMIT 1.0
enum { SERIES_TERMS = 16 };

static struct phi phi_of(double a)
{
    const double z = -a;
    struct phi phi;
    if (a > SERIES_LIMIT) {
        phi.exp = exp(z);
        phi.one = (phi.exp - 1.0) / z;
        phi.two = (phi.one - 1.0) / z;
        phi.three = (phi.two - 0.5) / z;
        return phi;
    }
    /* Horner form of sum z^k / (k + 3)! */
    double sum = 1.0;
    for (int k = SERIES_TERMS; k > 0; k--)
        sum = 1.0 + sum * z / (double)(k + 3);
    phi.three = sum / 6.0;
    phi.two = 0.5 + z * phi.three;
    phi.one = 1.0 + z * phi.two;
    phi.exp = 1.0 + z * phi.one;
    return phi;
}

/* Weights on (p0, p1, p2), the loss at the start, middle and end of a panel, of the state reached at
 * the fraction c of the panel: integral of the parabola times the term's own decay.  a = h/tau. */
static double weights_at(double a, double c, double w[NODES])
{
    const struct phi phi = phi_of(a * c);
    const double ac = a * c;
    const double j0 = ac * phi.one;               /* of 1 */
    const double j1 = ac * c * phi.two;           /* of v */
    const double j2 = ac * c * c * 2.0 * phi.three; /* of v^2 */
    w[0] = j0 - 3.0 * j1 + 2.0 * j2;
    w[1] = 4.0 * (j1 - j2);
    w[2] = 2.0 * j2 - j1;
    return phi.exp;
}

static struct panel_step step_build(double r, double tau, double h)
{
    struct panel_step step;
    step.decay_mid = weights_at(h / tau, 0.5, step.mid);
    step.decay_end = weights_at(h / tau, 1.0, step.end);
    for (size_t k = 0; k < NODES; k++) {
        step.mid[k] *= r;
        step.end[k] *= r;
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

/* State of one term at the start of conduction that repeats after a period. */
static double periodic_start(const struct ripple *ripple, size_t term, const double *p)
{
    double x = 0.0;
    for (size_t panel = 0; panel < ripple->n_panels; panel++) {
        const struct panel_step *s = &ripple->step[panel * ripple->n_terms + term];
        const double *q = &p[NODES * panel];
        x = x * s->decay_end + s->end[0] * q[0] + s->end[1] * q[1] + s->end[2] * q[2];
    }
    /* rest stands for the half period without loss; the loaded half decays by the same factor */
    return x * ripple->rest[term] / -expm1(-2.0 * ripple->half_period / ripple->tau[term]);
}

static void add_term(const struct ripple *ripple, size_t term, const double *p, double *rise)
{
    double x = ripple->start[term];
    for (size_t panel = 0; panel < ripple->n_panels; panel++) {
        const struct panel_step *s = &ripple->step[panel * ripple->n_terms + term];
        const double *q = &p[NODES * panel];
        double *y = &rise[NODES * panel];
        y[0] += x;
        y[1] += x * s->decay_mid + s->mid[0] * q[0] + s->mid[1] * q[1] + s->mid[2] * q[2];
        x = x * s->decay_end + s->end[0] * q[0] + s->end[1] * q[1] + s->end[2] * q[2];
        y[2] += x;
    }
}

void ripple_solve(struct ripple *ripple, const double *p, double *rise)
{
    for (size_t j = 0; j < NODES * ripple->n_panels; j++)
        rise[j] = 0.0;
    for (size_t i = 0; i < ripple->n_terms; i++) {
        ripple->start[i] = periodic_start(ripple, i, p);
        add_term(ripple, i, p, rise);
    }
}

/* ------------------------------------------------------------ extremes */

/* Rise at the fraction c of a panel, exact for the parabola of losses. */
static double rise_inside(const struct ripple *ripple, size_t panel, double c, const double *p)
{
    double sum = 0.0;
    for (size_t i = 0; i < ripple->n_terms; i++) {
        double x = ripple->start[i];
        for (size_t k = 0; k < panel; k++) {
            const struct panel_step *s = &ripple->step[k * ripple->n_terms + i];
            const double *q = &p[NODES * k];
            x = x * s->decay_end + s->end[0] * q[0] + s->end[1] * q[1] + s->end[2] * q[2];
        }
        double w[NODES];
        const double decay = weights_at(ripple->duration[panel] / ripple->tau[i], c, w);
        const double *q = &p[NODES * panel];
        sum += x * decay + ripple->r[i] * (w[0] * q[0] + w[1] * q[1] + w[2] * q[2]);
    }
    return sum;
}

/* The vertex of the parabola through a panel's three rises is within a few parts in a thousand of a
 * panel of the true extreme, where the slope is 0: evaluating exactly there leaves nothing. */
static double extreme_near(const struct ripple *ripple, size_t panel, const double *p,
                           const double *rise, double sign)
{
    const double *y = &rise[NODES * panel];
    const double best = sign * fmax(fmax(sign * y[0], sign * y[1]), sign * y[2]);
    const double bend = y[0] - 2.0 * y[1] + y[2];
    if (sign * bend >= 0.0)
        return best;
    const double c = 0.5 + 0.25 * (y[0] - y[2]) / bend;
    if (c <= 0.0 || c >= 1.0)
        return best;
    return sign * fmax(sign * best, sign * rise_inside(ripple, panel, c, p));
}

static double extreme(const struct ripple *ripple, const double *p, const double *rise, double sign)
{
    size_t at = 0;
    for (size_t j = 1; j < NODES * ripple->n_panels; j++)
        if (sign * rise[j] > sign * rise[at])
            at = j;
    const size_t panel = at / NODES;
    double best = extreme_near(ripple, panel, p, rise, sign);
    if (at % NODES == 2 && panel + 1 < ripple->n_panels)
        best = sign * fmax(sign * best, sign * extreme_near(ripple, panel + 1, p, rise, sign));
    if (at % NODES == 0 && panel > 0)
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

/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "thermal/cauer.h"

#include <math.h>

/* 1: terms with time constants nearer to each other than this are merged; with the mean tau, by r,
 * that moves the impedance by the square of it. */
#define SAME_TAU 1e-6

/* 1: rungs that are together less than this of the whole resistance are left out, and their
 * resistance given to the last one before: behind them the case itself begins.  Terms nearly alike
 * have such rungs, with capacities without bound. */
#define UNFELT 1e-10

/* 1: whole capacity times whole resistance, over the slowest time constant.  An even slab has 2.5,
 * printed terms of modules 3 to 20.  Terms nearly alike have a ladder that answers as they do at
 * the junction, but by capacities at the case that no part could hold. */
#define HOLDS_MOST 1e4

double foster_impedance(const double *r, const double *tau, size_t n, double s)
{
    double z = 0.0;
    for (size_t i = 0; i < n; i++)
        z += r[i] / (1.0 + s * tau[i]);
    return z;
}

double cauer_impedance(const struct cauer *ladder, double s)
{
    double z = 0.0;
    for (size_t k = ladder->n; k-- > 0;) {
        z += ladder->r[k];
        z /= 1.0 + s * ladder->c[k] * z;
    }
    return z;
}

/* ------------------------------------------------------------ the terms */

struct terms {
    size_t n;
    double r[CAUER_MOST], tau[CAUER_MOST];
};

static void term_insert(struct terms *terms, double r, double tau)
{
    size_t j = terms->n++;
    for (; j > 0 && terms->tau[j - 1] > tau; j--) {
        terms->r[j] = terms->r[j - 1];
        terms->tau[j] = terms->tau[j - 1];
    }
    terms->r[j] = r;
    terms->tau[j] = tau;
}

/* In the order of tau, each of them once. */
static struct terms terms_of(const double *r, const double *tau, size_t n)
{
    struct terms sorted = { 0 }, once = { 0 };
    for (size_t i = 0; i < n; i++)
        term_insert(&sorted, r[i], tau[i]);
    for (size_t i = 0; i < n; i++) {
        const size_t last = once.n - 1;
        if (once.n == 0 || sorted.tau[i] > once.tau[last] * (1.0 + SAME_TAU)) {
            once.r[once.n] = sorted.r[i];
            once.tau[once.n++] = sorted.tau[i];
            continue;
        }
        const double sum = once.r[last] + sorted.r[i];
        once.tau[last] = (once.r[last] * once.tau[last] + sorted.r[i] * sorted.tau[i]) / sum;
        once.r[last] = sum;
    }
    return once;
}

/* --------------------------------------------------------- the ladder */

/* Vectors that stand at right angles to each other, each of length 1. */
struct basis {
    size_t n; /* how many */
    double v[CAUER_MOST][CAUER_MOST];
};

static double dot(const double *a, const double *b, size_t n)
{
    double sum = 0.0;
    for (size_t i = 0; i < n; i++)
        sum += a[i] * b[i];
    return sum;
}

static double sum_of(const double *a, size_t n)
{
    double sum = 0.0;
    for (size_t i = 0; i < n; i++)
        sum += a[i];
    return sum;
}

/* Adds x to the basis: what is new in it, scaled to length 1.  Taken twice, for what rounding
 * leaves the first time.  Returned: the length of what was new. */
static double basis_add(struct basis *basis, const double *x, size_t dimension)
{
    double *v = basis->v[basis->n];
    for (size_t i = 0; i < dimension; i++)
        v[i] = x[i];
    for (int turn = 0; turn < 2; turn++)
        for (size_t k = 0; k < basis->n; k++) {
            const double part = dot(v, basis->v[k], dimension);
            for (size_t i = 0; i < dimension; i++)
                v[i] -= part * basis->v[k][i];
        }
    const double length = sqrt(dot(v, v, dimension));
    for (size_t i = 0; i < dimension; i++)
        v[i] /= length;
    basis->n++;
    return length;
}

static void times(const double *diagonal, const double *v, size_t n, double *out)
{
    for (size_t i = 0; i < n; i++)
        out[i] = diagonal[i] * v[i];
}

/* The terms' network is a diagonal of rates 1/tau that the power enters along b = 1/sqrt(c).  Seen
 * from b, the square roots of the rates make a matrix with two diagonals, and those are the ladder:
 * 1/sqrt(C_k R_k) and 1/sqrt(C_k+1 R_k).  Nothing is subtracted on the way to R and C, as it would
 * be in a division of polynomials. */
static void ladder_of(const struct terms *terms, struct cauer *out)
{
    const size_t n = terms->n;
    double root[CAUER_MOST] = { 0.0 }, b[CAUER_MOST] = { 0.0 }, next[CAUER_MOST] = { 0.0 };
    struct basis left = { 0 }, right = { 0 };
    for (size_t i = 0; i < n; i++) {
        root[i] = 1.0 / sqrt(terms->tau[i]);
        b[i] = sqrt(terms->r[i] / terms->tau[i]);
    }
    double rest = sum_of(terms->r, n); /* K/W  from here to the case */
    const double whole = rest;
    const double enters = basis_add(&left, b, n);
    out->n = n;
    out->c[0] = 1.0 / (enters * enters);
    for (size_t k = 0; k < n; k++) {
        times(root, left.v[k], n, next);
        const double down = basis_add(&right, next, n);
        out->r[k] = 1.0 / (out->c[k] * down * down);
        rest -= out->r[k];
        if (k + 1 == n)
            break;
        if (rest <= UNFELT * whole) {
            out->r[k] += rest;
            out->n = k + 1;
            break;
        }
        times(root, right.v[k], n, next);
        const double on = basis_add(&left, next, n);
        out->c[k + 1] = 1.0 / (out->r[k] * on * on);
    }
}

/* Both impedances where the terms bend, and well before and after; no difference hides there, for
 * all parts of either are above 0. */
static double deviation_of(const double *r, const double *tau, size_t n, const struct cauer *ladder)
{
    static const double around[] = { 0.0, 0.1, 1.0, 10.0 };
    double largest = 0.0;
    for (size_t i = 0; i < n; i++)
        for (size_t k = 0; k < sizeof around / sizeof around[0]; k++) {
            const double s = around[k] / tau[i];
            const double want = foster_impedance(r, tau, n, s);
            largest = fmax(largest, fabs(cauer_impedance(ladder, s) - want) / want);
        }
    return largest;
}

/* Whether it could be a part: all of it above 0, and no more heat held than that. */
static bool could_be(const struct cauer *ladder, const struct terms *terms)
{
    bool positive = true;
    for (size_t k = 0; k < ladder->n; k++)
        positive = positive && ladder->r[k] > 0.0 && ladder->c[k] > 0.0;
    const double holds = sum_of(ladder->c, ladder->n) * sum_of(ladder->r, ladder->n);
    return positive && holds <= HOLDS_MOST * terms->tau[terms->n - 1];
}

enum sm_status cauer_of_foster(const double *r, const double *tau, size_t n, struct cauer *out)
{
    const struct terms terms = terms_of(r, tau, n);
    struct cauer ladder = { 0 };
    ladder_of(&terms, &ladder);
    if (!could_be(&ladder, &terms))
        return SM_ERR_CONVERGE;
    ladder.deviation = deviation_of(r, tau, n, &ladder);
    if (!(ladder.deviation <= CAUER_EXACT))
        return SM_ERR_CONVERGE;
    *out = ladder;
    return SM_OK;
}

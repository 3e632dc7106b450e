/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "support/evaluator_words.h"

#include <math.h>

/* The interval that x lies in, the outermost ones beyond the ends. */
static size_t interval(const struct points *p, double x)
{
    size_t i = 0;
    while (i + 2 < p->n && x >= p->x[i + 1])
        i++;
    return i;
}

double word_cubic(const struct points *p, double x)
{
    const size_t last = p->n - 1;
    if (x <= p->x[0])
        return p->y[0] + p->s[0] * (x - p->x[0]);
    if (x >= p->x[last])
        return p->y[last] + p->s[last] * (x - p->x[last]);
    const size_t i = interval(p, x);
    const double d = p->x[i + 1] - p->x[i], t = (x - p->x[i]) / d, u = 1.0 - t;
    return p->y[i] * (1.0 + 2.0 * t) * u * u + d * p->s[i] * t * u * u +
           p->y[i + 1] * t * t * (3.0 - 2.0 * t) - d * p->s[i + 1] * t * t * u;
}

double word_line(const struct points *p, double x)
{
    if (p->n == 1)
        return p->y[0];
    const size_t i = interval(p, x);
    return p->y[i] + (p->y[i + 1] - p->y[i]) / (p->x[i + 1] - p->x[i]) * (x - p->x[i]);
}

double word_between(const struct points *p, double x)
{
    if (x <= p->x[0])
        return p->y[0];
    return x >= p->x[p->n - 1] ? p->y[p->n - 1] : word_line(p, x);
}

/* Nodes of the Gauss-Lobatto rule on 0 to 1, Abramowitz and Stegun, 25.4.32. */
static double place(int k)
{
    const double inner = 0.5 / sqrt(5.0);
    return k == 0 ? 0.0 : k == 1 ? 0.5 - inner : k == 2 ? 0.5 + inner : 1.0;
}

/* Lagrange's cubic: 1 at one node, 0 at the others. */
static double lagrange(int node, double v)
{
    double product = 1.0;
    for (int k = 0; k < 4; k++)
        if (k != node)
            product *= (v - place(k)) / (place(node) - place(k));
    return product;
}

/* Its coefficients, from its values at 0, 1, -1 and 2 (Newton's divided differences, expanded). */
static void coefficients(int node, double k[4])
{
    const double at0 = lagrange(node, 0.0), at1 = lagrange(node, 1.0);
    const double below = lagrange(node, -1.0), at2 = lagrange(node, 2.0);
    k[0] = at0;
    k[2] = 0.5 * (at1 + below) - at0;
    k[3] = (at2 - 2.0 * at1 + at0 - 2.0 * k[2]) / 6.0;
    k[1] = at1 - k[0] - k[2] - k[3];
}

/* Gauss-Legendre rule of five nodes on each of eight pieces (Abramowitz and Stegun, table 25.4):
 * for decays too weak for the recurrence below, where the integrand is nearly a polynomial. */
static double by_quadrature(int node, double c, double a)
{
    enum { PIECES = 8 };
    static const double x[5] = { 0.0, 0.538469310105683, -0.538469310105683, 0.906179845938664,
                                 -0.906179845938664 };
    static const double w[5] = { 0.568888888888889, 0.478628670499366, 0.478628670499366,
                                 0.236926885056189, 0.236926885056189 };
    double sum = 0.0;
    for (int piece = 0; piece < PIECES; piece++)
        for (int k = 0; k < 5; k++) {
            const double v = c * (piece + 0.5 + 0.5 * x[k]) / PIECES;
            sum += 0.5 * w[k] * c / PIECES * lagrange(node, v) * a * exp(-a * (c - v));
        }
    return sum;
}

/* Integration by parts: with I(q) the integral of v^q a exp(-a (c - v)) from 0 to c,
 * I(0) = 1 - exp(-a c) and I(q) = c^q - q I(q - 1) / a. */
double word_relax(int node, double c, double a)
{
    if (a * c < 2.0)
        return by_quadrature(node, c, a);
    double k[4], power = 1.0, integral = 1.0 - exp(-a * c);
    coefficients(node, k);
    double sum = k[0] * integral;
    for (int q = 1; q < 4; q++) {
        power *= c;
        integral = power - q * integral / a;
        sum += k[q] * integral;
    }
    return sum;
}

/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * One characteristic y(x) from a datasheet's points: Steffen's monotone cubic between the points,
 * straight lines beyond them.  Knows nothing of what x and y are.
 *
 * Equations: docs/method.md, eq. 3.2 to 3.4. */
#ifndef SM_DEVICE_CURVE_H
#define SM_DEVICE_CURVE_H

#include "base/arena.h"

#include <stddef.h>

/* y = c0 + d (c1 + d (c2 + d c3)), d = x - from. */
struct curve_piece {
    double from;
    double c[4];
};

struct curve {
    size_t n;                        /* points, >= 2 */
    const double *x;                 /* rising strictly */
    const struct curve_piece *piece; /* [n + 1]: before the first point, between, after the last */
};

/* Given: n >= 1 points, x rising strictly, all finite; copied into the arena.  from_origin: the
 * point (0, 0) is put in front unless x[0] is 0 (needs x[0] > 0 then).
 * Returned: the curve; after an allocation failed arena->failed is set and the curve is unusable.
 * Source: M. Steffen, Astron. Astrophys. 239 (1990) 443; slopes as the GNU Scientific Library
 * computes them; two points give the straight line. */
struct curve curve_build(struct arena *arena, const double *x, const double *y, size_t n,
                         bool from_origin);

/* The piece that x lies in.  Inline, as the value is: the losses ask for them at every node. */
static inline size_t curve_piece_of(const struct curve *curve, double x)
{
    size_t k = 0;
    while (k < curve->n && curve->x[k] <= x)
        k++;
    return k;
}

/* y at x, which lies in piece k. */
static inline double curve_piece_value(const struct curve *curve, size_t k, double x)
{
    const struct curve_piece *piece = &curve->piece[k];
    const double d = x - piece->from;
    return piece->c[0] + d * (piece->c[1] + d * (piece->c[2] + d * piece->c[3]));
}

/* y at x; beyond either end the straight line of the end's slope. */
double curve_at(const struct curve *curve, double x);

#endif

/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * One characteristic y(x) from a datasheet's points: Steffen's monotone cubic between the points,
 * straight lines beyond them.  Knows nothing of what x and y are. */
#ifndef SM_DEVICE_CURVE_H
#define SM_DEVICE_CURVE_H

#include "base/arena.h"

#include <stddef.h>

struct curve {
    size_t n;        /* >= 2 */
    const double *x; /* rising strictly */
    const double *y;
    const double *slope; /* dy/dx at the points; at both ends that of the first and last secant */
};

/* Given: n >= 1 points, x rising strictly, all finite; copied into the arena.  from_origin: the
 * point (0, 0) is put in front unless x[0] is 0 (needs x[0] > 0 then).
 * Returned: the curve; after an allocation failed arena->failed is set and the curve is unusable.
 * Source: M. Steffen, Astron. Astrophys. 239 (1990) 443; slopes as the GNU Scientific Library
 * computes them; two points give the straight line. */
struct curve curve_build(struct arena *arena, const double *x, const double *y, size_t n,
                         bool from_origin);

/* y at x; beyond either end the straight line of the end's slope. */
double curve_at(const struct curve *curve, double x);

#endif

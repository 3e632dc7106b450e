/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "device/curve.h"

#include <gsl/gsl_errno.h>
#include <gsl/gsl_interp.h>
#include <string.h>

static void straight_slopes(const double *x, const double *y, size_t n, double *slope)
{
    const double secant = (y[n - 1] - y[0]) / (x[n - 1] - x[0]);
    for (size_t i = 0; i < n; i++)
        slope[i] = secant;
}

/* The library gives the interpolant; its slopes at the points carry all of it, as the Hermite form
 * of a cubic shows, and that form needs no look-up object while the engine runs. */
static bool steffen_slopes(const double *x, const double *y, size_t n, double *slope)
{
    gsl_interp *interp = gsl_interp_alloc(gsl_interp_steffen, n);
    if (!interp)
        return false;
    bool ok = gsl_interp_init(interp, x, y, n) == GSL_SUCCESS;
    for (size_t i = 0; ok && i < n; i++)
        ok = gsl_interp_eval_deriv_e(interp, x, y, x[i], NULL, &slope[i]) == GSL_SUCCESS;
    gsl_interp_free(interp);
    return ok;
}

struct curve curve_build(struct arena *arena, const double *x, const double *y, size_t n,
                         bool from_origin)
{
    const size_t extra = from_origin && x[0] > 0.0 ? 1 : 0;
    const size_t total = n + extra;
    double *cx = arena_doubles(arena, total);
    double *cy = arena_doubles(arena, total);
    double *slope = arena_doubles(arena, total);
    if (!cx || !cy || !slope)
        return (struct curve){ .n = 0 };
    memcpy(cx + extra, x, n * sizeof *x);
    memcpy(cy + extra, y, n * sizeof *y);
    if (total == 2)
        straight_slopes(cx, cy, total, slope);
    else if (!steffen_slopes(cx, cy, total, slope))
        arena->failed = true;
    return (struct curve){ .n = total, .x = cx, .y = cy, .slope = slope };
}

/* Largest i with x[i] <= value, at most n - 2. */
static size_t interval_of(const struct curve *curve, double value)
{
    size_t i = 0;
    while (i + 2 < curve->n && curve->x[i + 1] <= value)
        i++;
    return i;
}

double curve_at(const struct curve *curve, double x)
{
    const size_t last = curve->n - 1;
    if (x <= curve->x[0])
        return curve->y[0] + curve->slope[0] * (x - curve->x[0]);
    if (x >= curve->x[last])
        return curve->y[last] + curve->slope[last] * (x - curve->x[last]);
    const size_t i = interval_of(curve, x);
    const double h = curve->x[i + 1] - curve->x[i];
    const double s = (x - curve->x[i]) / h;
    const double secant = (curve->y[i + 1] - curve->y[i]) / h;
    const double c2 = 3.0 * secant - 2.0 * curve->slope[i] - curve->slope[i + 1];
    const double c3 = curve->slope[i] + curve->slope[i + 1] - 2.0 * secant;
    return curve->y[i] + h * s * (curve->slope[i] + s * (c2 + s * c3));
}

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
 * of a cubic shows, and pieces made of them need no look-up object while the engine runs. */
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

/* The straight lines at both ends and the cubics between them, from values and slopes. */
static void pieces_build(const double *x, const double *y, const double *slope, size_t n,
                         struct curve_piece *piece)
{
    piece[0] = (struct curve_piece){ x[0], { y[0], slope[0], 0.0, 0.0 } };
    piece[n] = (struct curve_piece){ x[n - 1], { y[n - 1], slope[n - 1], 0.0, 0.0 } };
    for (size_t k = 1; k < n; k++) {
        const double h = x[k] - x[k - 1], secant = (y[k] - y[k - 1]) / h;
        const double c2 = (3.0 * secant - 2.0 * slope[k - 1] - slope[k]) / h;
        const double c3 = (slope[k - 1] + slope[k] - 2.0 * secant) / (h * h);
        piece[k] = (struct curve_piece){ x[k - 1], { y[k - 1], slope[k - 1], c2, c3 } };
    }
}

struct curve curve_build(struct arena *arena, const double *x, const double *y, size_t n,
                         bool from_origin)
{
    const size_t extra = from_origin && x[0] > 0.0 ? 1 : 0;
    const size_t total = n + extra;
    double *cx = arena_doubles(arena, total);
    double *cy = arena_doubles(arena, total);
    double *slope = arena_doubles(arena, total);
    struct curve_piece *piece = arena_bytes(arena, (total + 1) * sizeof *piece);
    if (!cx || !cy || !slope || !piece)
        return (struct curve){ .n = 0 };
    memcpy(cx + extra, x, n * sizeof *x);
    memcpy(cy + extra, y, n * sizeof *y);
    if (total == 2)
        straight_slopes(cx, cy, total, slope);
    else if (!steffen_slopes(cx, cy, total, slope))
        arena->failed = true;
    pieces_build(cx, cy, slope, total, piece);
    return (struct curve){ .n = total, .x = cx, .piece = piece };
}

double curve_at(const struct curve *curve, double x)
{
    return curve_piece_value(curve, curve_piece_of(curve, x), x);
}

/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "solve/heat_piece.h"

#include "base/maths.h"

#include <math.h>

/* K: nearer than this to a point the polynomial is that point's value. */
#define AT_A_POINT 1e-9

bool heat_at_sink(struct heat_source *source, double t_sink, double *heat)
{
    source->solves++;
    return electrothermal_heat(source->stage, t_sink, source->chips, heat);
}

/* Barycentric formula for Chebyshev points of the second kind: weights 1, -1, 1, ..., the ends
 * halved.  Source: J.-P. Berrut, L. N. Trefethen, Barycentric Lagrange Interpolation, SIAM Review
 * 46 (2004) 501-517, section 5. */
double heat_piece_at(const struct heat_piece *piece, double t_sink)
{
    double above = 0.0, below = 0.0, sign = 1.0;
    for (int k = 0; k < piece->n; k++, sign = -sign) {
        const double distance = t_sink - piece->t[k];
        if (fabs(distance) < AT_A_POINT)
            return piece->heat[k];
        const double w = (k == 0 || k == piece->n - 1 ? 0.5 : 1.0) * sign / distance;
        above += w * piece->heat[k];
        below += w;
    }
    return above / below;
}

/* The point of an n-point set, from `from` (k = 0) to `to` (k = n - 1). */
static double chebyshev_point(const struct heat_piece *piece, int k, int n)
{
    const double place = 0.5 * (1.0 - cos(PI * k / (n - 1)));
    return piece->from + (piece->to - piece->from) * place;
}

/* From n to 2 n - 1 points; *miss is how far the n-point polynomial was off at the new ones.
 * Returned: false when one of them ran away. */
static bool refine(struct heat_source *source, struct heat_piece *piece, double *miss, double *edge)
{
    struct heat_piece finer = { .from = piece->from, .to = piece->to, .n = 2 * piece->n - 1 };
    *miss = 0.0;
    for (int k = 0; k < finer.n; k++) {
        if (k % 2 == 0) {
            finer.t[k] = piece->t[k / 2];
            finer.heat[k] = piece->heat[k / 2];
            continue;
        }
        finer.t[k] = chebyshev_point(piece, k, finer.n);
        if (!heat_at_sink(source, finer.t[k], &finer.heat[k])) {
            *edge = finer.t[k];
            return false;
        }
        *miss = fmax(*miss, fabs(heat_piece_at(piece, finer.t[k]) - finer.heat[k]));
    }
    *piece = finer;
    return true;
}

enum heat_outcome heat_piece_build(struct heat_source *source, double heat_from,
                                   struct heat_piece *piece, double *edge)
{
    piece->n = 2;
    piece->t[0] = piece->from;
    piece->t[1] = *edge = piece->to;
    piece->heat[0] = heat_from;
    if (!heat_at_sink(source, piece->to, &piece->heat[1]))
        return HEAT_RUNAWAY;
    while (piece->n < HEAT_PIECE_POINTS) {
        double miss = 0.0;
        if (!refine(source, piece, &miss, edge))
            return HEAT_RUNAWAY;
        if (miss <= source->tolerance)
            return HEAT_SMOOTH;
    }
    return HEAT_ROUGH;
}

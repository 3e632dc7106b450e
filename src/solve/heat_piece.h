/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * All heat into the sink as a smooth curve over the sink's temperature.
 *
 * With the sink held, cases and chips settle at once and leave one number: the heat into the sink.
 * Each such number costs a whole electrothermal solution; over a stretch of sink temperatures the
 * heat is therefore taken from the polynomial through few of them, at Chebyshev points.  The points
 * are doubled until the polynomial before has foretold the new values. */
#ifndef SM_SOLVE_HEAT_PIECE_H
#define SM_SOLVE_HEAT_PIECE_H

#include "solve/electrothermal.h"

struct heat_source {
    const struct stage *stage;
    const struct operating_point *point;
    struct chip_state *chips; /* of electrothermal_prepare() for both */
    double tolerance;         /* W  how far the polynomial may be off */
    int solves;               /* 1  solutions so far */
};

enum { HEAT_PIECE_POINTS = 9 }; /* at most; 3 are usual */

struct heat_piece {
    double from, to; /* K  in the order of the march: `to` is below `from` where the sink cools */
    int n;           /* points used */
    double t[HEAT_PIECE_POINTS];    /* K */
    double heat[HEAT_PIECE_POINTS]; /* W */
};

enum heat_outcome {
    HEAT_SMOOTH,
    HEAT_ROUGH,  /* a shorter stretch is needed */
    HEAT_RUNAWAY /* the chips have no equilibrium over a sink this hot */
};

/* Heat into the sink, W, with the sink held at t_sink; false when there is no equilibrium. */
bool heat_at_sink(struct heat_source *source, double t_sink, double *heat);

/* The stretch from piece->from to piece->to, whose heat at `from` is known.  *edge, K: the
 * temperature that ran away, where one did. */
enum heat_outcome heat_piece_build(struct heat_source *source, double heat_from,
                                   struct heat_piece *piece, double *edge);

/* W, at a temperature of the piece. */
double heat_piece_at(const struct heat_piece *piece, double t_sink);

#endif

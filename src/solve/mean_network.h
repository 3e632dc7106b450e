/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The drive's network in time, with losses that follow temperature: means over the output cycle,
 * one switch for all.  Within a step the losses stand at what they are at its middle, and the step
 * itself is exact.
 *
 * Equations: docs/method.md, eq. 17.10 to 17.11. */
#ifndef SM_SOLVE_MEAN_NETWORK_H
#define SM_SOLVE_MEAN_NETWORK_H

#include "solve/loss_line.h"
#include "swapmargin/network.h"
#include "thermal/heat_network.h"

struct mean_network {
    struct heat_network heat;
    double t_ambient;              /* K */
    double *power, *drive, *trial; /* for the step that is worked out */
    double *state;                 /* of the modes; 0: all at ambient */
};

/* All of it at ambient.  Errors: those of heat_network_build(). */
enum sm_status mean_network_open(struct arena *arena, const struct heat_network_plan *plan,
                                 struct mean_network *out);

/* To where it settles under the mean losses of a solved point. */
void mean_network_settle(struct mean_network *network, const struct sm_point *point);

/* n steps on.  Returned: false when a junction has got where the line knows no equilibrium. */
bool mean_network_march(struct mean_network *network, const struct network_step *step, size_t n,
                        const struct loss_line *line);

/* What stands now under the losses of this line. */
struct sm_stand mean_network_stand(struct mean_network *network, const struct loss_line *line);

#endif

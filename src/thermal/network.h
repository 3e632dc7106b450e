/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * A network of heat capacities and resistances, to the air in the end: settled, and in time.
 *
 * Each place has a temperature over the air, its rise.  A place with a heat capacity keeps it over
 * time; one without follows its neighbours at once and may have neighbours with capacity only.
 *
 *   C dT/dt = P - G T
 *
 * Its modes are found once (symmetric eigenproblem): in them every step of any width with constant
 * power is exact, one factor a mode.
 *
 *   struct network net = network_new(arena, n);
 *   network_store(), network_join(), network_ground() ...; network_find_modes(arena, &net);
 *   struct network_step step = network_step_of(arena, &net, width);
 *   loop: network_drive(&net, power, drive); network_advance(&net, &step, drive, state);
 *         network_rise(&net, state, power, rise);
 *
 * Equations: docs/method.md, eq. 17.4 to 17.7. */
#ifndef SM_THERMAL_NETWORK_H
#define SM_THERMAL_NETWORK_H

#include "base/arena.h"
#include "swapmargin/error.h"

#include <stddef.h>

struct network {
    size_t n;            /* places */
    double *capacity;    /* J/K  [n] */
    double *conductance; /* W/K  [n * n], symmetric; a row adds up to what leads to the air */
    /* of network_find_modes(): */
    size_t n_modes; /* as many as places with a capacity */
    double *rate;   /* 1/s  [n_modes], rising */
    /* [mode * n + place]: the rise of a place in a mode, and what a mode takes of power there */
    double *shape;
    double *direct; /* K/W  [n] that power at a place without capacity adds there at once */
};

/* A network of n places without anything.  On lack of memory arena->failed is set, here and in the
 * two other functions that take the arena. */
struct network network_new(struct arena *arena, size_t n);

/* Adds a capacity, J/K; a resistance between two places, or to the air, K/W, above 0. */
void network_store(struct network *net, size_t place, double capacity);
void network_join(struct network *net, size_t a, size_t b, double resistance);
void network_ground(struct network *net, size_t place, double resistance);

/* To be called once, when all is joined.  Errors: SM_ERR_DOMAIN (a place without a way to the air,
 * no capacity at all, or rates too far apart), SM_ERR_CONVERGE, SM_ERR_MEMORY. */
enum sm_status network_find_modes(struct arena *arena, struct network *net);

/* One width of step, s: prepared once, used often. */
struct network_step {
    double width; /* s */
    double *keep; /* 1  [n_modes] of a mode's state */
    double *gain; /* s  [n_modes] of what drives it */
};

struct network_step network_step_of(struct arena *arena, const struct network *net, double width);

/* What power, W [n], does to each mode, drive [n_modes]. */
void network_drive(const struct network *net, const double *power, double *drive);

/* state [n_modes], one step on while `drive` stands; or where it settles under that. */
void network_advance(const struct network *net, const struct network_step *step,
                     const double *drive, double *state);
void network_settle(const struct network *net, const double *drive, double *state);

/* K over the air, of every place, rise [n]; or of one. */
void network_rise(const struct network *net, const double *state, const double *power,
                  double *rise);
double network_rise_at(const struct network *net, const double *state, const double *power,
                       size_t place);

/* J: heat stored over that of a network at the air's temperature. */
double network_stored(const struct network *net, const double *rise);

#endif

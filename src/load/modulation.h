/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * How a modulation scheme shapes the reference of one inverter leg over an output cycle.  Angles in
 * rad, the phase fundamental is m cos(theta); voltages in units of half the bus.
 *
 * Equations: docs/method.md, eq. 2.11 to 2.16. */
#ifndef SM_LOAD_MODULATION_H
#define SM_LOAD_MODULATION_H

#include "swapmargin/case.h"

#include <stdbool.h>
#include <stddef.h>

/* Largest modulation index that the scheme reaches without over-modulation. */
double modulation_limit(enum sm_modulation scheme);

/* One smooth stretch of a leg's reference:
 * constant + m (cosine cos(theta) + sine sin(theta) + third cos(3 theta)). */
struct modulation_stretch {
    double constant, cosine, sine, third; /* 1 */
    size_t phase; /* whose fundamental is in it besides the leg's own: 0, 1 or 2 */
    bool held;    /* the leg does not switch */
};

/* The stretch that an angle lies strictly inside. */
struct modulation_stretch modulation_stretch_at(enum sm_modulation scheme, double inside);

/* Reference of the leg at theta, which the stretch contains or ends at; given its cosine and sine.
 */
double modulation_value(const struct modulation_stretch *stretch, double m, double cos_theta,
                        double sin_theta);

/* Angles where the reference bends or jumps: first + k * step for every whole k.
 * Returned: false for a scheme that is smooth everywhere. */
bool modulation_kinks(enum sm_modulation scheme, double *first, double *step);

#endif

/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * How a modulation scheme shapes the reference of one inverter leg over an output cycle.  Angles in
 * rad, the phase fundamental is m cos(theta); voltages in units of half the bus. */
#ifndef SM_LOAD_MODULATION_H
#define SM_LOAD_MODULATION_H

#include "swapmargin/case.h"

#include <stdbool.h>
#include <stddef.h>

/* Largest modulation index that the scheme reaches without over-modulation. */
double modulation_limit(enum sm_modulation scheme);

/* Reference of the leg at theta.  `inside` is an angle strictly inside the smooth stretch that
 * theta belongs to: it decides which side of a jump is meant when theta stands on it. */
double modulation_reference(enum sm_modulation scheme, double m, double theta, double inside);

/* True while the leg does not switch; `inside` as above. */
bool modulation_held(enum sm_modulation scheme, double inside);

/* Angles where the reference bends or jumps: first + k * step for every whole k.
 * Returned: false for a scheme that is smooth everywhere. */
bool modulation_kinks(enum sm_modulation scheme, double *first, double *step);

#endif

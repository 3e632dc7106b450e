/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Two metal faces pressed together: what heat finds where there is no compound, how thin a compound
 * is pressed, and the pressure that screws make.  For diagnosis: a module must not run on a bare
 * joint. */
#ifndef SM_THERMAL_CONTACT_H
#define SM_THERMAL_CONTACT_H

#include "swapmargin/case.h"

/* W/(m2.K): solid contact of the asperities, 1.25 k (m / roughness) (P / H)^0.95.
 * Given: pressure > 0 Pa.  Valid: nominally flat faces, plastic contact, P / H below 0.02.
 * Source: M. M. Yovanovich (1982) after Cooper, Mikic and Yovanovich, Int. J. Heat Mass Transfer 12
 * (1969) 279; coefficients from memory. */
double contact_conductance(const struct sm_surface *surface, double pressure);

/* W/(m2.K): air in the gap between the faces, k_air / (Y + M), with the distance of the mean planes
 * Y = 1.53 roughness (P / H)^-0.097 and the air's rarefaction length M.
 * Source: Yovanovich and others; values from memory. */
double gap_conductance(const struct sm_surface *surface, double pressure);

/* m: thickness that a filled compound is pressed to, 1.31e-4 (y / P)^0.166.
 * Given: yield stress y > 0 Pa of the compound, pressure > 0 Pa.  Valid for flat faces and
 * pressures of BOND_LINE_LEAST ... BOND_LINE_MOST; a bowed base or a coarse filler leaves more.
 * Source: R. Prasher and others, IMECE2002-32118; coefficients from memory. */
double bond_line(double yield_stress, double pressure);

#define BOND_LINE_LEAST 0.05e6 /* Pa  value from memory of the range of the measurements */
#define BOND_LINE_MOST 3.0e6   /* Pa */

/* N: what a screw pulls at a torque, torque / (0.2 diameter).  Given: both > 0.  The nut factor 0.2
 * of dry steel is common practice, no source; friction makes the real pull 30 % more or less. */
double screw_force(double torque, double diameter);

#endif

/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "thermal/contact.h"

#include "thermal/heat_path.h"

#include <math.h>

/* m: how much wider the gap seems to thin air, near room temperature and pressure (value from
 * memory). */
#define AIR_RAREFACTION 0.37e-6

#define NUT_FACTOR 0.2 /* 1 */

double contact_conductance(const struct sm_surface *surface, double pressure)
{
    return 1.25 * surface->conductivity * surface->slope / surface->roughness *
           pow(pressure / surface->hardness, 0.95);
}

double gap_conductance(const struct sm_surface *surface, double pressure)
{
    const double distance = 1.53 * surface->roughness * pow(pressure / surface->hardness, -0.097);
    return AIR_CONDUCTIVITY / (distance + AIR_RAREFACTION);
}

double bond_line(double yield_stress, double pressure)
{
    return 1.31e-4 * pow(yield_stress / pressure, 0.166);
}

double screw_force(double torque, double diameter)
{
    return torque / (NUT_FACTOR * diameter);
}

/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * From the case to the ambient: the joint, the sink, the altitude.  Knows nothing of electricity.
 *
 * Equations: docs/method.md, eq. 5.1 to 5.8, eq. 6.1 to 6.4. */
#ifndef SM_THERMAL_HEAT_PATH_H
#define SM_THERMAL_HEAT_PATH_H

#include "swapmargin/case.h"
#include "swapmargin/result.h"

/* W/(m.K): still air near room temperature to 60 degC (handbook value, rounded). */
#define AIR_CONDUCTIVITY 0.026

/* International Standard Atmosphere, ISO 2533, troposphere. */
#define ISA_T0 288.15        /* K      at sea level */
#define ISA_RHO0 1.225       /* kg/m3  at sea level */
#define ISA_LAPSE 0.0065     /* K/m */
#define ISA_EXPONENT 4.25588 /* 1     g M / (R L) - 1 = 5.25588 - 1 */

/* 1: how convection follows the air's density (common practice: turbulent forced flow goes with the
 * 0.8th power of the mass flow; laminar natural convection with the square root of the density). */
#define DENSITY_EXPONENT_FORCED 0.8
#define DENSITY_EXPONENT_NATURAL 0.5

/* W/(m2.K): conductance per area of a compound layer, the uncovered share filled with still air.
 * Given: thickness > 0 m, conductivity > 0 W/(m.K), 0 < coverage <= 1. */
double layer_conductance(double thickness, double conductivity, double coverage);

/* The joint of this module on this drive's heatsink, as applied.  Given: a case that
 * sm_case_assemble() accepted.  layer_used is false when R_th(c-s) has no reference behind it. */
struct sm_joint_result joint_of(const struct sm_joint *joint, const struct sm_module *module);

/* kg/m3: density of the International Standard Atmosphere at h m, 0 ... 11,000 m. */
double standard_air_density(double h);

/* K/W: sink to ambient at the site's altitude. */
double sink_resistance(const struct sm_cooling *cooling);

/* The whole way from case to ambient as the solver needs it. */
struct heat_path {
    double t_base;         /* K    ambient, or the sink when it is held */
    double rth_sa;         /* K/W  0 when the sink is held */
    double other_heat;     /* W    on the sink */
    double same_case_heat; /* W    per module */
    int modules;           /* 1    in the drive */
    int switches;          /* 1    in one module */
    enum sm_joint_form form;
    double rth_module;                /* K/W */
    double rth_switch[SM_CHIP_COUNT]; /* K/W */
};

/* W per module: chips, leads and what else heats the case.  power: W per switch. */
double module_heat(const struct heat_path *path, const double power[SM_CHIP_COUNT], double lead);

/* W into the sink, from all modules and the others on it. */
double sink_heat(const struct heat_path *path, double module_w);

#endif

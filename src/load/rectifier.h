/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The bus behind a line rectifier: a diode bridge on a stiff line, the bus capacitor, and an
 * inverter that draws constant power.  What a meter on the bus reads, sound and with a phase lost.
 *
 * Neither the line's nor a choke's inductance is in it: both make the real ripple smaller. */
#ifndef SM_LOAD_RECTIFIER_H
#define SM_LOAD_RECTIFIER_H

#include <stdbool.h>

/* Pulses a line cycle: a three-phase bridge; any bridge that is left with one line voltage. */
enum rectifier_pulses { PULSES_ONE_LINE_VOLTAGE = 2, PULSES_THREE_PHASE = 6 };

struct rectifier {
    double line_voltage;   /* V   rms, line to line, > 0 */
    double line_frequency; /* Hz  > 0 */
    enum rectifier_pulses pulses;
    double capacitance; /* F   >= 0 */
    double power;       /* W   drawn from the bus, >= 0 */
};

struct bus_shape {
    bool collapses; /* the capacitor is empty before the next pulse: the rest is 0 */
    double v_mean;  /* V */
    double v_max;   /* V   the line's peak */
    double v_min;   /* V */
    double ripple;  /* V   peak to peak */
};

/* The periodic bus voltage, in closed form but for the instant at which the bridge takes over again
 * (bisected to the last digit).  With no capacitor the bus is the envelope of the line voltages:
 * peak to peak 14.03 % of the mean for six pulses (M. H. Rashid, Power Electronics, value from
 * memory). */
struct bus_shape rectifier_bus(const struct rectifier *rectifier);

#endif

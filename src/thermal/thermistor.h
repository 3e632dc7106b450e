/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * A thermistor's resistance as a temperature.
 *
 * Equations: docs/method.md, eq. 18.14. */
#ifndef SM_THERMAL_THERMISTOR_H
#define SM_THERMAL_THERMISTOR_H

#include "swapmargin/case.h"

/* K: where r25 is told, 25 degC. */
#define THERMISTOR_T25 298.15

/* r25 and one of the B values are there. */
bool thermistor_is_known(const struct sm_thermistor *thermistor);

/* K, from ohm > 0.  Given: a known thermistor.  Returned: false when there is no such temperature
 * from -60 to 300 degC, what a module can have. */
bool thermistor_temperature(const struct sm_thermistor *thermistor, double ohm, double *t);

/* ohm, at t > 0 K.  Given: a known thermistor. */
double thermistor_resistance(const struct sm_thermistor *thermistor, double t);

#endif

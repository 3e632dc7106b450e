/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "thermal/thermistor.h"

#include <math.h>

/* K: -60 and 300 degC, as a case may read. */
#define COLDEST 213.15
#define HOTTEST 573.15

static const struct sm_optional *b_of(const struct sm_thermistor *thermistor)
{
    if (thermistor->b25_50.given)
        return &thermistor->b25_50;
    return thermistor->b25_80.given ? &thermistor->b25_80 : &thermistor->b25_100;
}

bool thermistor_is_known(const struct sm_thermistor *thermistor)
{
    return thermistor->r25.given && b_of(thermistor)->given;
}

bool thermistor_temperature(const struct sm_thermistor *thermistor, double ohm, double *t)
{
    const double inverse =
        1.0 / THERMISTOR_T25 + log(ohm / thermistor->r25.value) / b_of(thermistor)->value;
    if (!(inverse >= 1.0 / HOTTEST && inverse <= 1.0 / COLDEST))
        return false;
    *t = 1.0 / inverse;
    return true;
}

double thermistor_resistance(const struct sm_thermistor *thermistor, double t)
{
    return thermistor->r25.value * exp(b_of(thermistor)->value * (1.0 / t - 1.0 / THERMISTOR_T25));
}

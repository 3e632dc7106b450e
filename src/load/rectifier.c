/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "load/rectifier.h"

#include "base/maths.h"

#include <math.h>

/* Angles x in rad from a pulse's peak; voltages in parts of the line's peak, so that the pulse is
 * cos x.  drop = 2 P / (w C V^2): how much of the squared voltage the inverter takes per rad. */

enum { HALVINGS = 60 }; /* of a bracket of at most pi/2: below the last digit of a double */

/* The bridge lets go where its voltage falls faster than the capacitor's: sin 2x = drop. */
static double release_angle(double drop, double pulse_end)
{
    if (drop >= sin(2.0 * fmin(pulse_end, PI / 4.0)))
        return pulse_end;
    return 0.5 * asin(drop);
}

/* Squared voltage of the capacitor alone. */
static double squared_alone(double drop, double release, double x)
{
    return cos(release) * cos(release) - drop * (x - release);
}

/* Where the next pulse, with its peak at `next`, meets the sinking capacitor. */
static double take_over_angle(double drop, double release, double low, double next)
{
    double high = next;
    for (int i = 0; i < HALVINGS; i++) {
        const double x = 0.5 * (low + high);
        const double pulse = cos(x - next);
        if (squared_alone(drop, release, x) > pulse * pulse)
            low = x;
        else
            high = x;
    }
    return 0.5 * (low + high);
}

/* Mean of both stretches over a pulse: the bridge's cosine, the capacitor's square root. */
static double mean_of(double drop, double release, double taken, double next)
{
    const double bridge = sin(release) - sin(taken - next);
    const double alone =
        drop > 0.0 ? 2.0 / (3.0 * drop) * (pow(cos(release), 3.0) - pow(cos(taken - next), 3.0))
                   : taken - release;
    return (bridge + alone) / next;
}

struct bus_shape rectifier_bus(const struct rectifier *r)
{
    const double peak = SQRT2 * r->line_voltage;
    const double next = 2.0 * PI / (double)(int)r->pulses;
    const double pulse_end = 0.5 * next;
    const double storage = PI * r->line_frequency * r->capacitance * peak * peak;
    if (r->power <= 0.0 && storage > 0.0)
        return (struct bus_shape){ .v_mean = peak, .v_max = peak, .v_min = peak };
    const double drop = storage > 0.0 ? r->power / storage : HUGE_VAL;
    const double release = release_angle(drop, pulse_end);
    double taken = release;
    if (release < pulse_end) {
        /* two pulses only: the own pulse ends at 0 V, so the capacitor must outlive it */
        if (squared_alone(drop, release, pulse_end) <= 0.0)
            return (struct bus_shape){ .collapses = true };
        taken = take_over_angle(drop, release, pulse_end, next);
    } else if (storage > 0.0 && r->pulses == PULSES_ONE_LINE_VOLTAGE) {
        return (struct bus_shape){ .collapses = true };
    }
    const double v_min = peak * cos(taken - next);
    return (struct bus_shape){ .v_mean =
                                   peak * (release < pulse_end ? mean_of(drop, release, taken, next)
                                                               : sin(pulse_end) / pulse_end),
                               .v_max = peak,
                               .v_min = fmax(v_min, 0.0),
                               .ripple = peak - fmax(v_min, 0.0) };
}

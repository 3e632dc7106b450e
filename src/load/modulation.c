/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "load/modulation.h"

#include "base/maths.h"

#include <math.h>

/* 1: amplitude of the injected third harmonic, in parts of the fundamental; the value that lets the
 * fundamental reach 2/sqrt 3 (common practice; the maximum of cos x - cos 3x / 6 is sqrt 3 / 2). */
#define THIRD_HARMONIC_SHARE (1.0 / 6.0)

static const double phase_shift[3] = { 0.0, 2.0 * PI / 3.0, 4.0 * PI / 3.0 };

double modulation_limit(enum sm_modulation scheme)
{
    return scheme == SM_MOD_SINE ? 1.0 : 2.0 / SQRT3;
}

static double space_vector(double m, double theta)
{
    double high = -1.0, low = 1.0;
    for (size_t k = 0; k < 3; k++) {
        const double u = cos(theta - phase_shift[k]);
        high = fmax(high, u);
        low = fmin(low, u);
    }
    return m * (cos(theta) - 0.5 * (high + low));
}

/* The phase with the largest |u| at an angle, and the sign of its u. */
static size_t largest_phase(double theta, double *sign)
{
    size_t largest = 0;
    double most = -1.0;
    for (size_t k = 0; k < 3; k++) {
        const double u = cos(theta - phase_shift[k]);
        if (fabs(u) > most) {
            most = fabs(u);
            largest = k;
            *sign = u < 0.0 ? -1.0 : 1.0;
        }
    }
    return largest;
}

static double clamped(double m, double theta, double inside)
{
    double sign = 1.0;
    const size_t k = largest_phase(inside, &sign);
    return m * cos(theta) + sign - m * cos(theta - phase_shift[k]);
}

double modulation_reference(enum sm_modulation scheme, double m, double theta, double inside)
{
    switch (scheme) {
    case SM_MOD_THIRD_HARMONIC:
        return m * (cos(theta) - THIRD_HARMONIC_SHARE * cos(3.0 * theta));
    case SM_MOD_SPACE_VECTOR:
        return space_vector(m, theta);
    case SM_MOD_CLAMPED:
        return clamped(m, theta, inside);
    case SM_MOD_SINE:
        break;
    }
    return m * cos(theta);
}

bool modulation_held(enum sm_modulation scheme, double inside)
{
    double sign = 1.0;
    return scheme == SM_MOD_CLAMPED && largest_phase(inside, &sign) == 0;
}

bool modulation_kinks(enum sm_modulation scheme, double *first, double *step)
{
    if (scheme != SM_MOD_SPACE_VECTOR && scheme != SM_MOD_CLAMPED)
        return false;
    *first = scheme == SM_MOD_CLAMPED ? PI / 6.0 : 0.0;
    *step = PI / 3.0;
    return true;
}

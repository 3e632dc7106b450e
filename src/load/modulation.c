/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "load/modulation.h"

#include "base/maths.h"

#include <math.h>

/* 1: amplitude of the injected third harmonic, in parts of the fundamental; the value that lets the
 * fundamental reach 2/sqrt 3 (common practice; the maximum of cos x - cos 3x / 6 is sqrt 3 / 2). */
#define THIRD_HARMONIC_SHARE (1.0 / 6.0)

/* Cosine and sine of the three phases' shifts, 0, 120 and 240 degrees. */
static const double phase_cos[3] = { 1.0, -0.5, -0.5 };
static const double phase_sin[3] = { 0.0, 0.5 * SQRT3, -0.5 * SQRT3 };

double modulation_limit(enum sm_modulation scheme)
{
    return scheme == SM_MOD_SINE ? 1.0 : 2.0 / SQRT3;
}

/* The phase whose fundamental u is largest in size at an angle, or smallest; and the sign of u. */
static size_t phase_by_size(double theta, bool largest, double *sign)
{
    const double c = cos(theta), s = sin(theta);
    size_t phase = 0;
    double found = largest ? -1.0 : 2.0;
    for (size_t k = 0; k < 3; k++) {
        const double u = c * phase_cos[k] + s * phase_sin[k], size = fabs(u);
        if (largest ? size > found : size < found) {
            found = size;
            phase = k;
            *sign = u < 0.0 ? -1.0 : 1.0;
        }
    }
    return phase;
}

struct modulation_stretch modulation_stretch_at(enum sm_modulation scheme, double inside)
{
    struct modulation_stretch stretch = { .cosine = 1.0 };
    double sign = 1.0, share = 0.0; /* share: of one phase's fundamental that is added */
    switch (scheme) {
    case SM_MOD_THIRD_HARMONIC:
        stretch.third = -THIRD_HARMONIC_SHARE;
        break;
    case SM_MOD_SPACE_VECTOR:
        /* the three add up to 0: half of the largest plus the smallest is half of the middle one,
         * which is the smallest in size, with the other sign */
        stretch.phase = phase_by_size(inside, false, &sign);
        share = 0.5;
        break;
    case SM_MOD_CLAMPED:
        stretch.phase = phase_by_size(inside, true, &sign);
        share = -1.0;
        stretch.constant = sign;
        stretch.held = stretch.phase == 0;
        break;
    case SM_MOD_SINE:
        break;
    }
    stretch.cosine += share * phase_cos[stretch.phase];
    stretch.sine = share * phase_sin[stretch.phase];
    return stretch;
}

double modulation_value(const struct modulation_stretch *stretch, double m, double cos_theta,
                        double sin_theta)
{
    const double cos_3_theta = cos_theta * (4.0 * cos_theta * cos_theta - 3.0);
    return stretch->constant + m * (stretch->cosine * cos_theta + stretch->sine * sin_theta +
                                    stretch->third * cos_3_theta);
}

bool modulation_kinks(enum sm_modulation scheme, double *first, double *step)
{
    if (scheme != SM_MOD_SPACE_VECTOR && scheme != SM_MOD_CLAMPED)
        return false;
    *first = scheme == SM_MOD_CLAMPED ? PI / 6.0 : 0.0;
    *step = PI / 3.0;
    return true;
}

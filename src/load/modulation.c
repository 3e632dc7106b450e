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

/* The phase whose fundamental u is largest in size at an angle, or smallest; and the sign of u. */
static size_t phase_by_size(double theta, bool largest, double *sign)
{
    size_t phase = 0;
    double found = largest ? -1.0 : 2.0;
    for (size_t k = 0; k < 3; k++) {
        const double u = cos(theta - phase_shift[k]), size = fabs(u);
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
    struct modulation_stretch stretch = { .harmonic = 1.0 };
    double sign = 1.0;
    size_t phase = 0;
    switch (scheme) {
    case SM_MOD_THIRD_HARMONIC:
        stretch.share = -THIRD_HARMONIC_SHARE;
        stretch.harmonic = 3.0;
        break;
    case SM_MOD_SPACE_VECTOR:
        /* the three add up to 0: half of the largest plus the smallest is half of the middle one,
         * which is the smallest in size, with the other sign */
        phase = phase_by_size(inside, false, &sign);
        stretch.share = 0.5;
        break;
    case SM_MOD_CLAMPED:
        phase = phase_by_size(inside, true, &sign);
        stretch.constant = sign;
        stretch.share = -1.0;
        stretch.held = phase == 0;
        break;
    case SM_MOD_SINE:
        break;
    }
    stretch.shift = phase_shift[phase];
    return stretch;
}

double modulation_value(const struct modulation_stretch *stretch, double m, double theta)
{
    return stretch->constant +
           m * (cos(theta) + stretch->share * cos(stretch->harmonic * theta - stretch->shift));
}

bool modulation_kinks(enum sm_modulation scheme, double *first, double *step)
{
    if (scheme != SM_MOD_SPACE_VECTOR && scheme != SM_MOD_CLAMPED)
        return false;
    *first = scheme == SM_MOD_CLAMPED ? PI / 6.0 : 0.0;
    *step = PI / 3.0;
    return true;
}

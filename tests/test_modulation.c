/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "load/modulation.h"

#include "base/maths.h"
#include "support/near.h"

#include <criterion/criterion.h>

static const enum sm_modulation schemes[] = { SM_MOD_SINE, SM_MOD_THIRD_HARMONIC,
                                              SM_MOD_SPACE_VECTOR, SM_MOD_CLAMPED };
enum { N_SCHEMES = 4, GRID = 7200 };

/* Middles of a grid that never hits a kink exactly. */
static double grid_angle(int j)
{
    return 2.0 * PI * ((double)j + 0.5) / GRID;
}

/* The reference and whether the leg is held, at an angle that is no kink. */
static double reference_at(enum sm_modulation scheme, double m, double theta)
{
    const struct modulation_stretch stretch = modulation_stretch_at(scheme, theta);
    return modulation_value(&stretch, m, cos(theta), sin(theta));
}

static bool held_at(enum sm_modulation scheme, double theta)
{
    return modulation_stretch_at(scheme, theta).held;
}

/* Expected: theory of carrier modulation: a zero-sequence voltage cannot show between two phases,
 * so the fundamental of every scheme is m. */
Test(modulation, every_scheme_has_the_fundamental_m)
{
    const double m = 0.9;
    for (int s = 0; s < N_SCHEMES; s++) {
        double a = 0.0, b = 0.0;
        for (int j = 0; j < GRID; j++) {
            const double theta = grid_angle(j);
            const double u = reference_at(schemes[s], m, theta);
            a += u * cos(theta) * 2.0 / GRID;
            b += u * sin(theta) * 2.0 / GRID;
        }
        NEAR(a, m, 1e-6); /* midpoint sum over jumps and kinks, step 0.05 degree */
        NEAR(b, 0.0, 1e-6);
    }
}

Test(modulation, difference_of_two_legs_is_the_line_voltage_of_the_fundamentals)
{
    const double m = 1.1;
    for (int s = 0; s < N_SCHEMES; s++)
        for (int j = 0; j < GRID; j += 7) {
            const double a = grid_angle(j), b = a - 2.0 * PI / 3.0;
            const double line = reference_at(schemes[s], m, a) - reference_at(schemes[s], m, b);
            NEAR(line, m * (cos(a) - cos(b)), 1e-12);
        }
}

Test(modulation, stays_inside_the_bus_up_to_its_own_limit_and_is_half_wave_odd)
{
    for (int s = 0; s < N_SCHEMES; s++) {
        const double m = modulation_limit(schemes[s]);
        double most = 0.0;
        for (int j = 0; j < GRID; j++) {
            const double theta = grid_angle(j);
            const double u = reference_at(schemes[s], m, theta);
            most = fmax(most, fabs(u));
            NEAR(reference_at(schemes[s], m, theta + PI), -u, 1e-12);
        }
        cr_assert(most <= 1.0 + 1e-12 && most > 0.999, "scheme %d reaches %g", s, most);
    }
}

/* Expected: the definitions of the four schemes, from the three fundamentals. */
static double defined(enum sm_modulation scheme, const double u[3], double theta, double m)
{
    double high = u[0], low = u[0], largest = u[0];
    for (int k = 1; k < 3; k++) {
        high = fmax(high, u[k]);
        low = fmin(low, u[k]);
        largest = fabs(u[k]) > fabs(largest) ? u[k] : largest;
    }
    switch (scheme) {
    case SM_MOD_SINE:
        break;
    case SM_MOD_THIRD_HARMONIC:
        return u[0] - m / 6.0 * cos(3.0 * theta);
    case SM_MOD_SPACE_VECTOR:
        return u[0] - 0.5 * (high + low);
    case SM_MOD_CLAMPED:
        return u[0] + copysign(1.0, largest) - largest;
    }
    return u[0];
}

Test(modulation, every_scheme_equals_its_definition)
{
    const double m = 0.9;
    for (int s = 0; s < N_SCHEMES; s++)
        for (int j = 0; j < GRID; j++) {
            const double theta = grid_angle(j);
            double u[3];
            for (int k = 0; k < 3; k++)
                u[k] = m * cos(theta - 2.0 * PI * k / 3.0);
            NEAR(reference_at(schemes[s], m, theta), defined(schemes[s], u, theta, m), 1e-12);
        }
}

/* Expected: two spans of 60 degrees, centred on the phase's voltage peaks (definition). */
Test(modulation, clamped_leg_is_held_at_a_rail_for_a_third_of_the_cycle)
{
    int held = 0;
    for (int j = 0; j < GRID; j++) {
        const double theta = grid_angle(j);
        if (!held_at(SM_MOD_CLAMPED, theta))
            continue;
        held++;
        NEAR(fabs(reference_at(SM_MOD_CLAMPED, 0.7, theta)), 1.0, 1e-12);
        cr_assert(fabs(cos(theta)) > cos(PI / 6.0));
    }
    NEAR((double)held / GRID, 1.0 / 3.0, 1e-3);
    for (int s = 0; s < 3; s++)
        cr_assert_not(held_at(schemes[s], 0.1));
}

Test(modulation, kinks_stand_where_the_slope_of_the_reference_jumps)
{
    for (int s = 0; s < N_SCHEMES; s++) {
        double first = 0.0, step = 0.0;
        const bool kinks = modulation_kinks(schemes[s], &first, &step);
        for (int j = 1; j < 719; j++) { /* every half degree */
            const double theta = PI * j / 360.0, d = 1e-4;
            const double before = reference_at(schemes[s], 0.9, theta - d);
            const double at = reference_at(schemes[s], 0.9, theta - d / 2);
            const double after = reference_at(schemes[s], 0.9, theta + d);
            const double bend = fabs((after - at) / 1.5 - (at - before) / 0.5) / d;
            const double k = (theta - first) / (kinks ? step : 1.0);
            const bool told = kinks && fabs(k - round(k)) < 1e-9;
            /* smooth curvature gives below 1e-3 here, a kink or jump above 0.1 */
            cr_assert_eq(bend > 0.05, told, "scheme %d at %d half degrees: bend %g", s, j, bend);
        }
    }
}

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

/* Expected: theory of carrier modulation: a zero-sequence voltage cannot show between two phases,
 * so the fundamental of every scheme is m. */
Test(modulation, every_scheme_has_the_fundamental_m)
{
    const double m = 0.9;
    for (int s = 0; s < N_SCHEMES; s++) {
        double a = 0.0, b = 0.0;
        for (int j = 0; j < GRID; j++) {
            const double theta = grid_angle(j);
            const double u = modulation_reference(schemes[s], m, theta, theta);
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
            const double line = modulation_reference(schemes[s], m, a, a) -
                                modulation_reference(schemes[s], m, b, b);
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
            const double u = modulation_reference(schemes[s], m, theta, theta);
            most = fmax(most, fabs(u));
            NEAR(modulation_reference(schemes[s], m, theta + PI, theta + PI), -u, 1e-12);
        }
        cr_assert(most <= 1.0 + 1e-12 && most > 0.999, "scheme %d reaches %g", s, most);
    }
}

/* Expected: two spans of 60 degrees, centred on the phase's voltage peaks (definition). */
Test(modulation, clamped_leg_is_held_at_a_rail_for_a_third_of_the_cycle)
{
    int held = 0;
    for (int j = 0; j < GRID; j++) {
        const double theta = grid_angle(j);
        if (!modulation_held(SM_MOD_CLAMPED, theta))
            continue;
        held++;
        NEAR(fabs(modulation_reference(SM_MOD_CLAMPED, 0.7, theta, theta)), 1.0, 1e-12);
        cr_assert(fabs(cos(theta)) > cos(PI / 6.0));
    }
    NEAR((double)held / GRID, 1.0 / 3.0, 1e-3);
    for (int s = 0; s < 3; s++)
        cr_assert_not(modulation_held(schemes[s], 0.1));
}

Test(modulation, kinks_stand_where_the_slope_of_the_reference_jumps)
{
    for (int s = 0; s < N_SCHEMES; s++) {
        double first = 0.0, step = 0.0;
        const bool kinks = modulation_kinks(schemes[s], &first, &step);
        for (int j = 1; j < 719; j++) { /* every half degree */
            const double theta = PI * j / 360.0, d = 1e-4;
            const double before = modulation_reference(schemes[s], 0.9, theta - d, theta - d);
            const double at = modulation_reference(schemes[s], 0.9, theta - d / 2, theta - d / 2);
            const double after = modulation_reference(schemes[s], 0.9, theta + d, theta + d);
            const double bend = fabs((after - at) / 1.5 - (at - before) / 0.5) / d;
            const double k = (theta - first) / (kinks ? step : 1.0);
            const bool told = kinks && fabs(k - round(k)) < 1e-9;
            /* smooth curvature gives below 1e-3 here, a kink or jump above 0.1 */
            cr_assert_eq(bend > 0.05, told, "scheme %d at %d half degrees: bend %g", s, j, bend);
        }
    }
}

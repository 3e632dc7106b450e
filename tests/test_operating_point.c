/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "load/operating_point.h"

#include "base/maths.h"
#include "support/fixture.h"
#include "support/near.h"

#include <criterion/criterion.h>

/* Expected: bus voltages printed in drive manuals, 1.35 times the line under load (400 V: 540 V;
 * 480 V: 648 V; 440 V: 594 V), and 1.414 times with a single-phase line on a capacitor (230 V: 325
 * V; 480 V: 679 V at no load).  Tolerance: the manuals round to whole volts. */
Test(operating_point, bus_voltage_agrees_with_printed_drive_manuals)
{
    struct fixture f;
    fixture_make(&f);
    f.drive.rating.dc_bus_voltage.given = false;
    const double table[][3] = { { 400.0, 3, 540.0 },
                                { 480.0, 3, 648.0 },
                                { 440.0, 3, 594.0 },
                                { 230.0, 1, 325.0 },
                                { 480.0, 1, 679.0 } };
    for (size_t i = 0; i < sizeof table / sizeof table[0]; i++) {
        f.drive.rating.line_voltage = table[i][0];
        f.drive.rating.line_phases = (int)table[i][1];
        NEAR(drive_bus_voltage(&f.drive.rating), table[i][2], 0.5);
    }
}

Test(operating_point, modulation_index_is_the_phase_peak_over_half_the_bus)
{
    struct fixture f;
    fixture_make(&f);
    const struct operating_point p = operating_point_at(&f.drive, 30.0, 1.0);
    const double phase_peak = SQRT2 * 230.0 / SQRT3; /* half of 460 V at half of 60 Hz */
    NEAR(p.m, phase_peak / 324.0, 1e-12);
    NEAR(p.v_out, 230.0, 1e-9);
    NEAR(p.i_peak, SQRT2 * 77.0, 1e-12);
    NEAR(cos(p.phi), 0.85, 1e-12);
    cr_assert_not(p.fan_floor); /* constant torque has no current that it does not fall below */
}

Test(operating_point, voltage_is_limited_by_the_scheme_and_the_voltage_reached_is_told)
{
    struct fixture f;
    fixture_make(&f);
    f.drive.rating.modulation = SM_MOD_SINE;
    const struct operating_point p = operating_point_at(&f.drive, 90.0, 1.0);
    NEAR(p.v_requested, 460.0, 1e-9); /* above base frequency the voltage stays */
    NEAR(p.m, 1.0, 0.0);
    NEAR(p.v_out, 648.0 / 2.0 / SQRT2 * SQRT3, 1e-9);
}

Test(operating_point, fan_current_goes_with_the_square_of_speed_down_to_no_load_current)
{
    struct fixture f;
    fixture_make(&f);
    f.drive.load.torque = SM_TORQUE_FAN;
    f.drive.load.no_load_current = 15.0;
    NEAR(operating_point_at(&f.drive, 30.0, 1.0).i_drive, 77.0 / 4.0, 1e-12);
    NEAR(operating_point_at(&f.drive, 90.0, 1.0).i_drive, 77.0, 1e-12);
    const struct operating_point slow = operating_point_at(&f.drive, 10.0, 1.0);
    NEAR(slow.i_drive, 15.0, 1e-12);
    cr_assert(slow.fan_floor);
}

Test(operating_point, parallel_modules_share_the_current)
{
    struct fixture f;
    fixture_make(&f);
    f.drive.rating.parallel = 4;
    const struct operating_point p = operating_point_at(&f.drive, 60.0, 0.5);
    NEAR(p.i_drive, 38.5, 1e-12);
    NEAR(p.i_module, 38.5 / 4.0, 1e-12);
}

Test(operating_point, power_factor_is_linear_between_its_rows_and_constant_beyond)
{
    struct fixture f;
    fixture_make(&f);
    double values[3] = { 0.7, 0.8, -0.6 };
    struct sm_row rows[3] = { { 10.0, { &values[0], 1 }, 0 },
                              { 30.0, { &values[1], 1 }, 0 },
                              { 60.0, { &values[2], 1 }, 0 } };
    f.drive.load.power_factor = (struct sm_rows){ rows, 3 };
    NEAR(drive_power_factor(&f.drive.load, 1.0), 0.7, 1e-12);
    NEAR(drive_power_factor(&f.drive.load, 20.0), 0.75, 1e-12);
    NEAR(drive_power_factor(&f.drive.load, 30.0), 0.8, 1e-12);
    NEAR(drive_power_factor(&f.drive.load, 45.0), 0.1, 1e-12);
    NEAR(drive_power_factor(&f.drive.load, 400.0), -0.6, 1e-12);
    cr_assert(drive_regenerates(&f.drive));
    NEAR(operating_point_at(&f.drive, 60.0, 1.0).phi, acos(-0.6), 1e-12);
}

/* Expected: rule of the highest continuous bus, worked by hand for a 480 V line: sqrt2 * 1.1 * 480.
 */
Test(operating_point, highest_bus_is_the_high_line_or_the_trip_while_braking)
{
    struct fixture f;
    fixture_make(&f);
    NEAR(drive_highest_bus(&f.drive), 746.70, 0.01);
    f.drive.rating.overvoltage_trip = (struct sm_optional){ true, 820.0 };
    f.power_factor[0] = -0.8;
    NEAR(drive_highest_bus(&f.drive), 746.70,
         0.01); /* the bus is given: it is known while braking */
    f.drive.rating.dc_bus_voltage.given = false;
    NEAR(drive_highest_bus(&f.drive), 820.0, 1e-9);
}

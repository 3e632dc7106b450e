/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "load/bus_reading.h"

#include "base/maths.h"
#include "load/rectifier.h"
#include "support/fixture.h"
#include "support/near.h"

#include <criterion/criterion.h>

/* 380 V, 77 A, power factor 0.86, three modules of 200 W each, 20 W of it not the inverter's. */
static const struct sm_point point = {
    .v_out = 380.0, .i_drive = 77.0, .power_factor = 0.86, .module_heat = 200.0
};

static void drive_make(struct fixture *f)
{
    fixture_make(f);
    f->drive.rating.line_phases = 3;
    f->drive.rating.line_frequency = 60.0;
    f->drive.rating.bus_capacitance = (struct sm_optional){ .given = true, .value = 2.7e-3 };
    f->drive.cooling.same_case_heat = 20.0;
}

/* sqrt3 V I cos phi for the motor, and N (P - same_case_heat) lost on the way. */
#define WATTS (SQRT3 * 380.0 * 77.0 * 0.86 + 3.0 * 180.0)

Test(bus_reading, power_is_the_motors_and_what_the_inverter_loses)
{
    struct fixture f;
    drive_make(&f);
    const struct bus_reading bus = bus_reading_of(&f.drive, &point, 3);
    cr_assert_eq(bus.power.untold, SM_TOLD);
    NEAR_REL(bus.power.value, WATTS, 1e-12);
}

/* The bridge itself is tested in test_rectifier.c; here, that it gets the right numbers. */
Test(bus_reading, ripple_is_the_bridges_sound_and_with_a_phase_lost)
{
    struct fixture f;
    drive_make(&f);
    struct rectifier bridge = { 480.0, 60.0, PULSES_THREE_PHASE, 2.7e-3, WATTS };
    const struct bus_reading bus = bus_reading_of(&f.drive, &point, 3);
    NEAR(bus.ripple.value, rectifier_bus(&bridge).ripple, 1e-9);
    bridge.pulses = PULSES_ONE_LINE_VOLTAGE;
    NEAR(bus.ripple_lost.value, rectifier_bus(&bridge).ripple, 1e-9);
    cr_expect_gt(bus.ripple_lost.value, 2.0 * bus.ripple.value);
}

/* Textbook: 14.03 % of the mean, which is 1.3505 V_LL (test_rectifier.c). */
Test(bus_reading, no_capacitor_leaves_the_textbooks_14_percent_at_most)
{
    struct fixture f;
    drive_make(&f);
    f.drive.rating.bus_capacitance.given = false;
    const struct bus_reading bus = bus_reading_of(&f.drive, &point, 3);
    cr_expect_eq(bus.ripple.untold, SM_UNTOLD_NO_BUS_CAPACITANCE);
    cr_expect_eq(bus.ripple_lost.untold, SM_UNTOLD_NO_BUS_CAPACITANCE);
    NEAR(bus.ripple_bound.value, 0.1403 * 1.350474 * 480.0, 0.05);
}

Test(bus_reading, a_load_that_feeds_the_bus_has_no_ripple_told)
{
    struct fixture f;
    drive_make(&f);
    struct sm_point braking = point;
    braking.power_factor = -0.86;
    const struct bus_reading bus = bus_reading_of(&f.drive, &braking, 3);
    cr_expect_eq(bus.power.untold, SM_UNTOLD_REGENERATES);
    cr_expect_eq(bus.ripple.untold, SM_UNTOLD_REGENERATES);
    cr_expect_eq(bus.ripple_lost.untold, SM_UNTOLD_REGENERATES);
}

Test(bus_reading, without_equilibrium_the_losses_are_not_known)
{
    struct fixture f;
    drive_make(&f);
    struct sm_point hot = point;
    hot.runaway = true;
    cr_expect_eq(bus_reading_of(&f.drive, &hot, 3).ripple.untold, SM_UNTOLD_RUNAWAY);
}

/* One line voltage on four diodes, whether the line has one phase or lost one. */
Test(bus_reading, a_single_phase_line_has_no_phase_to_lose)
{
    struct fixture f;
    drive_make(&f);
    const double lost = bus_reading_of(&f.drive, &point, 3).ripple_lost.value;
    f.drive.rating.line_phases = 1;
    const struct bus_reading bus = bus_reading_of(&f.drive, &point, 3);
    NEAR(bus.ripple.value, lost, 1e-9);
    cr_expect_eq(bus.ripple_lost.untold, SM_UNTOLD_SINGLE_PHASE);
}

/* 1/2 C V^2 of 0.2 mF at 679 V is 46 J; between two pulses of a 60 Hz line 8.3 ms of 44 kW ask for
 * 366 J. */
Test(bus_reading, a_small_capacitor_collapses_with_a_phase_lost)
{
    struct fixture f;
    drive_make(&f);
    f.drive.rating.bus_capacitance.value = 0.2e-3;
    const struct bus_reading bus = bus_reading_of(&f.drive, &point, 3);
    cr_expect_eq(bus.ripple.untold, SM_TOLD);
    cr_expect_eq(bus.ripple_lost.untold, SM_UNTOLD_COLLAPSES);
}

/* SPDX-License-Identifier: GPL-3.0-or-later
 * Rating, trip, short circuit.  Each expected number is the rule worked by hand beside
 * it; the limits are common practice. */
#include "support/fit.h"
#include "support/near.h"

#include <criterion/criterion.h>

static struct fit_case t;

/* sqrt 2 * 77 A = 108.894 A. */
Test(checks_current, the_rated_peak_warns_above_the_nominal_current)
{
    fit_make(&t);
    NEAR(fit_row(&t, SM_CHECK_CURRENT_RATING)->value.value, 108.894, 1e-3);
    t.f.module.ic_nominal = 108.9;
    fit_is(&t, SM_CHECK_CURRENT_RATING, SM_CHECK_PASS, SM_NOTE_CURRENT_RATING_PASS);
    t.f.module.ic_nominal = 108.8;
    fit_is(&t, SM_CHECK_CURRENT_RATING, SM_CHECK_WARN, SM_NOTE_CURRENT_RATING_WARN);
    fit_release(&t);
}

/* The drive's rating is judged, not the load of one test. */
Test(checks_current, the_test_load_does_not_change_the_rating)
{
    fit_make(&t);
    t.f.drive.test.load = 0.5;
    NEAR(fit_row(&t, SM_CHECK_CURRENT_RATING)->value.value, 108.894, 1e-3);
    fit_release(&t);
}

/* Two in parallel, one of them with 10 % more than its half: 1.1 * 108.894 A / 2 = 59.892 A; trip
 * 1.1 * 190 A / 2 = 104.5 A. */
Test(checks_current, modules_in_parallel_share_unequally_by_10_percent)
{
    fit_make(&t);
    t.f.drive.rating.parallel = 2;
    NEAR(fit_row(&t, SM_CHECK_CURRENT_RATING)->value.value, 59.892, 1e-3);
    fit_has(&t, SM_CHECK_OVERCURRENT_TRIP, 104.5, 300.0);
    cr_expect_str_neq(fit_row(&t, SM_CHECK_CURRENT_RATING)->why.text, "");
    cr_expect_str_neq(fit_row(&t, SM_CHECK_OVERCURRENT_TRIP)->why.text, "");
    t.f.drive.rating.parallel = 1;
    cr_expect_str_eq(fit_row(&t, SM_CHECK_CURRENT_RATING)->why.text, "");
    fit_release(&t);
}

Test(checks_current, the_trip_fails_above_twice_the_nominal_current)
{
    fit_make(&t);
    t.f.drive.rating.overcurrent_trip.value = 300.0; /* 2 * 150 A */
    fit_is(&t, SM_CHECK_OVERCURRENT_TRIP, SM_CHECK_PASS, SM_NOTE_OVERCURRENT_TRIP_PASS);
    fit_has(&t, SM_CHECK_OVERCURRENT_TRIP, 300.0, 300.0);
    t.f.drive.rating.overcurrent_trip.value = 301.0;
    fit_is(&t, SM_CHECK_OVERCURRENT_TRIP, SM_CHECK_FAIL, SM_NOTE_OVERCURRENT_TRIP_FAIL);
    fit_wants(&t, SM_CHECK_OVERCURRENT_TRIP, &t.f.drive.rating.overcurrent_trip,
              "drive [drive] overcurrent_trip");
    fit_release(&t);
}

/* 300 % of 77 A peak at 326.683 A, above the 190 A trip and above 2 * 150 A. */
Test(checks_current, an_overload_above_the_trip_is_what_counts)
{
    fit_make(&t);
    t.f.drive.rating.overload_current.value = 3.0;
    fit_is(&t, SM_CHECK_OVERCURRENT_TRIP, SM_CHECK_FAIL, SM_NOTE_OVERCURRENT_TRIP_FAIL);
    NEAR(fit_row(&t, SM_CHECK_OVERCURRENT_TRIP)->value.value, 326.683, 1e-3);
    /* too much whatever the trip is */
    t.f.drive.rating.overcurrent_trip.given = false;
    fit_is(&t, SM_CHECK_OVERCURRENT_TRIP, SM_CHECK_FAIL, SM_NOTE_OVERCURRENT_TRIP_FAIL);
    fit_release(&t);
}

Test(checks_current, the_trip_alone_is_enough_where_no_overload_is_given)
{
    fit_make(&t);
    t.f.drive.rating.overload_current.given = false;
    t.f.drive.rating.overload_current.value = 0.0;
    fit_is(&t, SM_CHECK_OVERCURRENT_TRIP, SM_CHECK_PASS, SM_NOTE_OVERCURRENT_TRIP_PASS);
    fit_has(&t, SM_CHECK_OVERCURRENT_TRIP, 190.0, 300.0);
    fit_release(&t);
}

/* 5 us of blanking and 2 us of reaction. */
Test(checks_current, a_short_circuit_must_be_turned_off_within_the_withstand_time)
{
    fit_make(&t);
    t.f.module.short_circuit_time.value = 7e-6;
    fit_is(&t, SM_CHECK_SHORT_CIRCUIT, SM_CHECK_PASS, SM_NOTE_SHORT_CIRCUIT_PASS);
    fit_has(&t, SM_CHECK_SHORT_CIRCUIT, 7e-6, 7e-6);
    t.f.module.short_circuit_time.value = 6.9e-6;
    fit_is(&t, SM_CHECK_SHORT_CIRCUIT, SM_CHECK_FAIL, SM_NOTE_SHORT_CIRCUIT_TIME);
    t.f.drive.gate.driver_reaction = 1.9e-6;
    fit_is(&t, SM_CHECK_SHORT_CIRCUIT, SM_CHECK_PASS, SM_NOTE_SHORT_CIRCUIT_PASS);
    fit_release(&t);
}

/* The bus reaches 746.705 V. */
Test(checks_current, the_withstand_time_must_hold_at_the_highest_bus)
{
    fit_make(&t);
    t.f.module.short_circuit_bus.value = 746.8;
    fit_is(&t, SM_CHECK_SHORT_CIRCUIT, SM_CHECK_PASS, SM_NOTE_SHORT_CIRCUIT_PASS);
    t.f.module.short_circuit_bus.value = 746.6;
    fit_is(&t, SM_CHECK_SHORT_CIRCUIT, SM_CHECK_FAIL, SM_NOTE_SHORT_CIRCUIT_BUS);
    fit_release(&t);
}

Test(checks_current, a_higher_gate_voltage_than_the_withstand_time_holds_for_warns)
{
    fit_make(&t);
    t.f.drive.gate.vge_on.value = 15.5;
    fit_is(&t, SM_CHECK_SHORT_CIRCUIT, SM_CHECK_WARN, SM_NOTE_SHORT_CIRCUIT_GATE);
    fit_release(&t);
}

Test(checks_current, the_short_circuit_needs_time_bus_and_gate_voltage_of_both_sides)
{
    fit_make(&t);
    const enum sm_check_id id = SM_CHECK_SHORT_CIRCUIT;
    struct sm_module *module = &t.f.module;
    struct sm_drive_gate *gate = &t.f.drive.gate;
    fit_wants(&t, id, &gate->short_circuit_blanking, "drive [gate] short_circuit_blanking");
    fit_wants(&t, id, &gate->vge_on, "drive [gate] vge_on");
    fit_wants(&t, id, &module->short_circuit_time, "module [module] short_circuit_time");
    fit_wants(&t, id, &module->short_circuit_bus, "module [module] short_circuit_bus");
    fit_wants(&t, id, &module->short_circuit_vge, "module [module] short_circuit_vge");
    fit_release(&t);
}

Test(checks_current, a_short_circuit_that_is_certain_to_fail_fails_with_keys_missing)
{
    fit_make(&t);
    t.f.module.short_circuit_bus.given = t.f.drive.gate.vge_on.given = false;
    t.f.module.short_circuit_time.value = 5e-6;
    fit_is(&t, SM_CHECK_SHORT_CIRCUIT, SM_CHECK_FAIL, SM_NOTE_SHORT_CIRCUIT_TIME);
    fit_make(&t);
    t.f.module.short_circuit_time = (struct sm_optional){ .given = false };
    t.f.module.short_circuit_bus.value = 600.0;
    fit_is(&t, SM_CHECK_SHORT_CIRCUIT, SM_CHECK_FAIL, SM_NOTE_SHORT_CIRCUIT_BUS);
    cr_expect_not(fit_row(&t, SM_CHECK_SHORT_CIRCUIT)->value.given, "no time, no number");
    fit_release(&t);
}

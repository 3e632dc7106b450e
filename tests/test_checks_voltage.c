/* SPDX-License-Identifier: GPL-3.0-or-later
 * Bus, turn-off peak, isolation.  Where no source is named, the expected number is the rule worked
 * by hand beside it. */
#include "support/fit.h"
#include "support/near.h"

#include <criterion/criterion.h>

static struct fit_case t;

/* Practice of 480 V drives: a 1200 V part on a bus of 648 V, which is 54 % (value from memory). */
Test(checks_voltage, a_1200_v_part_on_648_v_is_used_to_54_percent)
{
    fit_make(&t);
    t.f.drive.rating.line_voltage = 400.0; /* sqrt 2 * 1.1 * 400 = 622 V: below the 648 V given */
    fit_is(&t, SM_CHECK_BUS_VOLTAGE, SM_CHECK_PASS, SM_NOTE_BUS_VOLTAGE_PASS);
    fit_has(&t, SM_CHECK_BUS_VOLTAGE, 648.0, 780.0);
    NEAR_REL(fit_row(&t, SM_CHECK_BUS_VOLTAGE)->why.value[1], 0.54, 1e-12);
    fit_release(&t);
}

/* sqrt 2 * 1.1 * 480 V = 746.705 V, no load on a line 10 % high. */
Test(checks_voltage, a_high_line_without_load_counts_where_it_is_more_than_the_loaded_bus)
{
    fit_make(&t);
    NEAR(fit_row(&t, SM_CHECK_BUS_VOLTAGE)->value.value, 746.705, 1e-3);
    fit_release(&t);
}

Test(checks_voltage, the_bus_warns_above_65_percent_and_fails_above_80)
{
    fit_make(&t);
    struct sm_optional *bus = &t.f.drive.rating.dc_bus_voltage;
    t.f.module.short_circuit_bus.value = 2000.0;
    bus->value = 780.0; /* 0.65 * 1200 V */
    fit_is(&t, SM_CHECK_BUS_VOLTAGE, SM_CHECK_PASS, SM_NOTE_BUS_VOLTAGE_PASS);
    bus->value = 780.1;
    fit_is(&t, SM_CHECK_BUS_VOLTAGE, SM_CHECK_WARN, SM_NOTE_BUS_VOLTAGE_WARN);
    fit_has(&t, SM_CHECK_BUS_VOLTAGE, 780.1, 780.0);
    bus->value = 960.0; /* 0.8 * 1200 V */
    fit_is(&t, SM_CHECK_BUS_VOLTAGE, SM_CHECK_WARN, SM_NOTE_BUS_VOLTAGE_WARN);
    bus->value = 960.1;
    fit_is(&t, SM_CHECK_BUS_VOLTAGE, SM_CHECK_FAIL, SM_NOTE_BUS_VOLTAGE_FAIL);
    fit_has(&t, SM_CHECK_BUS_VOLTAGE, 960.1, 960.0);
    fit_release(&t);
}

/* A braking load lifts the bus to the trip unless it was measured. */
Test(checks_voltage, a_braking_drives_bus_is_what_was_measured_else_its_trip_else_not_known)
{
    fit_make(&t);
    struct sm_rating *rating = &t.f.drive.rating;
    t.f.power_factor[0] = -0.8;
    NEAR(fit_row(&t, SM_CHECK_BUS_VOLTAGE)->value.value, 746.705, 1e-3);
    rating->dc_bus_voltage.given = false;
    fit_is(&t, SM_CHECK_BUS_VOLTAGE, SM_CHECK_WARN, SM_NOTE_BUS_VOLTAGE_WARN);
    fit_has(&t, SM_CHECK_BUS_VOLTAGE, 800.0, 780.0);
    fit_wants(&t, SM_CHECK_BUS_VOLTAGE, &rating->overvoltage_trip,
              "drive [drive] dc_bus_voltage or drive [drive] overvoltage_trip");
    fit_wants(&t, SM_CHECK_SHORT_CIRCUIT, &rating->overvoltage_trip,
              "drive [drive] dc_bus_voltage or drive [drive] overvoltage_trip");
    /* what is known is too much already: the rest cannot help */
    t.f.module.vces = 600.0;
    rating->overvoltage_trip.given = false;
    fit_is(&t, SM_CHECK_BUS_VOLTAGE, SM_CHECK_FAIL, SM_NOTE_BUS_VOLTAGE_FAIL);
    fit_release(&t);
}

/* Any one of the three is enough to know the bus: a motor that only drives, a bus that was
 * measured, a trip. */
Test(checks_voltage, a_bus_is_known_by_either_of_three_things)
{
    for (int known = 0; known < 8; known++) {
        fit_make(&t);
        t.f.power_factor[0] = known & 1 ? 0.8 : -0.8;
        t.f.drive.rating.dc_bus_voltage.given = (known & 2) != 0;
        t.f.drive.rating.overvoltage_trip.given = (known & 4) != 0;
        const bool checked = fit_row(&t, SM_CHECK_BUS_VOLTAGE)->result != SM_CHECK_NOT_CHECKED;
        cr_expect_eq(checked, known != 0, "%d", known);
        fit_release(&t);
    }
}

/* 40 nH at 5 kA/us make 200 V: ABB 5SYA 2039-06, eq. 1.  Here 15 nH in the module and 25 nH
 * outside; 500 A that fall within 150 ns are, at 1.5 times the mean slope, 5 kA/us. */
Test(checks_voltage, the_overshoot_is_inductance_times_slope)
{
    fit_make(&t);
    struct sm_rating *rating = &t.f.drive.rating;
    rating->overcurrent_trip.value = 500.0;
    rating->bus_inductance.value = 25e-9;
    t.f.module.stray_inductance.value = 15e-9;
    t.f.module.gate.t_f.value = 150e-9;
    fit_has(&t, SM_CHECK_TURN_OFF_PEAK, 800.0 + 200.0, 1080.0);
    NEAR_REL(fit_row(&t, SM_CHECK_TURN_OFF_PEAK)->why.value[2], 200.0, 1e-12);
    /* two in parallel: half the current in each module, all of it in the bus bars:
     * 5 kA/us * (15/2 + 25) nH = 162.5 V */
    rating->parallel = 2;
    fit_has(&t, SM_CHECK_TURN_OFF_PEAK, 962.5, 1080.0);
    fit_release(&t);
}

/* The overshoot above is 200 V. */
Test(checks_voltage, the_peak_warns_above_90_percent_and_fails_above_all_of_the_blocking_voltage)
{
    fit_make(&t);
    struct sm_rating *rating = &t.f.drive.rating;
    rating->overcurrent_trip.value = 500.0;
    rating->bus_inductance.value = 25e-9;
    t.f.module.stray_inductance.value = 15e-9;
    t.f.module.gate.t_f.value = 150e-9;
    rating->overvoltage_trip.value = 880.0; /* 1080 V = 0.9 * 1200 V */
    fit_is(&t, SM_CHECK_TURN_OFF_PEAK, SM_CHECK_PASS, SM_NOTE_TURN_OFF_PEAK_PASS);
    rating->overvoltage_trip.value = 881.0;
    fit_is(&t, SM_CHECK_TURN_OFF_PEAK, SM_CHECK_WARN, SM_NOTE_TURN_OFF_PEAK_WARN);
    fit_has(&t, SM_CHECK_TURN_OFF_PEAK, 1081.0, 1080.0);
    rating->overvoltage_trip.value = 1000.0;
    fit_is(&t, SM_CHECK_TURN_OFF_PEAK, SM_CHECK_WARN, SM_NOTE_TURN_OFF_PEAK_WARN);
    rating->overvoltage_trip.value = 1001.0;
    fit_is(&t, SM_CHECK_TURN_OFF_PEAK, SM_CHECK_FAIL, SM_NOTE_TURN_OFF_PEAK_FAIL);
    fit_has(&t, SM_CHECK_TURN_OFF_PEAK, 1201.0, 1200.0);
    fit_release(&t);
}

Test(checks_voltage, a_resistor_below_the_test_resistor_is_told_with_the_peak)
{
    fit_make(&t);
    struct sm_optional *test = &t.f.module.igbt_switching.test_rg_off;
    *test = (struct sm_optional){ .given = true, .value = 6.8 };
    cr_expect_str_eq(fit_row(&t, SM_CHECK_TURN_OFF_PEAK)->why.text, "");
    t.f.drive.gate.rg_off.value = 4.7;
    cr_expect_str_neq(fit_row(&t, SM_CHECK_TURN_OFF_PEAK)->why.text, "");
    fit_is(&t, SM_CHECK_TURN_OFF_PEAK, SM_CHECK_PASS, SM_NOTE_TURN_OFF_PEAK_PASS);
    fit_release(&t);
}

Test(checks_voltage, the_peak_needs_both_trips_both_inductances_and_the_fall_time)
{
    fit_make(&t);
    struct sm_rating *rating = &t.f.drive.rating;
    const enum sm_check_id id = SM_CHECK_TURN_OFF_PEAK;
    fit_wants(&t, id, &rating->overvoltage_trip, "drive [drive] overvoltage_trip");
    fit_wants(&t, id, &rating->overcurrent_trip, "drive [drive] overcurrent_trip");
    fit_wants(&t, id, &rating->bus_inductance, "drive [drive] bus_inductance");
    fit_wants(&t, id, &t.f.module.stray_inductance, "module [module] stray_inductance");
    fit_wants(&t, id, &t.f.module.gate.t_f, "module [gate] t_f");
    fit_release(&t);
}

/* 700 V blocking voltage: the trip alone, 800 V, is too much, whatever the rest adds. */
Test(checks_voltage, a_peak_that_is_certain_to_fail_fails_with_keys_missing)
{
    fit_make(&t);
    t.f.module.vces = 700.0;
    t.f.module.gate.t_f.given = false;
    fit_is(&t, SM_CHECK_TURN_OFF_PEAK, SM_CHECK_FAIL, SM_NOTE_TURN_OFF_PEAK_AT_LEAST);
    fit_has(&t, SM_CHECK_TURN_OFF_PEAK, 800.0, 700.0);
    /* no trip given: the bus itself, 746.7 V, is too much */
    t.f.drive.rating.overvoltage_trip.given = false;
    fit_is(&t, SM_CHECK_TURN_OFF_PEAK, SM_CHECK_FAIL, SM_NOTE_TURN_OFF_PEAK_AT_LEAST);
    fit_release(&t);
}

/* 600 V of system voltage: 1800 V rms for basic insulation, 300 V: 1500 V; IEC 61800-5-1:2007
 * (values from memory). */
Test(checks_voltage, the_isolation_test_is_1200_v_over_the_line)
{
    fit_make(&t);
    struct sm_optional *tested = &t.f.module.isolation_voltage;
    t.f.drive.rating.line_voltage = 600.0;
    tested->value = 1800.0;
    fit_is(&t, SM_CHECK_ISOLATION, SM_CHECK_PASS, SM_NOTE_ISOLATION_PASS);
    fit_has(&t, SM_CHECK_ISOLATION, 1800.0, 1800.0);
    tested->value = 1799.0;
    fit_is(&t, SM_CHECK_ISOLATION, SM_CHECK_FAIL, SM_NOTE_ISOLATION_FAIL);
    const struct sm_note *why = &fit_row(&t, SM_CHECK_ISOLATION)->why;
    NEAR(why->value[0], 1799.0, 0.0); /* tested, line, asked for: what the sentence says */
    NEAR(why->value[1], 600.0, 0.0);
    NEAR(why->value[2], 1800.0, 0.0);
    t.f.drive.rating.line_voltage = 300.0;
    fit_has(&t, SM_CHECK_ISOLATION, 1799.0, 1500.0);
    fit_wants(&t, SM_CHECK_ISOLATION, tested, "module [module] isolation_voltage");
    fit_release(&t);
}

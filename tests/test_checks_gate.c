/* SPDX-License-Identifier: GPL-3.0-or-later
 * Driver power and peak current, gate voltages, dead time. */
#include "support/fit.h"
#include "support/near.h"

#include <criterion/criterion.h>

static struct fit_case t;

/* 4.5 uC * 25 V * 10 kHz = 1.125 W: the form P = Q_G f dV_G of CONCEPT AN-1001, eq. 1, with +15 and
 * -10 V; the product worked by hand. */
static void gate_example(void)
{
    fit_make(&t);
    t.f.drive.rating.switching_frequency = 10e3;
    t.f.module.gate.gate_charge.value = 4.5e-6;
    t.f.module.gate.gate_charge_swing.value = 25.0;
}

Test(checks_gate, the_power_is_charge_times_swing_times_carrier)
{
    gate_example();
    fit_has(&t, SM_CHECK_GATE_POWER, 1.125, 1.5);
    /* the charge follows the swing: 5.4 uC over 30 V are 4.5 uC over 25 V */
    t.f.module.gate.gate_charge.value = 5.4e-6;
    t.f.module.gate.gate_charge_swing.value = 30.0;
    fit_has(&t, SM_CHECK_GATE_POWER, 1.125, 1.5);
    t.f.drive.rating.parallel = 3;
    fit_has(&t, SM_CHECK_GATE_POWER, 3.375, 1.5);
    fit_release(&t);
}

Test(checks_gate, more_power_than_the_driver_gives_fails)
{
    gate_example();
    t.f.drive.gate.driver_power.value = 1.125;
    fit_is(&t, SM_CHECK_GATE_POWER, SM_CHECK_PASS, SM_NOTE_GATE_POWER_PASS);
    t.f.drive.gate.driver_power.value = 1.12;
    fit_is(&t, SM_CHECK_GATE_POWER, SM_CHECK_FAIL, SM_NOTE_GATE_POWER_FAIL);
    fit_release(&t);
}

Test(checks_gate, the_power_needs_both_voltages_the_driver_and_the_charge_with_its_swing)
{
    gate_example();
    const enum sm_check_id id = SM_CHECK_GATE_POWER;
    fit_wants(&t, id, &t.f.drive.gate.vge_on, "drive [gate] vge_on");
    fit_wants(&t, id, &t.f.drive.gate.vge_off, "drive [gate] vge_off");
    fit_wants(&t, id, &t.f.drive.gate.driver_power, "drive [gate] driver_power");
    fit_wants(&t, id, &t.f.module.gate.gate_charge, "module [gate] gate_charge");
    fit_wants(&t, id, &t.f.module.gate.gate_charge_swing, "module [gate] gate_charge_swing");
    fit_release(&t);
}

/* 25 V / (2.2 + 0.8) ohm = 8.333 A: the form of CONCEPT AN-1001, eq. 5 (value from memory). */
static void peak_example(void)
{
    fit_make(&t);
    t.f.drive.gate.rg_on.value = 4.7;
    t.f.drive.gate.rg_off.value = 2.2;
    t.f.module.gate.internal_rg.value = 0.8;
    t.f.drive.gate.driver_peak_current.value = 10.0;
}

Test(checks_gate, the_peak_current_is_the_swing_over_the_smaller_resistor_and_the_inner_one)
{
    peak_example();
    fit_has(&t, SM_CHECK_GATE_PEAK_CURRENT, 25.0 / 3.0, 10.0);
    t.f.drive.gate.rg_on.value = 1.7; /* 25 V / 2.5 ohm */
    fit_has(&t, SM_CHECK_GATE_PEAK_CURRENT, 10.0, 10.0);
    fit_is(&t, SM_CHECK_GATE_PEAK_CURRENT, SM_CHECK_PASS, SM_NOTE_GATE_PEAK_CURRENT_PASS);
    t.f.drive.gate.driver_peak_current.value = 9.9;
    fit_is(&t, SM_CHECK_GATE_PEAK_CURRENT, SM_CHECK_WARN, SM_NOTE_GATE_PEAK_CURRENT_WARN);
    t.f.drive.rating.parallel = 2;
    fit_has(&t, SM_CHECK_GATE_PEAK_CURRENT, 20.0, 9.9);
    fit_release(&t);
}

Test(checks_gate, no_resistor_at_all_warns_and_has_no_number)
{
    peak_example();
    t.f.drive.gate.rg_off.value = 0.0;
    fit_has(&t, SM_CHECK_GATE_PEAK_CURRENT, 25.0 / 0.8, 10.0);
    t.f.module.gate.internal_rg.value = 0.0;
    fit_is(&t, SM_CHECK_GATE_PEAK_CURRENT, SM_CHECK_WARN, SM_NOTE_GATE_PEAK_CURRENT_OPEN);
    cr_expect_not(fit_row(&t, SM_CHECK_GATE_PEAK_CURRENT)->value.given);
    /* the least number that can be typed: its inverse is no number any more */
    t.f.module.gate.internal_rg.value = 5e-324;
    fit_is(&t, SM_CHECK_GATE_PEAK_CURRENT, SM_CHECK_WARN, SM_NOTE_GATE_PEAK_CURRENT_OPEN);
    fit_release(&t);
}

Test(checks_gate, the_peak_current_needs_all_resistors_both_voltages_and_the_driver)
{
    peak_example();
    const enum sm_check_id id = SM_CHECK_GATE_PEAK_CURRENT;
    struct sm_drive_gate *gate = &t.f.drive.gate;
    fit_wants(&t, id, &gate->rg_on, "drive [gate] rg_on");
    fit_wants(&t, id, &gate->rg_off, "drive [gate] rg_off");
    fit_wants(&t, id, &gate->vge_on, "drive [gate] vge_on");
    fit_wants(&t, id, &gate->vge_off, "drive [gate] vge_off");
    fit_wants(&t, id, &gate->driver_peak_current, "drive [gate] driver_peak_current");
    fit_wants(&t, id, &t.f.module.gate.internal_rg, "module [gate] internal_rg");
    fit_release(&t);
}

Test(checks_gate, a_voltage_beyond_the_gates_own_limit_fails_in_either_direction)
{
    fit_make(&t);
    t.f.module.gate.vge_max.value = 15.0;
    fit_is(&t, SM_CHECK_GATE_VOLTAGE, SM_CHECK_PASS, SM_NOTE_GATE_VOLTAGE_PASS);
    t.f.module.gate.vge_max.value = 14.9;
    fit_is(&t, SM_CHECK_GATE_VOLTAGE, SM_CHECK_FAIL, SM_NOTE_GATE_VOLTAGE_FAIL);
    fit_has(&t, SM_CHECK_GATE_VOLTAGE, 15.0, 14.9);
    t.f.module.gate.vge_max.value = 20.0;
    t.f.drive.gate.vge_off.value = -20.5;
    fit_is(&t, SM_CHECK_GATE_VOLTAGE, SM_CHECK_FAIL, SM_NOTE_GATE_VOLTAGE_FAIL);
    fit_has(&t, SM_CHECK_GATE_VOLTAGE, -20.5, -20.0);
    fit_release(&t);
}

/* 1 V: common practice. */
Test(checks_gate, a_turn_on_voltage_more_than_1_v_from_the_curves_warns)
{
    fit_make(&t);
    struct sm_optional *on = &t.f.drive.gate.vge_on;
    on->value = 16.0;
    fit_is(&t, SM_CHECK_GATE_VOLTAGE, SM_CHECK_PASS, SM_NOTE_GATE_VOLTAGE_PASS);
    on->value = 16.1;
    fit_is(&t, SM_CHECK_GATE_VOLTAGE, SM_CHECK_WARN, SM_NOTE_GATE_VOLTAGE_CURVES);
    fit_has(&t, SM_CHECK_GATE_VOLTAGE, 16.1, 16.0);
    on->value = 14.0;
    fit_is(&t, SM_CHECK_GATE_VOLTAGE, SM_CHECK_PASS, SM_NOTE_GATE_VOLTAGE_PASS);
    on->value = 13.9;
    fit_is(&t, SM_CHECK_GATE_VOLTAGE, SM_CHECK_WARN, SM_NOTE_GATE_VOLTAGE_CURVES);
    fit_has(&t, SM_CHECK_GATE_VOLTAGE, 13.9, 14.0);
    t.f.module.curve_gate_voltage = 14.5;
    fit_is(&t, SM_CHECK_GATE_VOLTAGE, SM_CHECK_PASS, SM_NOTE_GATE_VOLTAGE_PASS);
    fit_release(&t);
}

Test(checks_gate, turning_off_with_0_v_warns_also_beside_another_warning)
{
    fit_make(&t);
    t.f.drive.gate.vge_off.value = 0.0;
    fit_is(&t, SM_CHECK_GATE_VOLTAGE, SM_CHECK_WARN, SM_NOTE_GATE_VOLTAGE_OFF);
    t.f.drive.gate.vge_off.value = -1.0;
    fit_is(&t, SM_CHECK_GATE_VOLTAGE, SM_CHECK_PASS, SM_NOTE_GATE_VOLTAGE_PASS);
    t.f.drive.gate.vge_on.value = 12.0;
    cr_expect_str_eq(fit_row(&t, SM_CHECK_GATE_VOLTAGE)->why.text, "");
    t.f.drive.gate.vge_off.value = 0.0;
    fit_is(&t, SM_CHECK_GATE_VOLTAGE, SM_CHECK_WARN, SM_NOTE_GATE_VOLTAGE_CURVES);
    cr_expect_str_neq(fit_row(&t, SM_CHECK_GATE_VOLTAGE)->why.text, "");
    fit_release(&t);
}

Test(checks_gate, the_gate_voltage_needs_all_three_unless_one_is_beyond_the_limit)
{
    fit_make(&t);
    const enum sm_check_id id = SM_CHECK_GATE_VOLTAGE;
    fit_wants(&t, id, &t.f.drive.gate.vge_on, "drive [gate] vge_on");
    fit_wants(&t, id, &t.f.drive.gate.vge_off, "drive [gate] vge_off");
    fit_wants(&t, id, &t.f.module.gate.vge_max, "module [gate] vge_max");
    t.f.drive.gate.vge_off = (struct sm_optional){ .given = false };
    t.f.drive.gate.vge_on.value = 20.5;
    fit_is(&t, id, SM_CHECK_FAIL, SM_NOTE_GATE_VOLTAGE_FAIL);
    fit_release(&t);
}

/* 1.2 * ((1.0 - 0.1) + (0.12 - 0.05)) us = 1.164 us: the form of the makers' notes on dead time
 * (value from memory), the product worked by hand.  The 1.0 us of turn-off are here 0.8 us of delay
 * and 0.2 us of fall. */
static void dead_time_example(void)
{
    fit_make(&t);
    t.f.drive.gate.driver_delay_spread = 0.07e-6;
    t.f.module.gate.td_off_max.value = 0.8e-6;
    t.f.module.gate.t_f.value = 0.2e-6;
    t.f.module.gate.td_on_min.value = 0.1e-6;
}

Test(checks_gate, the_dead_time_covers_the_slowest_turn_off_and_the_fastest_turn_on)
{
    dead_time_example();
    struct sm_optional *dead = &t.f.drive.rating.dead_time;
    fit_has(&t, SM_CHECK_DEAD_TIME, 3e-6, 1.164e-6);
    dead->value = 1.164e-6;
    fit_is(&t, SM_CHECK_DEAD_TIME, SM_CHECK_PASS, SM_NOTE_DEAD_TIME_PASS);
    dead->value = 1.16e-6;
    fit_is(&t, SM_CHECK_DEAD_TIME, SM_CHECK_FAIL, SM_NOTE_DEAD_TIME_FAIL);
    fit_release(&t);
}

Test(checks_gate, typical_delays_warn_where_limits_would_pass_and_fail_where_they_would_fail)
{
    dead_time_example();
    struct sm_module_gate *gate = &t.f.module.gate;
    gate->td_off.value = 0.8e-6;
    gate->td_off_max.given = false;
    fit_is(&t, SM_CHECK_DEAD_TIME, SM_CHECK_WARN, SM_NOTE_DEAD_TIME_WARN);
    fit_has(&t, SM_CHECK_DEAD_TIME, 3e-6, 1.164e-6);
    gate->td_off_max.given = true;
    gate->td_on.value = 0.1e-6;
    gate->td_on_min.given = false;
    fit_is(&t, SM_CHECK_DEAD_TIME, SM_CHECK_WARN, SM_NOTE_DEAD_TIME_WARN);
    t.f.drive.rating.dead_time.value = 1.16e-6;
    fit_is(&t, SM_CHECK_DEAD_TIME, SM_CHECK_FAIL, SM_NOTE_DEAD_TIME_FAIL);
    fit_release(&t);
}

Test(checks_gate, the_dead_time_needs_itself_the_delays_and_the_fall_time)
{
    dead_time_example();
    const enum sm_check_id id = SM_CHECK_DEAD_TIME;
    struct sm_module_gate *gate = &t.f.module.gate;
    fit_wants(&t, id, &t.f.drive.rating.dead_time, "drive [drive] dead_time");
    fit_wants(&t, id, &gate->t_f, "module [gate] t_f");
    gate->td_off.given = gate->td_on.given = false;
    fit_is(&t, id, SM_CHECK_PASS, SM_NOTE_DEAD_TIME_PASS);
    fit_wants(&t, id, &gate->td_off_max, "module [gate] td_off_max or module [gate] td_off");
    fit_wants(&t, id, &gate->td_on_min, "module [gate] td_on_min or module [gate] td_on");
    fit_release(&t);
}

/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "load/rectifier.h"

#include "base/maths.h"
#include "support/near.h"
#include "support/run.h"

#include <criterion/criterion.h>
#include <stdio.h>
#include <stdlib.h>

static const struct rectifier usual = { .line_voltage = 480.0,
                                        .line_frequency = 60.0,
                                        .pulses = PULSES_THREE_PHASE,
                                        .capacitance = 2e-3,
                                        .power = 50e3 };

/* Textbook figures of an uncontrolled six-pulse bridge: mean 1.3505 V_LL, ripple 14.03 % of it (M.
 * H. Rashid, Power Electronics; value from memory, and derived: (1 - cos 30 deg) / (3 / pi)). */
Test(rectifier, without_a_capacitor_six_pulses_ripple_by_14_percent)
{
    struct rectifier r = usual;
    r.capacitance = 0.0;
    const struct bus_shape bus = rectifier_bus(&r);
    NEAR_REL(bus.v_mean, 1.350474 * 480.0, 1e-6);
    NEAR(bus.ripple / bus.v_mean, 0.1403, 5e-5);
}

/* The mean of a full-wave rectified sine is 2/pi of its peak (any handbook). */
Test(rectifier, without_a_capacitor_one_line_voltage_falls_to_zero)
{
    struct rectifier r = usual;
    r.capacitance = 0.0;
    r.pulses = PULSES_ONE_LINE_VOLTAGE;
    const struct bus_shape bus = rectifier_bus(&r);
    NEAR_REL(bus.v_mean, 2.0 / PI * SQRT2 * 480.0, 1e-12);
    NEAR(bus.v_min, 0.0, 1e-9);
}

/* A capacitor too small to be felt leaves the bridge conducting all the time. */
Test(rectifier, a_tiny_capacitor_changes_nothing_with_six_pulses)
{
    struct rectifier r = usual;
    r.capacitance = 1e-6;
    const struct bus_shape tiny = rectifier_bus(&r);
    r.capacitance = 0.0;
    const struct bus_shape none = rectifier_bus(&r);
    NEAR_REL(tiny.v_min, none.v_min, 1e-12);
    NEAR_REL(tiny.v_mean, none.v_mean, 1e-12);
}

/* With a large capacitor it carries the load for nearly the whole pulse distance T, and the usual
 * rule of thumb dV = P T / (C V) holds; the rest is of the order of dV/V, hence the tolerance. */
Test(rectifier, a_large_capacitor_follows_the_rule_of_thumb)
{
    struct rectifier r = usual;
    r.pulses = PULSES_ONE_LINE_VOLTAGE;
    r.capacitance = 1.0;
    r.power = 1e3;
    const double peak = SQRT2 * 480.0;
    NEAR_REL(rectifier_bus(&r).ripple, 1e3 / 120.0 / (1.0 * peak), 0.01);
}

/* What the capacitor gives up between release and take-over is what the load takes in that time:
 * both instants follow from the voltages there, v = V cos x on the line's pulse. */
static void expect_energy_balance(const struct rectifier *r)
{
    const struct bus_shape bus = rectifier_bus(r);
    const double w = 2.0 * PI * r->line_frequency;
    const double next = 2.0 * PI / r->pulses;
    const double drop = 2.0 * r->power / (w * r->capacitance * bus.v_max * bus.v_max);
    const double release = 0.5 * asin(drop);
    const double taken = next - acos(bus.v_min / bus.v_max);
    const double v_release = bus.v_max * cos(release);
    const double given = 0.5 * r->capacitance * (v_release * v_release - bus.v_min * bus.v_min);
    NEAR_REL(given, r->power * (taken - release) / w, 1e-9);
}

Test(rectifier, the_capacitor_gives_what_the_inverter_takes)
{
    struct rectifier r = usual;
    expect_energy_balance(&r);
    r.power = 5e3;
    expect_energy_balance(&r);
    r.pulses = PULSES_ONE_LINE_VOLTAGE;
    expect_energy_balance(&r);
}

Test(rectifier, no_power_leaves_the_bus_at_the_peak)
{
    struct rectifier r = usual;
    r.power = 0.0;
    const struct bus_shape bus = rectifier_bus(&r);
    NEAR(bus.ripple, 0.0, 0.0);
    NEAR_REL(bus.v_mean, SQRT2 * 480.0, 1e-12);
}

Test(rectifier, ripple_grows_with_power_and_falls_with_capacitance)
{
    struct rectifier r = usual;
    double last = -1.0;
    for (r.power = 1e3; r.power < 70e3; r.power += 1e3) {
        const double ripple = rectifier_bus(&r).ripple;
        cr_expect(ripple >= last);
        last = ripple;
    }
    r.power = 30e3;
    last = HUGE_VAL;
    for (r.capacitance = 1e-5; r.capacitance < 0.1; r.capacitance *= 1.3) {
        const double ripple = rectifier_bus(&r).ripple;
        cr_expect(ripple <= last);
        last = ripple;
    }
}

Test(rectifier, a_lost_phase_ripples_more_or_collapses)
{
    struct rectifier r = usual;
    for (r.power = 1e3; r.power < 200e3; r.power *= 1.5) {
        r.pulses = PULSES_THREE_PHASE;
        const struct bus_shape sound = rectifier_bus(&r);
        r.pulses = PULSES_ONE_LINE_VOLTAGE;
        const struct bus_shape lost = rectifier_bus(&r);
        cr_expect(!sound.collapses);
        cr_expect(lost.collapses || lost.ripple > sound.ripple);
    }
    cr_expect(rectifier_bus(&r).collapses, "200 kW on 2 mF with one line voltage");
}

/* A circuit simulator's bridge with the same capacitor and a constant-power load, marched in time.
 * Its diodes drop some millivolts and its steps are 2 us: 0.1 V of the voltages. */
static void expect_simulator(const struct rectifier *r)
{
    char line[256];
    struct run run;
    run_open(&run);
    (void)snprintf(line, sizeof line, "%s -B %s/reference/ngspice_bridge.py %g %g %d %g %g",
                   SM_PYTHON, SM_TESTS_DIR, r->line_voltage, r->line_frequency, (int)r->pulses,
                   r->capacitance, r->power);
    run_line(&run, line);
    cr_assert_eq(run.code, 0, "%s", run.err);
    char *end = NULL;
    const double v_mean = strtod(run.out, &end), v_min = strtod(end, &end);
    const double v_max = strtod(end, NULL);
    const struct bus_shape bus = rectifier_bus(r);
    NEAR(bus.v_mean, v_mean, 0.1);
    NEAR(bus.v_min, v_min, 0.1);
    NEAR(bus.v_max, v_max, 0.1);
    run_close(&run);
}

Test(rectifier, a_circuit_simulator_finds_the_same_bus, .timeout = 120)
{
    struct rectifier r = usual;
    expect_simulator(&r);
    r.pulses = PULSES_ONE_LINE_VOLTAGE;
    r.power = 20e3;
    expect_simulator(&r);
}

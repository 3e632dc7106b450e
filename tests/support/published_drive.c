/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "support/published_rows.h"

#include "load/modulation.h"
#include "load/operating_point.h"
#include "load/rectifier.h"
#include "support/fixture.h"
#include "swapmargin/engine.h"

#include <math.h>

#define POWERFLEX "PowerFlex 700 user manual, p. C-12"
#define MOOG "Moog DS2110 manual, p. 125 (factor 1.414)"
#define MOHAN "Mohan, Undeland, Robbins, Power Electronics, chapter on inverters"

/* V */
static double line_bus(double line_voltage, int phases)
{
    const struct sm_rating rating = { .line_voltage = line_voltage, .line_phases = phases };
    return drive_bus_voltage(&rating);
}

/* % */
static double six_pulse_ripple(void)
{
    const struct rectifier bridge = {
        .line_voltage = 480.0, .line_frequency = 60.0, .pulses = PULSES_THREE_PHASE, .power = 1000.0
    };
    const struct bus_shape bus = rectifier_bus(&bridge);
    return 100.0 * bus.ripple / bus.v_mean;
}

/* 1: line-to-line rms over the bus, asked for more than the scheme can. */
static double reached_over_bus(enum sm_modulation scheme)
{
    struct fixture f;
    fixture_make(&f);
    f.drive.rating.modulation = (int)scheme;
    f.drive.rating.output_voltage = 1000.0;
    const struct operating_point point = operating_point_at(&f.drive, 60.0, 1.0);
    return point.v_out / point.v_dc;
}

static struct sm_check check_of(const struct fixture *f, enum sm_check_id id)
{
    struct sm_result result;
    sm_result_init(&result);
    struct sm_check check = { .result = SM_CHECK_NOT_CHECKED,
                              .value = { .value = (double)NAN },
                              .limit = { .value = (double)NAN } };
    if (sm_run(&f->c, &result, NULL) == SM_OK)
        check = result.checks[id];
    sm_result_release(&result);
    return check;
}

static struct sm_optional given(double value)
{
    return (struct sm_optional){ .given = true, .value = value };
}

static double gate_power(double charge, double volts, double switching_hz)
{
    struct fixture f;
    fixture_make(&f);
    f.drive.rating.switching_frequency = switching_hz;
    f.drive.gate.vge_on = given(15.0);
    f.drive.gate.vge_off = given(15.0 - volts);
    f.drive.gate.driver_power = given(100.0);
    f.module.gate.gate_charge = given(charge);
    f.module.gate.gate_charge_swing = given(volts);
    return check_of(&f, SM_CHECK_GATE_POWER).value.value;
}

static double gate_current(double volts, double outside, double inside)
{
    struct fixture f;
    fixture_make(&f);
    f.drive.gate.vge_on = given(15.0);
    f.drive.gate.vge_off = given(15.0 - volts);
    f.drive.gate.rg_on = f.drive.gate.rg_off = given(outside);
    f.drive.gate.driver_peak_current = given(100.0);
    f.module.gate.internal_rg = given(inside);
    return check_of(&f, SM_CHECK_GATE_PEAK_CURRENT).value.value;
}

/* V: the slope is the steepest, 1.5 times the mean I/t_f: the library's own rule, undone here. */
static double turn_off_peak(double bus, double slope, double inductance)
{
    struct fixture f;
    fixture_make(&f);
    const double amps = 1000.0;
    f.module.vces = 1700.0;
    f.module.stray_inductance = given(0.5 * inductance);
    f.drive.rating.bus_inductance = given(0.5 * inductance);
    f.drive.rating.overvoltage_trip = given(bus);
    f.drive.rating.overcurrent_trip = given(amps);
    f.module.gate.t_f = given(1.5 * amps / slope);
    return check_of(&f, SM_CHECK_TURN_OFF_PEAK).value.value;
}

/* s: without a fall time, which the publication's formula does not have. */
static double dead_time_needed(double off_longest, double on_shortest, double spread)
{
    struct fixture f;
    fixture_make(&f);
    f.drive.rating.dead_time = given(10e-6);
    f.drive.gate.driver_delay_spread = spread;
    f.module.gate.td_off_max = given(off_longest);
    f.module.gate.td_on_min = given(on_shortest);
    f.module.gate.t_f = given(0.0);
    return check_of(&f, SM_CHECK_DEAD_TIME).limit.value;
}

/* V rms */
static double insulation_test(double line_voltage)
{
    struct fixture f;
    fixture_make(&f);
    f.drive.rating.line_voltage = line_voltage;
    f.module.isolation_voltage = given(4000.0);
    return check_of(&f, SM_CHECK_ISOLATION).limit.value;
}

size_t published_drive(struct published *rows)
{
    size_t n = 0;
#include "published/drive.def"
    return n;
}

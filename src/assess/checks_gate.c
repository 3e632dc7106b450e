/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The gate: what the driver must give, the voltages, the dead time. */
#include "assess/check_constants.h"
#include "assess/check_row.h"

#include "device/device.h"

#include <math.h>

/* ohm: less than this is no resistor (common practice: any wire has more). */
#define NO_RESISTOR 1e-6

/* V, of both voltages given. */
static double swing(const struct sm_drive_gate *gate)
{
    return gate->vge_on.value - gate->vge_off.value;
}

static void want_swing(const struct sm_drive_gate *gate, struct wanted *wanted)
{
    want_drive(wanted, SM_DRIVE_VGE_ON, gate->vge_on.given);
    want_drive(wanted, SM_DRIVE_VGE_OFF, gate->vge_off.given);
}

/* The charge follows the swing in proportion; all modules of a position hang on one driver. */
struct sm_check check_gate_power(const struct fit *fit)
{
    const struct sm_drive_gate *drive = &fit->drive->gate;
    const struct sm_module_gate *module = &fit->module->gate;
    struct wanted wanted = { .n = 0 };
    want_swing(drive, &wanted);
    want_drive(&wanted, SM_DRIVE_DRIVER_POWER, drive->driver_power.given);
    want_module(&wanted, SM_MODULE_GATE_CHARGE, module->gate_charge.given);
    want_module(&wanted, SM_MODULE_GATE_CHARGE_SWING, module->gate_charge_swing.given);
    if (wanted.n > 0)
        return check_missing(SM_CHECK_GATE_POWER, &wanted);

    const struct sm_rating *rating = &fit->drive->rating;
    const double volts = swing(drive);
    const double charge =
        rating->parallel * module->gate_charge.value * volts / module->gate_charge_swing.value;
    const double power = charge * volts * rating->switching_frequency;
    const double limit = drive->driver_power.value;
    struct sm_check check = exceeds(power, limit)
                                ? check_told(SM_CHECK_FAIL, SM_NOTE_GATE_POWER_FAIL, power, limit)
                                : check_told(SM_CHECK_PASS, SM_NOTE_GATE_POWER_PASS, power, limit);
    check.why.value[0] = power;
    check.why.value[1] = charge;
    check.why.value[2] = volts;
    check.why.value[3] = limit;
    return check;
}

struct sm_check check_gate_peak_current(const struct fit *fit)
{
    const struct sm_drive_gate *drive = &fit->drive->gate;
    const struct sm_optional *inside = &fit->module->gate.internal_rg;
    struct wanted wanted = { .n = 0 };
    want_drive(&wanted, SM_DRIVE_RG_ON, drive->rg_on.given);
    want_drive(&wanted, SM_DRIVE_RG_OFF, drive->rg_off.given);
    want_swing(drive, &wanted);
    want_drive(&wanted, SM_DRIVE_DRIVER_PEAK_CURRENT, drive->driver_peak_current.given);
    want_module(&wanted, SM_MODULE_INTERNAL_RG, inside->given);
    if (wanted.n > 0)
        return check_missing(SM_CHECK_GATE_PEAK_CURRENT, &wanted);

    const double volts = swing(drive);
    const double limit = drive->driver_peak_current.value;
    const double resistance = (fmin(drive->rg_on.value, drive->rg_off.value) + inside->value) /
                              fit->drive->rating.parallel;
    if (resistance < NO_RESISTOR)
        return (struct sm_check){ .result = SM_CHECK_WARN,
                                  .limit = { .given = true, .value = limit },
                                  .why = { .id = SM_NOTE_GATE_PEAK_CURRENT_OPEN,
                                           .value = { resistance } } };
    const double current = volts / resistance;
    struct sm_check check =
        exceeds(current, limit)
            ? check_told(SM_CHECK_WARN, SM_NOTE_GATE_PEAK_CURRENT_WARN, current, limit)
            : check_told(SM_CHECK_PASS, SM_NOTE_GATE_PEAK_CURRENT_PASS, current, limit);
    check.why.value[0] = current;
    check.why.value[1] = volts;
    check.why.value[2] = resistance;
    check.why.value[3] = limit;
    return check;
}

/* Whether one of the two voltages that are given lies beyond what the gate bears, and which. */
static bool beyond_gate(const struct fit *fit, double *voltage)
{
    const struct sm_optional *given[] = { &fit->drive->gate.vge_on, &fit->drive->gate.vge_off };
    const struct sm_optional *most = &fit->module->gate.vge_max;
    for (int i = 0; most->given && i < 2; i++)
        if (given[i]->given && exceeds(fabs(given[i]->value), most->value)) {
            *voltage = given[i]->value;
            return true;
        }
    return false;
}

static struct sm_check gate_beyond(double voltage, double most)
{
    struct sm_check check =
        check_told(SM_CHECK_FAIL, SM_NOTE_GATE_VOLTAGE_FAIL, voltage, voltage < 0.0 ? -most : most);
    check.why.value[0] = voltage;
    check.why.value[1] = most;
    return check;
}

static struct sm_check gate_off_curves(double on, double curve, bool off_at_zero)
{
    const double reach = on < curve ? -CURVE_VOLTAGE_REACH : CURVE_VOLTAGE_REACH;
    struct sm_check check =
        check_told(SM_CHECK_WARN, SM_NOTE_GATE_VOLTAGE_CURVES, on, curve + reach);
    check.why.value[0] = on;
    check.why.value[1] = curve;
    check.why.text = off_at_zero ? "; and it turns off with 0 V, so that a steep voltage may turn "
                                   "the part on again"
                                 : "";
    return check;
}

struct sm_check check_gate_voltage(const struct fit *fit)
{
    const struct sm_drive_gate *gate = &fit->drive->gate;
    const struct sm_optional *most = &fit->module->gate.vge_max;
    const double on = gate->vge_on.value, off = gate->vge_off.value;
    const double curve = fit->module->curve_gate_voltage;
    struct wanted wanted = { .n = 0 };
    want_swing(gate, &wanted);
    want_module(&wanted, SM_MODULE_VGE_MAX, most->given);

    double voltage = 0.0;
    if (beyond_gate(fit, &voltage))
        return gate_beyond(voltage, most->value);
    if (wanted.n > 0)
        return check_missing(SM_CHECK_GATE_VOLTAGE, &wanted);
    if (exceeds(fabs(on - curve), CURVE_VOLTAGE_REACH))
        return gate_off_curves(on, curve, !(off < 0.0));
    if (!(off < 0.0))
        return (struct sm_check){ .result = SM_CHECK_WARN,
                                  .value = { .given = true, .value = off },
                                  .why = { .id = SM_NOTE_GATE_VOLTAGE_OFF } };
    struct sm_check check = check_told(SM_CHECK_PASS, SM_NOTE_GATE_VOLTAGE_PASS, on, most->value);
    check.why.value[0] = on;
    check.why.value[1] = off;
    check.why.value[2] = most->value;
    check.why.value[3] = curve;
    return check;
}

/* The longest and the shortest delay where the data sheet has them, else the typical ones. */
struct sm_check check_dead_time(const struct fit *fit)
{
    const struct sm_module_gate *gate = &fit->module->gate;
    const struct sm_optional *dead = &fit->drive->rating.dead_time;
    const struct sm_optional *off = gate->td_off_max.given ? &gate->td_off_max : &gate->td_off;
    const struct sm_optional *on = gate->td_on_min.given ? &gate->td_on_min : &gate->td_on;
    const bool worst_case = gate->td_off_max.given && gate->td_on_min.given;
    struct wanted wanted = { .n = 0 };
    want_drive(&wanted, SM_DRIVE_DEAD_TIME, dead->given);
    want_module_either(&wanted, SM_MODULE_TD_OFF_MAX, SM_MODULE_TD_OFF, off->given);
    want_module_either(&wanted, SM_MODULE_TD_ON_MIN, SM_MODULE_TD_ON, on->given);
    want_module(&wanted, SM_MODULE_T_F, gate->t_f.given);
    if (wanted.n > 0)
        return check_missing(SM_CHECK_DEAD_TIME, &wanted);

    const double needed = DEAD_TIME_MARGIN * (off->value + gate->t_f.value - on->value +
                                              fit->drive->gate.driver_delay_spread);
    struct sm_check check =
        exceeds(needed, dead->value)
            ? check_told(SM_CHECK_FAIL, SM_NOTE_DEAD_TIME_FAIL, dead->value, needed)
        : worst_case ? check_told(SM_CHECK_PASS, SM_NOTE_DEAD_TIME_PASS, dead->value, needed)
                     : check_told(SM_CHECK_WARN, SM_NOTE_DEAD_TIME_WARN, dead->value, needed);
    check.why.value[0] = dead->value;
    check.why.value[1] = needed;
    return check;
}

/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Voltages: the bus and its peaks against V_CES, the insulation against the line. */
#include "assess/check_constants.h"
#include "assess/check_row.h"

#include "load/operating_point.h"

struct sm_check check_bus_voltage(const struct fit *fit)
{
    const double vces = fit->module->vces;
    struct wanted wanted = { .n = 0 };
    const double v = highest_bus(fit, &wanted);
    struct sm_check check =
        check_told(SM_CHECK_PASS, SM_NOTE_BUS_VOLTAGE_PASS, v, BUS_SHARE * vces);
    double share = BUS_SHARE;
    if (exceeds(v, BUS_SHARE_MOST * vces)) {
        share = BUS_SHARE_MOST;
        check = check_told(SM_CHECK_FAIL, SM_NOTE_BUS_VOLTAGE_FAIL, v, share * vces);
    } else if (wanted.n > 0) {
        return check_missing(SM_CHECK_BUS_VOLTAGE, &wanted);
    } else if (exceeds(v, BUS_SHARE * vces)) {
        check = check_told(SM_CHECK_WARN, SM_NOTE_BUS_VOLTAGE_WARN, v, share * vces);
    }
    check.why.value[0] = v;
    check.why.value[1] = v / vces;
    check.why.value[2] = vces;
    check.why.value[3] = share;
    return check;
}

/* V: what the falling trip current adds; what is not given adds nothing. */
static double overshoot(const struct fit *fit)
{
    const struct sm_rating *rating = &fit->drive->rating;
    const struct sm_optional *t_f = &fit->module->gate.t_f;
    if (!rating->overcurrent_trip.given || !t_f->given)
        return 0.0;
    const double inductance =
        fit->module->stray_inductance.value / rating->parallel + rating->bus_inductance.value;
    return STEEPEST * inductance * rating->overcurrent_trip.value / t_f->value;
}

/* The fall time is the data sheet's: a smaller resistor lets the current fall faster. */
static const char *faster_words(const struct fit *fit)
{
    const struct sm_optional *used = &fit->drive->gate.rg_off;
    const struct sm_optional *test = &fit->module->igbt_switching.test_rg_off;
    return used->given && test->given && exceeds(test->value, used->value)
               ? "; rg_off is below the test resistor, so that the real peak is higher"
               : "";
}

struct sm_check check_turn_off_peak(const struct fit *fit)
{
    const struct sm_rating *rating = &fit->drive->rating;
    const double vces = fit->module->vces;
    struct wanted wanted = { .n = 0 };
    want_drive(&wanted, SM_DRIVE_OVERVOLTAGE_TRIP, rating->overvoltage_trip.given);
    want_drive(&wanted, SM_DRIVE_OVERCURRENT_TRIP, rating->overcurrent_trip.given);
    want_drive(&wanted, SM_DRIVE_BUS_INDUCTANCE, rating->bus_inductance.given);
    want_module(&wanted, SM_MODULE_STRAY_INDUCTANCE, fit->module->stray_inductance.given);
    want_module(&wanted, SM_MODULE_T_F, fit->module->gate.t_f.given);

    const double trip = rating->overvoltage_trip.given ? rating->overvoltage_trip.value
                                                       : drive_highest_bus(fit->drive);
    const double added = overshoot(fit);
    const double peak = trip + added;
    struct sm_check check =
        check_told(SM_CHECK_PASS, SM_NOTE_TURN_OFF_PEAK_PASS, peak, PEAK_SHARE * vces);
    if (exceeds(peak, vces) && wanted.n > 0) {
        check = check_told(SM_CHECK_FAIL, SM_NOTE_TURN_OFF_PEAK_AT_LEAST, peak, vces);
        check.why.value[0] = peak;
        check.why.value[1] = vces;
        return check;
    }
    if (wanted.n > 0)
        return check_missing(SM_CHECK_TURN_OFF_PEAK, &wanted);
    if (exceeds(peak, vces))
        check = check_told(SM_CHECK_FAIL, SM_NOTE_TURN_OFF_PEAK_FAIL, peak, vces);
    else if (exceeds(peak, PEAK_SHARE * vces))
        check = check_told(SM_CHECK_WARN, SM_NOTE_TURN_OFF_PEAK_WARN, peak, PEAK_SHARE * vces);
    check.why.value[0] = peak;
    check.why.value[1] = trip;
    check.why.value[2] = added;
    check.why.value[3] = check.limit.value;
    check.why.text = faster_words(fit);
    return check;
}

struct sm_check check_isolation(const struct fit *fit)
{
    const struct sm_optional *tested = &fit->module->isolation_voltage;
    const double line = fit->drive->rating.line_voltage;
    const double asked = line + INSULATION_ADDED;
    struct wanted wanted = { .n = 0 };
    want_module(&wanted, SM_MODULE_ISOLATION_VOLTAGE, tested->given);
    if (wanted.n > 0)
        return check_missing(SM_CHECK_ISOLATION, &wanted);
    struct sm_check check =
        exceeds(asked, tested->value)
            ? check_told(SM_CHECK_FAIL, SM_NOTE_ISOLATION_FAIL, tested->value, asked)
            : check_told(SM_CHECK_PASS, SM_NOTE_ISOLATION_PASS, tested->value, asked);
    check.why.value[0] = tested->value;
    check.why.value[1] = line;
    check.why.value[2] = asked;
    return check;
}

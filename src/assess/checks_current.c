/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Currents: rating, trip, short circuit. */
#include "assess/check_constants.h"
#include "assess/check_row.h"

#include "base/maths.h"

/* A in the module that carries most, of a current of the whole drive. */
static double in_module(const struct fit *fit, double current)
{
    const int parallel = fit->drive->rating.parallel;
    return parallel > 1 ? UNEQUAL_SHARING * current / parallel : current;
}

static const char *sharing(const struct fit *fit)
{
    return fit->drive->rating.parallel > 1 ? ", 10 % over its share" : "";
}

struct sm_check check_current_rating(const struct fit *fit)
{
    const double peak = in_module(fit, SQRT2 * fit->drive->rating.output_current);
    const double nominal = fit->module->ic_nominal;
    struct sm_check check =
        exceeds(peak, nominal)
            ? check_told(SM_CHECK_WARN, SM_NOTE_CURRENT_RATING_WARN, peak, nominal)
            : check_told(SM_CHECK_PASS, SM_NOTE_CURRENT_RATING_PASS, peak, nominal);
    check.why.value[0] = peak;
    check.why.value[1] = nominal;
    check.why.text = sharing(fit);
    return check;
}

/* An overload that is not given cannot pass the trip: the trip alone is enough. */
struct sm_check check_overcurrent_trip(const struct fit *fit)
{
    const struct sm_rating *rating = &fit->drive->rating;
    const double limit = PEAK_RATING * fit->module->ic_nominal;
    const double overload =
        in_module(fit, SQRT2 * rating->overload_current.value * rating->output_current);
    const double trip = in_module(fit, rating->overcurrent_trip.value);
    const double largest = overload > trip ? overload : trip;
    struct wanted wanted = { .n = 0 };
    want_drive(&wanted, SM_DRIVE_OVERCURRENT_TRIP, rating->overcurrent_trip.given);
    struct sm_check check =
        check_told(SM_CHECK_PASS, SM_NOTE_OVERCURRENT_TRIP_PASS, largest, limit);
    if (exceeds(largest, limit))
        check = check_told(SM_CHECK_FAIL, SM_NOTE_OVERCURRENT_TRIP_FAIL, largest, limit);
    else if (wanted.n > 0)
        return check_missing(SM_CHECK_OVERCURRENT_TRIP, &wanted);
    check.why.value[0] = largest;
    check.why.value[1] = limit;
    check.why.text = sharing(fit);
    check.why.other = overload > trip ? "the overload's peak" : "the trip current";
    return check;
}

static void want_short_circuit(const struct fit *fit, struct wanted *wanted)
{
    const struct sm_drive_gate *gate = &fit->drive->gate;
    const struct sm_module *module = fit->module;
    want_drive(wanted, SM_DRIVE_VGE_ON, gate->vge_on.given);
    want_drive(wanted, SM_DRIVE_SHORT_CIRCUIT_BLANKING, gate->short_circuit_blanking.given);
    want_module(wanted, SM_MODULE_SHORT_CIRCUIT_TIME, module->short_circuit_time.given);
    want_module(wanted, SM_MODULE_SHORT_CIRCUIT_BUS, module->short_circuit_bus.given);
    want_module(wanted, SM_MODULE_SHORT_CIRCUIT_VGE, module->short_circuit_vge.given);
}

/* Time, bus and gate voltage, in this order: the first that is broken is told. */
struct sm_check check_short_circuit(const struct fit *fit)
{
    const struct sm_drive_gate *gate = &fit->drive->gate;
    const struct sm_optional *time = &fit->module->short_circuit_time;
    const struct sm_optional *bus = &fit->module->short_circuit_bus;
    const struct sm_optional *vge = &fit->module->short_circuit_vge;
    const struct sm_optional *blanking = &gate->short_circuit_blanking;
    const double asked = blanking->value + gate->driver_reaction;
    struct wanted wanted = { .n = 0 };
    const double v_hi = highest_bus(fit, &wanted);
    want_short_circuit(fit, &wanted);

    struct sm_check check =
        check_told(SM_CHECK_PASS, SM_NOTE_SHORT_CIRCUIT_PASS, time->value, asked);
    check.value.given = time->given;
    check.limit.given = blanking->given;
    if (time->given && blanking->given && exceeds(asked, time->value)) {
        check.result = SM_CHECK_FAIL;
        check.why =
            (struct sm_note){ .id = SM_NOTE_SHORT_CIRCUIT_TIME, .value = { time->value, asked } };
    } else if (bus->given && exceeds(v_hi, bus->value)) {
        check.result = SM_CHECK_FAIL;
        check.why =
            (struct sm_note){ .id = SM_NOTE_SHORT_CIRCUIT_BUS, .value = { v_hi, bus->value } };
    } else if (wanted.n > 0) {
        return check_missing(SM_CHECK_SHORT_CIRCUIT, &wanted);
    } else if (exceeds(gate->vge_on.value, vge->value)) {
        check.result = SM_CHECK_WARN;
        check.why = (struct sm_note){ .id = SM_NOTE_SHORT_CIRCUIT_GATE,
                                      .value = { gate->vge_on.value, vge->value } };
    } else {
        check.why = (struct sm_note){ .id = SM_NOTE_SHORT_CIRCUIT_PASS,
                                      .value = { time->value, asked, bus->value, vge->value } };
    }
    return check;
}

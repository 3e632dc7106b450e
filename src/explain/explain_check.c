/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The electrical and mechanical fit: what each row holds against what. */
#include "assess/check_constants.h"
#include "base/maths.h"
#include "explain/builder.h"

#include <math.h>

/* The formulas behind both numbers of a row, where they do not depend on what the files give. */
struct row_formulas {
    enum formula value, limit;
};

static const struct row_formulas formulas[SM_CHECK_COUNT] = {
    [SM_CHECK_BUS_VOLTAGE] = { FORMULA_CHECK_BUS, FORMULA_CHECK_BUS_LIMIT },
    [SM_CHECK_TURN_OFF_PEAK] = { FORMULA_CHECK_PEAK, FORMULA_CHECK_PEAK_LIMIT },
    [SM_CHECK_CURRENT_RATING] = { FORMULA_CHECK_RATING, FORMULA_CHECK_RATING_LIMIT },
    [SM_CHECK_OVERCURRENT_TRIP] = { FORMULA_CHECK_TRIP, FORMULA_CHECK_TRIP_LIMIT },
    [SM_CHECK_OVERLOAD] = { FORMULA_CHECK_OVERLOAD, FORMULA_CHECK_OVERLOAD_LIMIT },
    [SM_CHECK_SHORT_CIRCUIT] = { FORMULA_CHECK_SHORT, FORMULA_CHECK_SHORT_LIMIT },
    [SM_CHECK_GATE_POWER] = { FORMULA_CHECK_GATE_POWER, FORMULA_CHECK_GATE_POWER_LIMIT },
    [SM_CHECK_GATE_PEAK_CURRENT] = { FORMULA_CHECK_GATE_PEAK, FORMULA_CHECK_GATE_PEAK_LIMIT },
    [SM_CHECK_GATE_VOLTAGE] = { FORMULA_CHECK_GATE_ON, FORMULA_CHECK_GATE_MOST },
    [SM_CHECK_DEAD_TIME] = { FORMULA_CHECK_DEAD, FORMULA_CHECK_DEAD_LIMIT },
    [SM_CHECK_ISOLATION] = { FORMULA_CHECK_ISOLATION, FORMULA_CHECK_ISOLATION_LIMIT },
    [SM_CHECK_SCREW_TORQUE] = { FORMULA_CHECK_TORQUE, FORMULA_CHECK_TORQUE_MOST },
};

static enum formula trip_formula(const struct sm_rating *rating)
{
    if (!rating->overload_current.given)
        return FORMULA_CHECK_TRIP;
    return rating->overcurrent_trip.given ? FORMULA_CHECK_TRIP_BOTH : FORMULA_CHECK_TRIP_OVERLOAD;
}

static enum formula value_formula(const struct ask *ask, const struct sm_check *check)
{
    const struct sm_drive *drive = ask->b->c->drive;
    if (check->id == SM_CHECK_OVERCURRENT_TRIP)
        return trip_formula(&drive->rating);
    if (check->id == SM_CHECK_GATE_VOLTAGE && check->value.value <= 0.0)
        return FORMULA_CHECK_GATE_OFF;
    return formulas[check->id].value;
}

static enum formula gate_limit(const struct ask *ask, const struct sm_check *check)
{
    const double curve = ask->b->c->module->curve_gate_voltage;
    if (check->limit.value < 0.0)
        return FORMULA_CHECK_GATE_LEAST;
    if (check->why.id != SM_NOTE_GATE_VOLTAGE_CURVES)
        return FORMULA_CHECK_GATE_MOST;
    return check->limit.value > curve ? FORMULA_CHECK_GATE_ABOVE : FORMULA_CHECK_GATE_BELOW;
}

static enum formula limit_formula(const struct ask *ask, const struct sm_check *check)
{
    const struct sm_module *module = ask->b->c->module;
    switch ((int)check->id) {
    case SM_CHECK_BUS_VOLTAGE:
        if (!same_number(check->limit.value, BUS_SHARE * module->vces))
            return FORMULA_CHECK_BUS_MOST;
        break;
    case SM_CHECK_TURN_OFF_PEAK:
        if (same_number(check->limit.value, module->vces))
            return FORMULA_CHECK_PEAK_MOST;
        break;
    case SM_CHECK_SCREW_TORQUE:
        if (same_number(check->limit.value, module->mounting.screw_torque.v[0]))
            return FORMULA_CHECK_TORQUE_LEAST;
        break;
    case SM_CHECK_GATE_VOLTAGE:
        return gate_limit(ask, check);
    default:
        break;
    }
    return formulas[check->id].limit;
}

/* A row without numbers: its own sentence says why. */
static void tell_row(const struct ask *ask, bool value)
{
    const struct sm_check *check = &ask->b->result->checks[ask->w.k];
    const struct sm_optional *number = value ? &check->value : &check->limit;
    say_sentence(ask, &check->why);
    if (!number->given)
        say_null(ask, NULL);
    else
        say_value(ask, number->value,
                  value ? value_formula(ask, check) : limit_formula(ask, check));
}

/* --------------------------------------------------------- what they rest on */

static void tell_highest_bus(const struct ask *ask)
{
    const struct sm_drive *drive = ask->b->c->drive;
    const bool trip = drive_regenerates(drive) && !drive->rating.dc_bus_voltage.given &&
                      drive->rating.overvoltage_trip.given;
    say_value(ask, drive_highest_bus(drive), trip ? FORMULA_BUS_HIGH_TRIP : FORMULA_BUS_HIGH);
}

static void tell_share(const struct ask *ask)
{
    const int parallel = ask->b->c->drive->rating.parallel;
    if (parallel > 1)
        say_value(ask, UNEQUAL_SHARING / parallel, FORMULA_SHARE_PARALLEL);
    else
        say_value(ask, 1.0, FORMULA_SHARE_ALONE);
}

/* V: what the bus and the falling current add up to, less the bus. */
static void tell_overshoot(const struct ask *ask)
{
    const struct sm_rating *rating = &ask->b->c->drive->rating;
    const struct sm_module *module = ask->b->c->module;
    if (!rating->overcurrent_trip.given || !module->gate.t_f.given) {
        say_value(ask, 0.0, FORMULA_OVERSHOOT_UNKNOWN);
        return;
    }
    const double inductance =
        module->stray_inductance.value / rating->parallel + rating->bus_inductance.value;
    say_value(ask, STEEPEST * inductance * rating->overcurrent_trip.value / module->gate.t_f.value,
              FORMULA_OVERSHOOT);
}

static void tell_turn_off_bus(const struct ask *ask)
{
    const struct sm_drive *drive = ask->b->c->drive;
    if (drive->rating.overvoltage_trip.given)
        say_value(ask, drive->rating.overvoltage_trip.value, FORMULA_TURN_OFF_TRIP);
    else
        say_value(ask, drive_highest_bus(drive), FORMULA_TURN_OFF_HIGHEST);
}

static void tell_delay(const struct ask *ask, bool off)
{
    const struct sm_module_gate *gate = &ask->b->c->module->gate;
    const struct sm_optional *worst = off ? &gate->td_off_max : &gate->td_on_min;
    const struct sm_optional *typical = off ? &gate->td_off : &gate->td_on;
    if (worst->given)
        say_value(ask, worst->value, off ? FORMULA_OFF_DELAY_MOST : FORMULA_ON_DELAY_LEAST);
    else
        say_value(ask, typical->value, off ? FORMULA_OFF_DELAY_TYPICAL : FORMULA_ON_DELAY_TYPICAL);
}

static void tell_torque(const struct ask *ask, size_t k)
{
    struct sm_text key;
    sm_text_init(&key);
    sm_text_add(&key, "%s, value %zu", module_key_name(ask->b, SM_MODULE_SCREW_TORQUE), k + 1);
    say_input(ask, ask->b->c->module->mounting.screw_torque.v[k],
              &ask->b->c->module->origin[SM_MODULE_SCREW_TORQUE], keep(ask->b, &key));
}

void tell_check(const struct ask *ask)
{
    switch ((int)ask->q) {
    case QUANTITY_CHECK_VALUE:
        tell_row(ask, true);
        break;
    case QUANTITY_CHECK_LIMIT:
        tell_row(ask, false);
        break;
    case QUANTITY_HIGHEST_BUS:
        tell_highest_bus(ask);
        break;
    case QUANTITY_MODULE_SHARE:
        tell_share(ask);
        break;
    case QUANTITY_TURN_OFF_BUS:
        tell_turn_off_bus(ask);
        break;
    case QUANTITY_OVERSHOOT:
        tell_overshoot(ask);
        break;
    case QUANTITY_TORQUE_LEAST:
        tell_torque(ask, 0);
        break;
    case QUANTITY_TORQUE_MOST:
        tell_torque(ask, 1);
        break;
    default:
        tell_delay(ask, ask->q == QUANTITY_OFF_DELAY);
        break;
    }
}

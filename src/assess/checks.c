/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "assess/checks.h"

#include "assess/check_row.h"
#include "assess/notes.h"

/* m: up to here the voltage classes and clearances of drives are made for (common practice; the
 * clearances of IEC 60664-1 begin to grow here, value from memory). */
#define HIGH_SITE 2000.0

static const char *const titles[SM_CHECK_COUNT] = {
#define CHECK(id, name, unit, title, rule) [SM_CHECK_##id] = title,
#include "swapmargin/checks.def"
#undef CHECK
};

const char *check_title(enum sm_check_id id)
{
    return titles[id];
}

/* Rows that a person can settle by hand and confirm in the drive file. */
static bool confirmed_by_hand(const struct sm_confirmed *confirmed, enum sm_check_id id)
{
    const bool yes[SM_CHECK_COUNT] = {
        [SM_CHECK_SET_OF_THREE] = confirmed->set_of_three,
        [SM_CHECK_OUTLINE] = confirmed->outline,
        [SM_CHECK_PINOUT] = confirmed->pinout,
        [SM_CHECK_THERMISTOR] = confirmed->thermistor,
        [SM_CHECK_SCREW_TORQUE] = confirmed->screw_torque,
        [SM_CHECK_SAME_LOT] = confirmed->same_lot,
    };
    return yes[id];
}

/* In the order of the table. */
static check_function *const rows[SM_CHECK_COUNT] = {
    [SM_CHECK_BUS_VOLTAGE] = check_bus_voltage,
    [SM_CHECK_TURN_OFF_PEAK] = check_turn_off_peak,
    [SM_CHECK_CURRENT_RATING] = check_current_rating,
    [SM_CHECK_OVERCURRENT_TRIP] = check_overcurrent_trip,
    [SM_CHECK_OVERLOAD] = check_overload,
    [SM_CHECK_SHORT_CIRCUIT] = check_short_circuit,
    [SM_CHECK_GATE_POWER] = check_gate_power,
    [SM_CHECK_GATE_PEAK_CURRENT] = check_gate_peak_current,
    [SM_CHECK_GATE_VOLTAGE] = check_gate_voltage,
    [SM_CHECK_DEAD_TIME] = check_dead_time,
    [SM_CHECK_ISOLATION] = check_isolation,
    [SM_CHECK_SCREW_TORQUE] = check_screw_torque,
    [SM_CHECK_THERMISTOR] = check_thermistor,
    [SM_CHECK_OUTLINE] = check_outline,
    [SM_CHECK_PINOUT] = check_pinout,
    [SM_CHECK_SET_OF_THREE] = check_set_of_three,
    [SM_CHECK_SAME_LOT] = check_same_lot,
};

/* What the signer answers for keeps its numbers; that the files say otherwise is told twice. */
static struct sm_check confirm(struct sm_check check, enum sm_check_id id, struct sm_result *result)
{
    const bool against = check.result == SM_CHECK_WARN || check.result == SM_CHECK_FAIL;
    check.result = SM_CHECK_CONFIRMED;
    check.why = (struct sm_note){ .id = against ? SM_NOTE_CONFIRMED_AGAINST : SM_NOTE_CONFIRMED,
                                  .text = check_title(id) };
    if (against)
        note_add(result, check.why);
    return check;
}

void checks_run(const struct sm_case *c, struct sm_result *result)
{
    const struct fit fit = { c->drive, c->module, c->original, result };
    for (int i = 0; i < SM_CHECK_COUNT; i++) {
        const enum sm_check_id id = (enum sm_check_id)i;
        struct sm_check check = rows[id](&fit);
        if (confirmed_by_hand(&c->drive->confirmed, id))
            check = confirm(check, id, result);
        check.id = id;
        result->checks[id] = check;
    }
    if (c->drive->cooling.altitude > HIGH_SITE)
        note_add(result, (struct sm_note){ .id = SM_NOTE_ALTITUDE,
                                           .value = { c->drive->cooling.altitude } });
}

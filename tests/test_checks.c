/* SPDX-License-Identifier: GPL-3.0-or-later
 * What holds for all rows of the fit; each expected outcome is the rule's own statement. */
#include "assess/checks.h"

#include "assess/verdict.h"
#include "support/fit.h"
#include "support/near.h"
#include "swapmargin/text.h"

#include <criterion/criterion.h>
#include <string.h>

static bool has(const struct sm_notes *notes, enum sm_note_id id)
{
    for (size_t i = 0; i < notes->count; i++)
        if (notes->list[i].id == id)
            return true;
    return false;
}

static bool asks_a_person(enum sm_check_id id)
{
    return id == SM_CHECK_THERMISTOR || id == SM_CHECK_OUTLINE || id == SM_CHECK_PINOUT ||
           id == SM_CHECK_SET_OF_THREE;
}

Test(checks, complete_files_leave_only_what_a_person_must_look_at)
{
    struct fit_case t;
    fit_make(&t);
    for (int i = 0; i < SM_CHECK_COUNT; i++) {
        const enum sm_check_id id = (enum sm_check_id)i;
        const struct sm_check *check = fit_row(&t, id);
        cr_expect_eq(check->id, id);
        cr_expect_eq(check->result, asks_a_person(id) ? SM_CHECK_NOT_CHECKED : SM_CHECK_PASS, "%s",
                     check_title(id));
    }
    fit_release(&t);
}

/* The kind of a sentence is what its outcome asks for: a fail rejects, a warning and what was not
 * checked are conditions, and a pass is neither. */
static void kind_fits(const struct sm_check *check)
{
    const enum sm_note_kind kind = sm_note_kind(check->why.id);
    const enum sm_note_kind asked =
        check->result == SM_CHECK_FAIL ? SM_KIND_REASON
        : check->result == SM_CHECK_WARN || check->result == SM_CHECK_NOT_CHECKED
            ? SM_KIND_CONDITION
            : SM_KIND_NOTE;
    cr_expect_eq(kind, asked, "%s: %s", check_title(check->id), sm_note_template(check->why.id));
}

Test(checks, a_fail_is_a_reason_and_a_warning_a_condition_whatever_the_files_give)
{
    struct fit_case t;
    fit_make(&t);
    fit_original(&t);
    struct sm_optional *const some[] = {
        &t.f.drive.rating.overvoltage_trip,
        &t.f.drive.gate.vge_on,
        &t.f.drive.gate.rg_off,
        &t.f.module.gate.t_f,
        &t.f.module.isolation_voltage,
        &t.f.drive.joint.screw_torque,
        &t.f.module.short_circuit_time,
    };
    static const double factor[] = { 0.0, 0.05, 0.5, 1.0, 1.2, 3.0 };
    for (size_t i = 0; i < sizeof some / sizeof some[0]; i++)
        for (size_t k = 0; k <= sizeof factor / sizeof factor[0]; k++) {
            const struct sm_optional kept = *some[i];
            const bool given = k < sizeof factor / sizeof factor[0];
            *some[i] = (struct sm_optional){ given, given ? kept.value * factor[k] : 0.0 };
            if (some[i] == &t.f.module.gate.t_f && k == 0)
                some[i]->value = 1e-9; /* the least that a file may give */
            (void)fit_row(&t, SM_CHECK_BUS_VOLTAGE);
            for (int id = 0; id < SM_CHECK_COUNT; id++)
                kind_fits(&t.result.checks[id]);
            *some[i] = kept;
        }
    fit_release(&t);
}

/* With nothing given, each row names what it needs: the lists are those of the rules. */
Test(checks, without_data_every_row_names_each_key_it_needs)
{
    static const struct {
        enum sm_check_id id;
        const char *keys;
    } rows[] = {
        { SM_CHECK_TURN_OFF_PEAK,
          "drive [drive] overvoltage_trip, drive [drive] overcurrent_trip, drive [drive] "
          "bus_inductance, module [module] stray_inductance, module [gate] t_f" },
        { SM_CHECK_OVERCURRENT_TRIP, "drive [drive] overcurrent_trip" },
        { SM_CHECK_OVERLOAD, "drive [drive] overload_current" },
        { SM_CHECK_SHORT_CIRCUIT,
          "drive [gate] vge_on, drive [gate] short_circuit_blanking, module [module] "
          "short_circuit_time, module [module] short_circuit_bus, module [module] "
          "short_circuit_vge" },
        { SM_CHECK_GATE_POWER, "drive [gate] vge_on, drive [gate] vge_off, drive [gate] "
                               "driver_power, module [gate] gate_charge, module [gate] "
                               "gate_charge_swing" },
        { SM_CHECK_GATE_PEAK_CURRENT,
          "drive [gate] rg_on, drive [gate] rg_off, drive [gate] vge_on, drive [gate] vge_off, "
          "drive [gate] driver_peak_current, module [gate] internal_rg" },
        { SM_CHECK_GATE_VOLTAGE,
          "drive [gate] vge_on, drive [gate] vge_off, module [gate] vge_max" },
        { SM_CHECK_DEAD_TIME,
          "drive [drive] dead_time, module [gate] td_off_max or module [gate] td_off, module "
          "[gate] td_on_min or module [gate] td_on, module [gate] t_f" },
        { SM_CHECK_ISOLATION, "module [module] isolation_voltage" },
        { SM_CHECK_SCREW_TORQUE, "drive [joint] screw_torque, module [mounting] screw_torque" },
    };
    struct fit_case t;
    memset(&t, 0, sizeof t);
    fixture_make(&t.f);
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        const struct sm_check *check = fit_row(&t, rows[i].id);
        cr_expect_eq(check->result, SM_CHECK_NOT_CHECKED, "%s", check_title(rows[i].id));
        cr_expect_str_eq(fit_missing(check), rows[i].keys);
    }
    /* what every file gives is judged all the same */
    fit_is(&t, SM_CHECK_BUS_VOLTAGE, SM_CHECK_PASS, SM_NOTE_BUS_VOLTAGE_PASS);
    fit_is(&t, SM_CHECK_CURRENT_RATING, SM_CHECK_PASS, SM_NOTE_CURRENT_RATING_PASS);
    fit_release(&t);
}

Test(checks, confirmed_rows_say_so_and_keep_their_numbers)
{
    struct fit_case t;
    fit_make(&t);
    t.f.drive.confirmed = (struct sm_confirmed){ true, true, true, true, true, true };
    static const enum sm_check_id rows[] = {
        SM_CHECK_SET_OF_THREE, SM_CHECK_OUTLINE,      SM_CHECK_PINOUT,
        SM_CHECK_THERMISTOR,   SM_CHECK_SCREW_TORQUE, SM_CHECK_SAME_LOT,
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++)
        fit_is(&t, rows[i], SM_CHECK_CONFIRMED, SM_NOTE_CONFIRMED);
    fit_has(&t, SM_CHECK_SCREW_TORQUE, 4.0, 5.0);
    fit_release(&t);
}

Test(checks, a_confirmation_against_the_files_is_told)
{
    struct fit_case t;
    fit_make(&t);
    t.f.drive.joint.screw_torque.value = 7.0;
    t.f.drive.confirmed.screw_torque = true;
    fit_is(&t, SM_CHECK_SCREW_TORQUE, SM_CHECK_CONFIRMED, SM_NOTE_CONFIRMED_AGAINST);
    cr_expect(has(&t.result.notes, SM_NOTE_CONFIRMED_AGAINST));
    t.f.drive.joint.screw_torque.value = 4.0;
    fit_is(&t, SM_CHECK_SCREW_TORQUE, SM_CHECK_CONFIRMED, SM_NOTE_CONFIRMED);
    cr_expect_not(has(&t.result.notes, SM_NOTE_CONFIRMED_AGAINST));
    fit_release(&t);
}

/* Only the six rows of [confirmed] can be confirmed: the others keep their outcome. */
Test(checks, what_cannot_be_confirmed_stays_as_it_is)
{
    struct fit_case t;
    fit_make(&t);
    t.f.drive.confirmed = (struct sm_confirmed){ true, true, true, true, true, true };
    t.f.drive.rating.dead_time.value = 0.1e-6;
    fit_is(&t, SM_CHECK_DEAD_TIME, SM_CHECK_FAIL, SM_NOTE_DEAD_TIME_FAIL);
    fit_is(&t, SM_CHECK_BUS_VOLTAGE, SM_CHECK_PASS, SM_NOTE_BUS_VOLTAGE_PASS);
    fit_release(&t);
}

/* 2000 m: common practice. */
Test(checks, a_site_above_2000_m_gets_a_note)
{
    struct fit_case t;
    fit_make(&t);
    t.f.drive.cooling.altitude = 2000.0;
    (void)fit_row(&t, SM_CHECK_BUS_VOLTAGE);
    cr_expect_not(has(&t.result.notes, SM_NOTE_ALTITUDE));
    t.f.drive.cooling.altitude = 2001.0;
    (void)fit_row(&t, SM_CHECK_BUS_VOLTAGE);
    cr_expect(has(&t.result.notes, SM_NOTE_ALTITUDE));
    NEAR(t.result.notes.list[0].value[0], 2001.0, 0.0);
    fit_release(&t);
}

Test(checks, one_failing_row_rejects_a_part_that_stays_cool)
{
    struct sm_point points[1] = { { .output_hz = 30.0, .margin = 40.0 } };
    struct fit_case t;
    fit_make(&t);
    t.f.drive.rating.dead_time.value = 0.1e-6;
    (void)fit_row(&t, SM_CHECK_DEAD_TIME);
    t.result.points = points;
    t.result.n_points = 1;
    margin_gather(&t.result);
    verdict_reach(&t.f.c, &t.result);
    cr_expect_eq(t.result.verdict, SM_REJECT);
    cr_assert_eq(t.result.reasons.count, 1);
    cr_expect_eq(t.result.reasons.list[0].id, SM_NOTE_DEAD_TIME_FAIL);
    t.result.points = NULL;
    fit_release(&t);
}

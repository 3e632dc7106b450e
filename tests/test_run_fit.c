/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Whole runs of the program: the electrical and mechanical fit.  Expected outcomes: the published
 * contract (exit status, words, keys) and what each example says of itself in its first lines. */
#include <criterion/criterion.h>

#include "support/answer.h"
#include "support/near.h"

#include <string.h>

#define APPROVED "\"$S\" check \"$E/drive-complete.ini\" \"$E/module-good.ini\""
#define FAST "\"$S\" check \"$E/drive.ini\" \"$E/module-fast.ini\""

/* The drive without one of its lines, or with another value on it. */
#define CHANGED(edit)                                                                              \
    "sed '" edit "' \"$E/drive-complete.ini\" >\"$T/drive.ini\"; "                                 \
    "\"$S\" check \"$T/drive.ini\" \"$E/module-good.ini\""

static void check_is(json_t *root, const char *name, const char *result)
{
    json_t *row = answer_row(json_object_get(root, "checks"), name);
    cr_expect_str_eq(answer_words(row, "result"), result, "%s: %s, expected %s: %s", name,
                     answer_words(row, "result"), result, answer_words(row, "why"));
}

static bool any_has(json_t *list, const char *piece)
{
    size_t i = 0;
    json_t *text = NULL;
    json_array_foreach(list, i, text)
    {
        if (strstr(json_string_value(text), piece)) {
            return true;
        }
    }
    return false;
}

Test(run_fit, complete_files_and_confirmed_rows_are_approved)
{
    struct run run;
    run_open(&run);
    run_line(&run, APPROVED);
    cr_expect_eq(run.code, 0, "%s", run.err);
    cr_expect_eq(strncmp(run.out, "APPROVE ", 8), 0);
    cr_expect_null(strstr(run.out, "Settle before the load run"));
    cr_expect_not_null(strstr(run.out, "confirmed by the person who signs"));
    run_line(&run, APPROVED " --strict");
    cr_expect_eq(run.code, 0);
    run_line(&run, APPROVED " --format json");
    json_t *root = answer_json(&run);
    cr_expect_str_eq(answer_words(root, "verdict"), "approve");
    cr_expect_eq(json_array_size(json_object_get(root, "conditions")), 0);
    check_is(root, "outline", "confirmed");
    check_is(root, "set_of_three", "confirmed");
    check_is(root, "screw_torque", "pass");
    check_is(root, "same_lot", "pass");
    json_decref(root);
    run_close(&run);
}

/* The two drives of the examples are one: all that they give is the same, but for what a person
 * confirms. */
Test(run_fit, the_complete_drive_is_the_drive_with_what_a_person_confirmed)
{
    struct run run;
    run_open(&run);
    run_line(&run, "for f in drive drive-complete; do sed -n '/^\\[drive\\]/,/^\\[confirmed\\]/p' "
                   "\"$E/$f.ini\" | sed 's/ *;.*//; /^$/d; /^\\[confirmed\\]/d' >\"$T/$f\"; done; "
                   "test -s \"$T/drive\" && diff \"$T/drive\" \"$T/drive-complete\"");
    cr_expect_eq(run.code, 0, "%s%s", run.out, run.err);
    run_close(&run);
}

Test(run_fit, a_cool_part_that_does_not_fit_electrically_is_rejected)
{
    struct run run;
    run_open(&run);
    run_line(&run, FAST);
    cr_expect_eq(run.code, 1, "%s", run.err);
    cr_expect_eq(strncmp(run.out, "REJECT ", 7), 0);
    cr_expect_not_null(strstr(run.out, "Rejected: voltage peak at turn-off"));
    cr_expect_not_null(strstr(run.out, "- short circuit: turned off after 7 us"));
    run_line(&run, FAST " --format json");
    cr_expect_eq(run.code, 1);
    json_t *root = answer_json(&run);
    cr_expect_geq(json_number_value(json_object_get(root, "margin_k")), 15.0);
    cr_expect_eq(json_array_size(json_object_get(root, "reasons")), 2);
    check_is(root, "turn_off_peak", "fail");
    check_is(root, "short_circuit", "fail");
    check_is(root, "gate_power", "pass");
    /* from the files: 800 V + 1.5 (21 + 45) nH * 190 A / 38 ns = 1295 V */
    json_t *peak = answer_row(json_object_get(root, "checks"), "turn_off_peak");
    NEAR_REL(json_number_value(json_object_get(peak, "value")), 1295.0, 1e-9);
    NEAR_REL(json_number_value(json_object_get(peak, "limit")), 1200.0, 1e-9);
    cr_expect_str_eq(answer_words(peak, "unit"), "V");
    json_decref(root);
    run_close(&run);
}

Test(run_fit, one_line_less_makes_it_conditional_and_the_line_is_named)
{
    static const struct {
        const char *command, *check, *key;
    } runs[] = {
        { CHANGED("/^vge_off/d"), "gate_voltage", "drive file [gate] vge_off" },
        { CHANGED("/^dead_time/d"), "dead_time", "drive file [drive] dead_time" },
        { CHANGED("/^bus_inductance/d"), "turn_off_peak", "drive file [drive] bus_inductance" },
        { CHANGED("/^screw_torque/d"), "screw_torque", "drive file [joint] screw_torque" },
        { CHANGED("/^short_circuit_blanking/d"), "short_circuit",
          "drive file [gate] short_circuit_blanking" },
        { CHANGED("/^overload/d"), "overload", "drive file [drive] overload_current" },
        { CHANGED("/^overcurrent_trip/d"), "overcurrent_trip",
          "drive file [drive] overcurrent_trip" },
        { CHANGED("/^driver_power/d"), "gate_power", "drive file [gate] driver_power" },
        { CHANGED("/^driver_peak_current/d"), "gate_peak_current",
          "drive file [gate] driver_peak_current" },
    };
    struct run run;
    run_open(&run);
    for (size_t i = 0; i < sizeof runs / sizeof runs[0]; i++) {
        char command[512];
        (void)snprintf(command, sizeof command, "%s --format json", runs[i].command);
        run_line(&run, command);
        cr_expect_eq(run.code, 0, "%s", run.err);
        json_t *root = answer_json(&run);
        cr_expect_str_eq(answer_words(root, "verdict"), "conditional");
        check_is(root, runs[i].check, "not checked");
        cr_expect(json_is_null(
            json_object_get(answer_row(json_object_get(root, "checks"), runs[i].check), "value")));
        cr_expect(any_has(json_object_get(root, "conditions"), runs[i].key), "%s", runs[i].key);
        json_decref(root);
    }
    run_line(&run, CHANGED("/^vge_off/d"));
    cr_expect_not_null(strstr(run.out, "  [ ] gate voltage: drive file [gate] vge_off\n"), "%s",
                       run.out);
    run_close(&run);
}

Test(run_fit, one_value_too_far_rejects_or_warns)
{
    static const struct {
        const char *command, *check, *result;
        int code;
    } runs[] = {
        { CHANGED("s/^dead_time.*/dead_time = 0.7 us/"), "dead_time", "fail", 1 },
        { CHANGED("s/^vge_off.*/vge_off = 0 V/"), "gate_voltage", "warn", 0 },
        { CHANGED("s/^driver_peak_current.*/driver_peak_current = 2 A/"), "gate_peak_current",
          "warn", 0 },
        { CHANGED("s/^driver_power.*/driver_power = 50 mW/"), "gate_power", "fail", 1 },
        { CHANGED("s/^screw_torque.*/screw_torque = 6 N.m/"), "screw_torque", "fail", 1 },
        { CHANGED("s/^overcurrent_trip.*/overcurrent_trip = 310 A/"), "overcurrent_trip", "fail",
          1 },
        { CHANGED("s/^overvoltage_trip.*/overvoltage_trip = 920 V/"), "turn_off_peak", "warn", 0 },
        { CHANGED("s/^dc_bus_voltage.*/dc_bus_voltage = 800 V/"), "bus_voltage", "warn", 0 },
    };
    struct run run;
    run_open(&run);
    for (size_t i = 0; i < sizeof runs / sizeof runs[0]; i++) {
        char command[512];
        (void)snprintf(command, sizeof command, "%s --format json", runs[i].command);
        run_line(&run, command);
        cr_expect_eq(run.code, runs[i].code, "%s: %s", runs[i].check, run.err);
        json_t *root = answer_json(&run);
        check_is(root, runs[i].check, runs[i].result);
        json_t *list = json_object_get(root, runs[i].code == 1 ? "reasons" : "conditions");
        cr_expect_eq(json_array_size(list), 1, "%s", runs[i].check);
        json_decref(root);
    }
    run_close(&run);
}

Test(run_fit, every_row_of_every_example_says_why)
{
    static const char *const modules[] = { "good", "marginal", "low-frequency", "original",
                                           "fast" };
    struct run run;
    run_open(&run);
    for (size_t m = 0; m < sizeof modules / sizeof modules[0]; m++) {
        char command[256];
        (void)snprintf(command, sizeof command,
                       "\"$S\" check \"$E/drive.ini\" \"$E/module-%s.ini\" --format json",
                       modules[m]);
        run_line(&run, command);
        json_t *root = answer_json(&run);
        size_t i = 0;
        json_t *row = NULL;
        json_array_foreach(json_object_get(root, "checks"), i, row)
        {
            cr_expect_str_neq(answer_words(row, "why"), "", "%s %s", modules[m],
                              answer_words(row, "name"));
            cr_expect_str_neq(answer_words(row, "rule"), "", "%s", answer_words(row, "name"));
        }
        cr_expect_eq(i, 17);
        json_decref(root);
    }
    run_close(&run);
}

Test(run_fit, the_outline_is_compared_with_the_original_where_one_is_given)
{
    struct run run;
    run_open(&run);
    run_line(&run, "\"$S\" check \"$E/drive.ini\" \"$E/module-good.ini\" --format json --original "
                   "\"$E/module-original.ini\"");
    json_t *root = answer_json(&run);
    check_is(root, "outline", "pass");
    check_is(root, "pinout", "pass");
    check_is(root, "thermistor", "not checked");
    json_decref(root);
    run_close(&run);
}

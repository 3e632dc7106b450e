/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Whole runs of `loadrun`: what it prints, its keys, its exit status.  Its temperatures are held
 * against a second calculation in test_reference.c, the settled ones here against `check`. */
#include <criterion/criterion.h>

#include "support/answer.h"
#include "support/near.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define LOADRUN "\"$S\" loadrun "
#define GOOD "\"$E/drive.ini\" \"$E/module-good.ini\" "

/* The example drive with one line changed or added, by sed, as $T/d.ini. */
#define EDITED(edit) "sed '" edit "' \"$E/drive.ini\" >\"$T/d.ini\"; " LOADRUN
#define ON_EDITED "\"$T/d.ini\" \"$E/module-good.ini\" "

static json_t *run_at(json_t *root, size_t i)
{
    return json_array_get(json_object_get(root, "runs"), i);
}

static void expect_null_with_why(json_t *object, const char *key, const char *why,
                                 const char *words)
{
    cr_expect(json_is_null(json_object_get(object, key)), "%s", key);
    const char *told = json_string_value(json_object_get(object, why));
    cr_expect(told && strstr(told, words), "%s: %s", why, told ? told : "none");
}

/* The published contract: names, order of frequencies, the ten minutes. */
Test(run_loadrun, json_has_every_key_of_the_contract)
{
    static const char *const keys[] = { "output_hz",   "current_a",   "minutes",    "sink_c",
                                        "case_igbt_c", "tvj_max_c",   "settled",    "bus_v",
                                        "ripple_v",    "stop_sink_c", "stop_case_c" };
    static const double minutes[] = { 0, 1, 2, 5, 10, 15, 20, 30, 45, 60 };
    struct run run;
    run_open(&run);
    json_t *root = answer_to(&run, LOADRUN GOOD "--format json");
    cr_expect_eq(run.code, 0);
    cr_expect(json_is_null(json_object_get(root, "log")));
    cr_expect(json_is_string(json_object_get(root, "log_why")));
    cr_assert_eq(json_array_size(json_object_get(root, "runs")), 2);
    for (size_t r = 0; r < 2; r++) {
        json_t *one = run_at(root, r);
        NEAR(answer_number(one, "output_hz"), r == 0 ? 30.0 : 60.0, 0.0);
        for (size_t k = 0; k < sizeof keys / sizeof keys[0]; k++)
            cr_expect_not_null(json_object_get(one, keys[k]), "%s", keys[k]);
        for (size_t i = 0; i < 10; i++)
            NEAR(json_number_value(json_array_get(json_object_get(one, "minutes"), i)), minutes[i],
                 1e-9);
        cr_expect_eq(json_array_size(json_object_get(one, "tvj_max_c")), 10);
    }
    json_decref(root);
    run_close(&run);
}

Test(run_loadrun, settled_is_what_a_check_says)
{
    struct run run;
    run_open(&run);
    json_t *root = answer_to(&run, LOADRUN GOOD "--format json");
    json_t *check = answer_to(&run, "\"$S\" check " GOOD "--format json");
    for (size_t i = 0; i < 2; i++) {
        json_t *settled = json_object_get(run_at(root, i), "settled");
        json_t *point = json_array_get(json_object_get(check, "points"), i);
        json_t *igbt = json_object_get(point, "igbt"), *diode = json_object_get(point, "diode");
        NEAR(answer_number(settled, "sink_c"), answer_number(point, "sink_c"), 0.0);
        NEAR(answer_number(settled, "case_igbt_c"), answer_number(point, "case_igbt_c"), 0.0);
        NEAR(answer_number(settled, "tvj_max_c"),
             fmax(answer_number(igbt, "tvj_max_c"), answer_number(diode, "tvj_max_c")), 0.0);
        NEAR(answer_number(run_at(root, i), "bus_v"), answer_number(point, "bus_v"), 0.0);
        NEAR(answer_number(run_at(root, i), "current_a"), answer_number(point, "current_a"), 0.0);
    }
    json_decref(check);
    json_decref(root);
    run_close(&run);
}

/* Columns of the widest line. */
static size_t widest(const char *text)
{
    size_t most = 0, columns = 0;
    for (const char *p = text; *p != '\0'; p++) {
        columns = *p == '\n' ? 0 : columns + (((unsigned char)*p & 0xC0u) != 0x80u);
        most = columns > most ? columns : most;
    }
    return most;
}

Test(run_loadrun, the_sheet_fits_80_columns_and_plain_ascii)
{
    struct run run;
    run_open(&run);
    run_line(&run, "LC_ALL=C.UTF-8 " LOADRUN GOOD);
    cr_expect_leq(widest(run.out), 80);
    run_line(&run, "LC_ALL=C " LOADRUN GOOD);
    cr_expect_leq(widest(run.out), 80);
    for (const char *p = run.out; *p != '\0'; p++)
        cr_assert((unsigned char)*p < 0x80u);
    run_close(&run);
}

/* What a technician must not miss: charge, where to stop, where to write, what is not told. */
Test(run_loadrun, the_sheet_warns_stops_and_leaves_room_to_write)
{
    static const char *const words[] = { "below 50 V",
                                         "STOP when the sink reads",
                                         "______",
                                         "Not checked by this sheet",
                                         "true-rms clamp",
                                         "with a line phase lost",
                                         "thermocouple",
                                         "Signature",
                                         "Settle before the load run",
                                         "one network" };
    struct run run;
    run_open(&run);
    run_line(&run, "LC_ALL=C " LOADRUN GOOD);
    cr_expect_eq(run.code, 0);
    for (size_t i = 0; i < sizeof words / sizeof words[0]; i++)
        cr_expect(strstr(run.out, words[i]), "lacks: %s", words[i]);
    run_close(&run);
}

Test(run_loadrun, a_rejected_module_exits_one_and_says_do_not)
{
    struct run run;
    run_open(&run);
    run_line(&run, LOADRUN "\"$E/drive.ini\" \"$E/module-low-frequency.ini\"");
    cr_expect_eq(run.code, 1);
    cr_expect_eq(strncmp(run.out, "LOAD RUN: REJECT", 16), 0);
    cr_expect(strstr(run.out, "do not run it like this"));
    run_close(&run);
}

Test(run_loadrun, without_sink_capacity_only_settled_values_are_told)
{
    struct run run;
    run_open(&run);
    json_t *root = answer_to(&run, EDITED("/^sink_capacity/d") ON_EDITED "--format json");
    cr_expect_eq(run.code, 0);
    json_t *one = run_at(root, 0);
    cr_expect_eq(json_array_size(json_object_get(one, "minutes")), 10);
    cr_expect_eq(json_array_size(json_object_get(one, "sink_c")), 0);
    cr_expect(strstr(json_string_value(json_object_get(one, "why")), "sink_capacity"));
    (void)answer_number(json_object_get(one, "settled"), "sink_c");
    json_decref(root);
    run_line(&run, LOADRUN ON_EDITED);
    cr_expect(strstr(run.out, "sink_capacity is not given"));
    run_close(&run);
}

Test(run_loadrun, a_ripple_that_is_not_told_is_null_and_says_why)
{
    static const struct {
        const char *command, *why, *lost_why;
    } rows[] = {
        { EDITED("/^bus_capacitance/d") ON_EDITED "--format json", "bus_capacitance",
          "bus_capacitance" },
        { EDITED("/^power_factor @/d;s/^power_factor.*/power_factor = -0.8/") ON_EDITED
          "--format json",
          "feeds the bus", "feeds the bus" },
        { EDITED("s/^bus_capacitance.*/bus_capacitance = 100 uF/") ON_EDITED "--format json", NULL,
          "undervoltage trip" },
        { EDITED("s/^line_phases.*/line_phases = 1/;s/^bus_capacitance.*/bus_capacitance = 50 "
                 "mF/") ON_EDITED "--format json",
          NULL, "single-phase" },
    };
    struct run run;
    run_open(&run);
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        json_t *root = answer_to(&run, rows[i].command);
        json_t *one = run_at(root, 1);
        if (rows[i].why)
            expect_null_with_why(one, "ripple_v", "ripple_why", rows[i].why);
        else
            cr_expect_gt(answer_number(one, "ripple_v"), 0.0);
        expect_null_with_why(one, "ripple_lost_phase_v", "ripple_lost_phase_why", rows[i].lost_why);
        json_decref(root);
    }
    run_close(&run);
}

/* Without an equilibrium: nulls in step with the minutes, nothing invented, exit 1. */
Test(run_loadrun, a_runaway_leaves_nulls)
{
    struct run run;
    run_open(&run);
    json_t *root =
        answer_to(&run, LOADRUN "\"$C/runaway-drive.ini\" \"$C/runaway-module.ini\" --format json");
    cr_expect_eq(run.code, 1);
    json_t *one = run_at(root, 1);
    json_t *settled = json_object_get(one, "settled");
    expect_null_with_why(settled, "tvj_max_c", "why", "thermal runaway");
    cr_expect_eq(json_array_size(json_object_get(one, "sink_c")), 10);
    cr_expect(json_is_null(json_array_get(json_object_get(one, "sink_c"), 9)));
    expect_null_with_why(one, "ripple_v", "ripple_why", "thermal runaway");
    json_decref(root);
    run_line(&run, LOADRUN "\"$C/runaway-drive.ini\" \"$C/runaway-module.ini\"");
    cr_expect(strstr(run.out, "Then nothing more: thermal runaway"));
    cr_expect(strstr(run.out, "DO NOT START: the sink is past that already"));
    run_close(&run);
}

/* Once the sink stands still the chips are asked again and again where they are already.  Expected:
 * the check of the same files has an equilibrium at every frequency. */
Test(run_loadrun, a_network_that_has_settled_is_no_runaway)
{
    static const char *const cases[] = { "both-joints-single", "third-harmonic-single-parallel" };
    struct run run;
    run_open(&run);
    for (size_t k = 0; k < sizeof cases / sizeof cases[0]; k++) {
        char command[256];
        (void)snprintf(command, sizeof command,
                       LOADRUN "\"$C/%s-drive.ini\" \"$C/%s-module.ini\" --format json", cases[k],
                       cases[k]);
        json_t *root = answer_to(&run, command);
        json_t *runs = json_object_get(json_object_get(root, "network"), "runs");
        cr_assert_gt(json_array_size(runs), 0u);
        for (size_t i = 0; i < json_array_size(runs); i++)
            cr_expect(json_is_null(json_object_get(json_array_get(runs, i), "why")), "%s, run %zu",
                      cases[k], i);
        json_decref(root);
    }
    run_close(&run);
}

/* The second calculation beside the readings: its rules are the readings, at the minutes of
 * both. */
Test(run_loadrun, network_tells_both_calculations_and_their_differences)
{
    static const char *const keys[] = { "base_capacity_j_per_k",
                                        "base_capacity_why",
                                        "case_over_sink_s",
                                        "sink_s",
                                        "chips_and_case_s",
                                        "chips_and_case_share",
                                        "igbt_ladder",
                                        "diode_ladder",
                                        "overload",
                                        "low_frequency" };
    struct run run;
    run_open(&run);
    json_t *root = answer_to(&run, LOADRUN GOOD "--format json");
    json_t *network = json_object_get(root, "network");
    cr_expect(json_is_null(json_object_get(network, "why")));
    for (size_t k = 0; k < sizeof keys / sizeof keys[0]; k++)
        cr_expect_not_null(json_object_get(network, keys[k]), "%s", keys[k]);
    for (size_t i = 0; i < 2; i++) {
        json_t *told = json_array_get(json_object_get(network, "runs"), i), *one = run_at(root, i);
        json_t *time = json_object_get(told, "time_s"), *sink = json_object_get(told, "sink_c");
        json_t *rules = json_object_get(told, "rules_sink_c");
        cr_assert_eq(json_array_size(time), 72);
        cr_assert_eq(json_array_size(sink), 72);
        NEAR(json_number_value(json_array_get(time, 16)), 300.0, 1e-9);
        NEAR(json_number_value(json_array_get(rules, 16)),
             json_number_value(json_array_get(json_object_get(one, "sink_c"), 3)), 2e-3);
        double largest = 0.0;
        for (size_t k = 0; k < 72; k++) {
            const double gap = json_number_value(json_array_get(sink, k)) -
                               json_number_value(json_array_get(rules, k));
            largest = fabs(gap) > fabs(largest) ? gap : largest;
        }
        NEAR(answer_number(told, "sink_difference_k"), largest, 1e-6);
    }
    json_decref(root);
    run_close(&run);
}

/* A base of its own: its capacity from the file, over the joint of this drive; it delays the
 * case. */
Test(run_loadrun, base_capacity_of_the_module_file_slows_the_network)
{
    struct run run;
    run_open(&run);
    json_t *bare = answer_to(&run, LOADRUN GOOD "--format json");
    json_t *with = answer_to(&run, "sed 's/^\\[mounting\\]/&\\nbase_capacity = 70 J\\/K/' "
                                   "\"$E/module-good.ini\" >\"$T/m.ini\"; " LOADRUN
                                   "\"$E/drive.ini\" \"$T/m.ini\" --format json");
    json_t *a = json_object_get(bare, "network"), *b = json_object_get(with, "network");
    expect_null_with_why(a, "base_capacity_j_per_k", "base_capacity_why", "base_capacity");
    NEAR(answer_number(b, "base_capacity_j_per_k"), 70.0, 1e-9);
    NEAR(answer_number(b, "case_over_sink_s"), 70.0 * 0.0525, 1e-6);
    cr_expect_gt(answer_number(b, "chips_and_case_s"), answer_number(a, "chips_and_case_s") + 5.0);
    cr_expect_lt(answer_number(json_array_get(json_object_get(b, "runs"), 0), "tvj_difference_k"),
                 answer_number(json_array_get(json_object_get(a, "runs"), 0), "tvj_difference_k"));
    json_decref(with);
    json_decref(bare);
    run_close(&run);
}

/* Where the difference is more than a meter's error the technician is told what to expect; where it
 * is not, nothing is said of it. */
Test(run_loadrun, a_network_that_comes_late_is_told_on_the_sheet)
{
    struct run run;
    run_open(&run);
    run_line(&run, LOADRUN "\"$C/runaway-drive.ini\" \"$C/runaway-module.ini\"");
    cr_expect(strstr(run.out, "later than told"));
    run_line(&run, LOADRUN GOOD);
    cr_expect(strstr(run.out, "at most in the sink (30 Hz, minute"));
    cr_expect_null(strstr(run.out, "later than told"));
    run_close(&run);
}

Test(run_loadrun, without_sink_capacity_the_network_says_why_it_is_not_told)
{
    struct run run;
    run_open(&run);
    json_t *root = answer_to(&run, EDITED("/^sink_capacity/d") ON_EDITED "--format json");
    json_t *network = json_object_get(root, "network");
    expect_null_with_why(network, "sink_s", "why", "sink_capacity");
    cr_expect_eq(json_array_size(json_object_get(network, "runs")), 0);
    json_decref(root);
    run_line(&run, "LC_ALL=C " LOADRUN ON_EDITED);
    cr_expect(strstr(run.out, "Not told: sink_capacity"));
    run_close(&run);
}

Test(run_loadrun, csv_has_the_numbers_of_the_json_with_their_units)
{
    static const char *const lines[] = { "\nruns[0].sink_c[0],40,degC,",
                                         "\nruns[0].minutes[9],60,min,",
                                         "\nruns[1].output_hz,60,Hz,", "\nlog,,," };
    struct run run;
    run_open(&run);
    run_line(&run, LOADRUN GOOD "--format csv");
    cr_expect_eq(run.code, 0);
    for (size_t i = 0; i < sizeof lines / sizeof lines[0]; i++)
        cr_expect(strstr(run.out, lines[i]), "lacks %s", lines[i]);
    run_close(&run);
}

Test(run_loadrun, a_joint_file_warms_the_case)
{
    struct run run;
    run_open(&run);
    json_t *as_is = answer_to(&run, LOADRUN GOOD "--format json");
    json_t *thick = answer_to(&run, LOADRUN GOOD "--joint \"$E/joint-thick.ini\" --format json");
    cr_expect_gt(answer_number(json_object_get(run_at(thick, 0), "settled"), "case_igbt_c"),
                 answer_number(json_object_get(run_at(as_is, 0), "settled"), "case_igbt_c") + 5.0);
    json_decref(as_is);
    json_decref(thick);
    run_close(&run);
}

Test(run_loadrun, formats_and_options_it_does_not_have_are_wrong_usage)
{
    struct run run;
    run_open(&run);
    run_line(&run, LOADRUN GOOD "--format jsonl");
    cr_expect_eq(run.code, 2);
    cr_expect_str_eq(run.out, "");
    run_line(&run, LOADRUN GOOD "--strict");
    cr_expect_eq(run.code, 2);
    run_close(&run);
}

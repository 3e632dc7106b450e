/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Whole runs with --original.  Expected outcomes: the rules of the comparison (it never lifts a
 * rejection, a part beside itself differs in nothing) and what each example says of itself. */
#include <criterion/criterion.h>

#include "report/glyph.h"
#include "report/words.h"
#include "support/answer.h"
#include "support/ascii.h"
#include "support/near.h"

#include <stdio.h>
#include <string.h>

#define CHECK(module) "\"$S\" check \"$E/drive.ini\" \"$E/module-" module ".ini\""
#define ORIGINAL(module) " --original \"$E/module-" module ".ini\""
#define JSON " --format json"

static json_t *json_of(struct run *run, const char *command, int code)
{
    json_t *root = answer_to(run, command);
    cr_assert_eq(run->code, code, "%s", run->err);
    return root;
}

/* The row of a name, and of a frequency where it has one. */
static json_t *row_of(json_t *root, const char *name, double output_hz)
{
    json_t *rows = json_object_get(json_object_get(root, "original"), "comparison");
    for (size_t i = 0; i < json_array_size(rows); i++) {
        json_t *row = json_array_get(rows, i);
        const double hz = json_number_value(json_object_get(row, "output_hz"));
        if (strcmp(json_string_value(json_object_get(row, "name")), name) == 0 &&
            fabs(hz - output_hz) < 1e-9) {
            return row;
        }
    }
    cr_assert_fail("no row %s", name);
    return NULL;
}

Test(run_original, without_the_option_there_is_null_and_why)
{
    struct run run;
    run_open(&run);
    json_t *root = json_of(&run, CHECK("good") JSON, 0);
    cr_expect(json_is_null(json_object_get(root, "original")));
    cr_expect(json_is_string(json_object_get(root, "original_why")));
    json_decref(root);
    run_line(&run, CHECK("good"));
    cr_expect_null(strstr(run.out, "Beside the original"));
    run_close(&run);
}

Test(run_original, the_sheet_tells_it_beside_the_verdict_and_side_by_side)
{
    struct run run;
    run_open(&run);
    run_line(&run, CHECK("good") ORIGINAL("original"));
    cr_expect_eq(run.code, 0, "%s", run.err);
    cr_expect_str_eq(run.err, "");
    cr_expect(is_ascii(run.out));
    cr_expect_not_null(strstr(run.out, "\n  Original   HL 100-12 B: margin "));
    cr_expect_not_null(strstr(run.out, "\nBeside the original, HL 100-12 B ----"));
    /* both module files: 0.19 K/W in place of 0.155 K/W, 150 A in place of 100 A */
    cr_expect_not_null(
        strstr(run.out, "R_th(j-c), IGBT: 0.19 K/W, the original 0.155 K/W (+0.035 K/W)"));
    cr_expect_not_null(strstr(run.out, "150 A      100 A       +50 A\n"));
    for (const char *p = run.out; *p != '\0';) {
        const size_t length = strcspn(p, "\n");
        cr_expect_leq(length, 80, "too wide: %.*s", (int)length, p);
        p += length + (p[length] == '\n' ? 1 : 0);
    }
    run_close(&run);
}

Test(run_original, a_part_beside_itself_has_no_difference_anywhere)
{
    struct run run;
    run_open(&run);
    json_t *root = json_of(&run, CHECK("original") ORIGINAL("original") JSON, 0);
    json_t *original = json_object_get(root, "original");
    json_t *rows = json_object_get(original, "comparison");
    /* every row once, those of the points at each of the two frequencies */
    cr_assert_gt(json_array_size(rows), SM_COMPARED_COUNT);
    for (size_t i = 0; i < json_array_size(rows); i++) {
        json_t *row = json_array_get(rows, i), *difference = json_object_get(row, "difference");
        cr_expect(json_is_false(json_object_get(row, "worse")));
        cr_expect(json_is_null(difference) || fabs(json_number_value(difference)) <= 0.0);
        cr_expect_not(json_is_false(json_object_get(row, "same")));
        cr_expect(json_equal(json_object_get(row, "candidate"), json_object_get(row, "original")));
    }
    cr_expect(json_equal(json_object_get(root, "points"), json_object_get(original, "points")));
    cr_expect_eq(json_array_size(json_object_get(original, "disadvantages")), 0);
    json_decref(root);
    run_line(&run, CHECK("original") ORIGINAL("original"));
    cr_expect_not_null(strstr(run.out, "The candidate is nowhere worse."));
    run_close(&run);
}

Test(run_original, its_numbers_are_those_of_its_own_check)
{
    struct run run;
    run_open(&run);
    json_t *beside = json_of(&run, CHECK("good") ORIGINAL("original") JSON, 0);
    json_t *alone = json_of(&run, CHECK("original") JSON, 0);
    json_t *original = json_object_get(beside, "original");
    static const char *const keys[] = { "points", "margin_k", "verdict", "reasons" };
    for (size_t i = 0; i < sizeof keys / sizeof keys[0]; i++) {
        cr_expect(json_equal(json_object_get(original, keys[i]), json_object_get(alone, keys[i])),
                  "%s", keys[i]);
    }
    cr_expect_str_eq(json_string_value(json_object_get(original, "part")), "HL 100-12 B");
    json_decref(beside);
    json_decref(alone);
    run_close(&run);
}

Test(run_original, each_row_has_all_keys_and_its_difference_is_candidate_less_original)
{
    static const char *const keys[] = { "name",     "unit",       "output_hz",       "candidate",
                                        "original", "difference", "difference_unit", "same",
                                        "worse",    "why" };
    struct run run;
    run_open(&run);
    json_t *root = json_of(&run, CHECK("good") ORIGINAL("original") JSON, 0);
    json_t *rows = json_object_get(json_object_get(root, "original"), "comparison");
    for (size_t i = 0; i < json_array_size(rows); i++) {
        json_t *row = json_array_get(rows, i);
        for (size_t k = 0; k < sizeof keys / sizeof keys[0]; k++) {
            cr_expect_not_null(json_object_get(row, keys[k]), "%s", keys[k]);
        }
        json_t *difference = json_object_get(row, "difference");
        if (json_is_null(difference)) {
            cr_expect(json_is_string(json_object_get(row, "why")));
            continue;
        }
        /* ten digits are written of each */
        NEAR(json_number_value(difference),
             answer_number(row, "candidate") - answer_number(row, "original"),
             1e-8 * (1.0 + fabs(answer_number(row, "candidate"))));
    }
    NEAR_REL(answer_number(row_of(root, "tvj_op_max_c", 0.0), "difference"), 25.0, 1e-9);
    NEAR_REL(answer_number(row_of(root, "stray_inductance_nh", 0.0), "original"), 30.0, 1e-9);
    json_t *point = json_array_get(json_object_get(root, "points"), 1);
    NEAR_REL(answer_number(row_of(root, "total_w", 60.0), "candidate"),
             answer_number(point, "sink_heat_w") - 170.0, 1e-8); /* less other_heat */
    cr_expect(json_is_null(json_object_get(row_of(root, "price", 0.0), "original")));
    json_decref(root);
    run_close(&run);
}

Test(run_original, csv_has_the_unit_of_each_number)
{
    struct run run;
    run_open(&run);
    run_line(&run, CHECK("good") ORIGINAL("original") " --format csv | grep '^original.comp' | "
                                                      "tr -d '\\r' | grep -A5 ',,,tvj_op_max_c$'");
    /* both module files: 150 degC and 125 degC */
    cr_expect_not_null(strstr(run.out, "].candidate,150,degC,\n"), "%s", run.out);
    cr_expect_not_null(strstr(run.out, "].original,125,degC,\n"));
    cr_expect_not_null(strstr(run.out, "].difference,25,K,\n"));
    run_close(&run);
}

Test(run_original, a_rejection_stays_one_whatever_the_original_does)
{
    struct run run;
    run_open(&run);
    run_line(&run, CHECK("low-frequency") ORIGINAL("original"));
    cr_expect_eq(run.code, 1);
    cr_expect_eq(strncmp(run.out, "REJECT ", 7), 0);
    run_line(&run, CHECK("low-frequency") ORIGINAL("low-frequency"));
    cr_expect_eq(run.code, 1);
    json_t *root = json_of(&run, CHECK("good") ORIGINAL("low-frequency") JSON, 0);
    cr_expect_str_eq(
        json_string_value(json_object_get(json_object_get(root, "original"), "verdict")), "reject");
    cr_expect_eq(json_array_size(json_object_get(root, "reasons")), 0);
    json_decref(root);
    run_close(&run);
}

Test(run_original, runaway_of_the_original_is_null_and_no_crash)
{
    struct run run;
    run_open(&run);
    const char *command = "\"$S\" check \"$C/runaway-drive.ini\" \"$E/module-good.ini\" --original "
                          "\"$C/runaway-module.ini\"";
    char json[256];
    run_line(&run, command);
    cr_expect_eq(run.code, 1);
    cr_expect_not_null(strstr(run.out, "SIX-R 75: thermal runaway at 60 Hz"));
    (void)snprintf(json, sizeof json, "%s --format json", command);
    json_t *root = json_of(&run, json, 1);
    json_t *original = json_object_get(root, "original");
    json_t *row = row_of(root, "margin_k", 60.0);
    cr_expect(json_is_null(json_object_get(original, "margin_k")));
    cr_expect(json_is_string(json_object_get(original, "why")));
    cr_expect(json_is_null(json_object_get(row, "original")));
    cr_expect_not_null(strstr(json_string_value(json_object_get(row, "why")), "thermal runaway"));
    cr_expect_str_eq(
        json_string_value(json_object_get(row_of(root, "isolation_voltage_v", 0.0), "why")),
        "not given in the original's file");
    json_decref(root);
    run_close(&run);
}

Test(run_original, a_wrong_original_is_exit_two_with_its_faults)
{
    struct run run;
    run_open(&run);
    run_line(&run, CHECK("good") " --original \"$E/drive.ini\"");
    cr_expect_eq(run.code, 2);
    cr_expect_str_eq(run.out, "");
    cr_expect_not_null(strstr(run.err, "drive.ini: "));
    run_line(&run, CHECK("good") " --original \"$T/none.ini\"");
    cr_expect_eq(run.code, 2);
    cr_expect_not_null(strstr(run.err, "/none.ini: "));
    run_line(&run, "\"$S\" check \"$T/a\" \"$T/b\" --original \"$T/c\"");
    cr_expect_eq(run.code, 2);
    cr_expect(strstr(run.err, "/a: ") && strstr(run.err, "/b: ") && strstr(run.err, "/c: "),
              "faults of all files are told: %s", run.err);
    run_line(&run, "\"$S\" check \"$E/drive.ini\" \"$T/b\" --original \"$T/b\"");
    const char *first = strstr(run.err, "/b: ");
    cr_assert_not_null(first);
    cr_expect_null(strstr(first + 1, "/b: "), "a fault of one file is told once: %s", run.err);
    run_close(&run);
}

Test(run_original, the_original_is_not_written_over)
{
    struct run run;
    run_open(&run);
    run_line(&run, "cp \"$E/module-original.ini\" \"$T/old.ini\"; " CHECK(
                       "good") " --original \"$T/old.ini\" --output \"$T/old.ini\"; echo $?; cmp "
                               "\"$E/module-original.ini\" \"$T/old.ini\"");
    cr_expect_str_eq(run.out, "2\n");
    cr_expect_not_null(strstr(run.err, "it is one of the files read"));
    run_close(&run);
}

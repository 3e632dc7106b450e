/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Whole runs of `sweep`, its rows against runs of `check` on files with that value typed in: every
 * digit must agree. */
#include <criterion/criterion.h>

#include "report/glyph.h"
#include "support/answer.h"
#include "support/ascii.h"
#include "support/csv_read.h"
#include "support/near.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define SWEEP "\"$S\" sweep \"$E/drive.ini\" \"$E/module-good.ini\" "

/* A point of a sweep against the same point of a check. */
static void points_equal(json_t *swept, json_t *checked)
{
    json_t *igbt = json_object_get(checked, "igbt"), *diode = json_object_get(checked, "diode");
    NEAR(answer_number(swept, "output_hz"), answer_number(checked, "output_hz"), 0.0);
    NEAR(answer_number(swept, "igbt_tvj_max_c"), answer_number(igbt, "tvj_max_c"), 0.0);
    NEAR(answer_number(swept, "diode_tvj_max_c"), answer_number(diode, "tvj_max_c"), 0.0);
    NEAR(answer_number(swept, "sink_c"), answer_number(checked, "sink_c"), 0.0);
    NEAR(answer_number(swept, "case_igbt_c"), answer_number(checked, "case_igbt_c"), 0.0);
    NEAR(answer_number(swept, "case_diode_c"), answer_number(checked, "case_diode_c"), 0.0);
    NEAR(answer_number(swept, "margin_k"), answer_number(checked, "margin_k"), 0.0);
}

Test(run_sweep, each_row_equals_a_check_of_a_file_with_that_value)
{
    static const struct {
        const char *over, *from, *to;
        const char *edit[3]; /* what the line of the key reads in rows 0, 1 and 2 */
    } rows[] = {
        { "load", "50 %", "120 %", { "load = 50 %", "load = 85 %", "load = 120 %" } },
        { "ambient",
          "-5 degC",
          "50 degC",
          { "ambient = -5 degC", "ambient = 22.5 degC", "ambient = 50 degC" } },
        { "switching_frequency",
          "1 kHz",
          "2 kHz",
          { "switching_frequency = 1 kHz", "switching_frequency = 1.5 kHz",
            "switching_frequency = 2 kHz" } },
        { "joint_thickness",
          "30 um",
          "0.2 mm",
          { "thickness = 30 um", "thickness = 115 um", "thickness = 0.2 mm" } },
    };
    struct run run;
    run_open(&run);
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        char command[512];
        (void)snprintf(command, sizeof command,
                       SWEEP "--over %s --from '%s' --to '%s' --steps 3 --format json",
                       rows[i].over, rows[i].from, rows[i].to);
        json_t *sweep = answer_to(&run, command);
        cr_expect_eq(run.code, 0);
        for (size_t k = 0; k < 3; k++) {
            (void)snprintf(command, sizeof command,
                           "sed 's/^%.*s = .*/%s/' \"$E/drive.ini\" >\"$T/d.ini\"; \"$S\" check "
                           "\"$T/d.ini\" \"$E/module-good.ini\" --format json",
                           (int)strcspn(rows[i].edit[k], " "), rows[i].edit[k], rows[i].edit[k]);
            json_t *check = answer_to(&run, command);
            json_t *row = json_array_get(json_object_get(sweep, "rows"), k);
            NEAR(answer_number(row, "margin_k"), answer_number(check, "margin_k"), 0.0);
            for (size_t p = 0; p < 2; p++) {
                points_equal(json_array_get(json_object_get(row, "points"), p),
                             json_array_get(json_object_get(check, "points"), p));
            }
            json_decref(check);
        }
        json_decref(sweep);
    }
    run_close(&run);
}

Test(run_sweep, over_the_test_frequencies_it_equals_the_check_itself)
{
    struct run run;
    run_open(&run);
    json_t *sweep = answer_to(
        &run, SWEEP "--over output_frequency --from 30Hz --to 60Hz --steps 2 --format json");
    json_t *check =
        answer_to(&run, "\"$S\" check \"$E/drive.ini\" \"$E/module-good.ini\" --format json");
    for (size_t i = 0; i < 2; i++) {
        json_t *row = json_array_get(json_object_get(sweep, "rows"), i);
        json_t *points = json_object_get(row, "points");
        cr_assert_eq(json_array_size(points), 1);
        points_equal(json_array_get(points, 0),
                     json_array_get(json_object_get(check, "points"), i));
        NEAR(answer_number(row, "value"), answer_number(row, "worst_hz"), 0.0);
    }
    json_decref(sweep);
    json_decref(check);
    run_close(&run);
}

Test(run_sweep, the_margin_falls_over_ambient_layer_load_and_carrier)
{
    static const char *const ranges[] = {
        "--over ambient --from '0 degC' --to '80 degC'",
        "--over joint_thickness --from '20 um' --to '1 mm' --spacing log",
        "--over load --from '10 %' --to '200 %'",
        "--over switching_frequency --from '1 kHz' --to '10 kHz'",
    };
    struct run run;
    run_open(&run);
    for (size_t i = 0; i < sizeof ranges / sizeof ranges[0]; i++) {
        char command[256];
        (void)snprintf(command, sizeof command, SWEEP "%s --steps 9 --format json", ranges[i]);
        json_t *root = answer_to(&run, command);
        json_t *rows = json_object_get(root, "rows");
        for (size_t k = 1; k < 9; k++) {
            cr_expect_lt(answer_number(json_array_get(rows, k), "margin_k"),
                         answer_number(json_array_get(rows, k - 1), "margin_k"), "%s", ranges[i]);
        }
        json_decref(root);
    }
    run_close(&run);
}

/* At the crossing the margin of a check must be the required one.  The bend of the margin between
 * two rows 2 K of ambient apart is below 0.01 K (its slope changes by some percent over 50 K). */
Test(run_sweep, a_check_at_the_crossing_has_the_required_margin)
{
    struct run run;
    run_open(&run);
    json_t *root = answer_to(
        &run, SWEEP "--over ambient --from '60 degC' --to '80 degC' --steps 11 --format json");
    json_t *crossing = json_array_get(json_object_get(root, "crossings"), 0);
    char command[512];
    (void)snprintf(command, sizeof command,
                   "sed 's/^ambient = .*/ambient = %.9f degC/' \"$E/drive.ini\" >\"$T/d.ini\"; "
                   "\"$S\" check \"$T/d.ini\" \"$E/module-good.ini\" --format json",
                   answer_number(crossing, "value"));
    json_t *check = answer_to(&run, command);
    NEAR(answer_number(check, "margin_k"), answer_number(root, "required_margin_k"), 0.01);
    json_decref(root);
    json_decref(check);
    run_close(&run);
}

Test(run_sweep, csv_has_the_numbers_of_json_and_no_number_where_there_is_no_equilibrium)
{
    struct run run;
    run_open(&run);
    const char *command = SWEEP "--over load --from '100 %' --to '400 %' --steps 4 --format";
    char line[256];
    (void)snprintf(line, sizeof line, "%s json", command);
    json_t *root = answer_to(&run, line);
    json_t *rows = json_object_get(root, "rows");
    (void)snprintf(line, sizeof line, "%s csv", command);
    run_line(&run, line);
    cr_expect_eq(run.code, 0);
    struct csv_table table = csv_read(run.out);
    cr_assert_eq(table.rows, 1 + 4 * 2);
    for (size_t i = 0; i < 8; i++) {
        json_t *row = json_array_get(rows, i / 2);
        json_t *point = json_array_get(json_object_get(row, "points"), i % 2);
        NEAR(strtod(csv_cell(&table, i, "value"), NULL), answer_number(row, "value"), 0.0);
        if (json_is_true(json_object_get(point, "runaway"))) {
            cr_expect_str_eq(csv_cell(&table, i, "igbt_tvj_max_c"), "");
            cr_expect_str_eq(csv_cell(&table, i, "state"), "runaway");
        } else {
            NEAR(strtod(csv_cell(&table, i, "igbt_tvj_max_c"), NULL),
                 answer_number(point, "igbt_tvj_max_c"), 0.0);
        }
    }
    /* four times the rated current is far beyond what the sink carries away */
    cr_expect_str_eq(csv_cell(&table, 7, "row_state"), "runaway");
    json_decref(root);
    csv_release(&table);
    run_close(&run);
}

Test(run_sweep, the_text_fits_the_page_in_either_spelling)
{
    static const char *const locales[] = { "C", "C.UTF-8" };
    struct run run;
    run_open(&run);
    run_line(&run, "sed 's/^frequencies = .*/frequencies = 5 10 15 20 25 30 35 40 45 50 55 60 Hz/' "
                   "\"$E/drive.ini\" >\"$T/d.ini\"");
    for (size_t i = 0; i < 2; i++) {
        char command[256];
        (void)snprintf(command, sizeof command,
                       "LC_ALL=%s \"$S\" sweep \"$T/d.ini\" \"$E/module-good.ini\" --over load "
                       "--from '1 %%' --to '333 %%' --steps 7",
                       locales[i]);
        run_line(&run, command);
        cr_expect_eq(run.code, 0);
        cr_expect(i == 1 || is_ascii(run.out));
        for (const char *p = run.out; *p != '\0';) {
            char line[1024];
            const size_t length = strcspn(p, "\n");
            (void)snprintf(line, sizeof line, "%.*s", (int)length, p);
            cr_expect_leq(glyph_text_columns(line), 80, "too wide: %s", line);
            p += length + (p[length] == '\n' ? 1 : 0);
        }
    }
    run_close(&run);
}

Test(run_sweep, a_joint_printed_without_its_layer_is_refused_with_the_reason)
{
    struct run run;
    run_open(&run);
    run_line(&run, "sed '/^rth_cs_conductivity/d; /^rth_cs_thickness/d' \"$E/module-good.ini\" "
                   ">\"$T/m.ini\"; \"$S\" check \"$E/drive.ini\" \"$T/m.ini\" >/dev/null; echo $?");
    cr_expect_str_eq(run.out, "0\n", "the file itself is sound: %s", run.err);
    run_line(&run,
             "\"$S\" sweep \"$E/drive.ini\" \"$T/m.ini\" --over joint_thickness --from '50 um' "
             "--to '100 um' --steps 3 --output \"$T/o.txt\"; code=$?; ls \"$T/o.txt\"; "
             "exit $code");
    cr_expect_eq(run.code, 2);
    cr_expect_str_eq(run.out, "", "no file is created");
    cr_expect_not_null(strstr(run.err, "m.ini: the thickness of the joint changes nothing here"),
                       "%s", run.err);
    run_close(&run);
}

#define RANGE " --from '20 degC' --to '50 degC' "

Test(run_sweep, wrong_usage_exits_two_with_one_line_that_helps)
{
    static const struct {
        const char *words, *message;
    } rows[] = {
        { "--over ambient" RANGE, "'sweep' needs --steps N" },
        { "--over ambient --from '20 degC' --steps 3", "'sweep' needs --to VALUE" },
        { RANGE "--steps 3", "'sweep' needs --over WHAT" },
        { "--over ambiemt" RANGE "--steps 3", "did you mean 'ambient'?" },
        { "--over colour" RANGE "--steps 3", "expected one of: output_frequency, load, ambient" },
        { "--over ambient --from 20 --to '50 degC' --steps 3", "from: '20' has no unit" },
        { "--over ambient --from '20 degC' --to '50 kHz' --steps 3", "wrong kind of unit" },
        { "--over load --from '50,5 %' --to '90 %' --steps 3", "comma between digits" },
        { "--over load --from '50 60 %' --to '90 %' --steps 3", "is a list; expected one value" },
        { "--over ambient" RANGE "--steps 1", "steps: '1' is out of range; expected 2 to 1000" },
        { "--over ambient" RANGE "--steps 1001", "steps: '1001' is out of range" },
        { "--over ambient" RANGE "--steps 2.5", "'2.5' is not a number of rows" },
        { "--over ambient" RANGE "--steps -3", "'-3' is not a number of rows" },
        { "--over ambient" RANGE "--steps 99999999999999999999", "is not a number of rows" },
        { "--over ambient --from '50 degC' --to '20 degC' --steps 3", "is below where the sweep" },
        { "--over ambient --from '50 degC' --to 323.15K --steps 3", "the same as where the sweep" },
        { "--over ambient --from '50 degC' --to '151 degC' --steps 3",
          "to: '151 degC' is out of range; expected -60 degC to 150 degC" },
        { "--over ambient" RANGE "--steps 3 --spacing log", "equal factors mean nothing" },
        { "--over ambient" RANGE "--steps 3 --spacing wide", "unknown spacing 'wide'" },
        { "--over ambient" RANGE "--steps 3 --format jsonl", "has no format 'jsonl'" },
        { "--over ambient" RANGE "--steps 3 --strict", "'sweep' has no option '--strict'" },
        { "--over ambient" RANGE "--steps 3 --steps 4", "given twice" },
    };
    struct run run;
    run_open(&run);
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        char command[256];
        (void)snprintf(command, sizeof command, SWEEP "%s", rows[i].words);
        run_line(&run, command);
        cr_expect_eq(run.code, 2, "%s exits %d", command, run.code);
        cr_expect_str_eq(run.out, "", "%s", command);
        cr_expect_not_null(strstr(run.err, rows[i].message), "%s: %s", command, run.err);
        cr_expect_eq(strcspn(run.err, "\n") + 1, strlen(run.err), "one line: %s", run.err);
    }
    run_close(&run);
}

Test(run_sweep, faults_of_the_line_and_of_the_files_are_told_together)
{
    struct run run;
    run_open(&run);
    run_line(&run,
             "sed 's/480 V /480 kA /' \"$E/drive.ini\" >\"$T/d.ini\"; \"$S\" sweep "
             "\"$T/d.ini\" \"$E/module-good.ini\" --over load --from '1 Hz' --to 1 --steps x");
    cr_expect_eq(run.code, 2);
    cr_expect_not_null(strstr(run.err, "swapmargin: --from: "), "%s", run.err);
    cr_expect_not_null(strstr(run.err, "swapmargin: --steps: "), "%s", run.err);
    cr_expect_not_null(strstr(run.err, "line_voltage: "), "%s", run.err);
    run_close(&run);
}

Test(run_sweep, output_writes_the_same_and_no_result_can_replace_an_input)
{
    struct run run;
    run_open(&run);
    run_line(&run, SWEEP "--over load --from '50 %' --to 1 --steps 3 >\"$T/a\" && " SWEEP
                         "--over load --from '50 %' --to 1 --steps 3 --output \"$T/b\" && cmp "
                         "\"$T/a\" \"$T/b\"");
    cr_expect_eq(run.code, 0, "%s%s", run.out, run.err);
    run_line(&run, "cp \"$E/drive.ini\" \"$T/d.ini\"; \"$S\" sweep \"$T/d.ini\" "
                   "\"$E/module-good.ini\" --over load --from '50 %' --to 1 --steps 3 --output "
                   "\"$T/d.ini\"; echo $?; cmp \"$E/drive.ini\" \"$T/d.ini\"");
    cr_expect_str_eq(run.out, "2\n");
    run_line(&run, SWEEP "--over load --from '50 %' --to 1 --steps 3 >/dev/full");
    cr_expect_eq(run.code, 3);
    run_close(&run);
}

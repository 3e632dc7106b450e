/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Whole runs of the program: what it answers.  Expected outcomes: the published contract (exit 0
 * approve or conditional, 1 reject) and what each example says of itself in its first lines. */
#include <criterion/criterion.h>

#include "report/glyph.h"
#include "support/answer.h"
#include "support/ascii.h"
#include "support/csv_read.h"
#include "support/near.h"

#include <stdbool.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define CHECK_GOOD "\"$S\" check \"$E/drive.ini\" \"$E/module-good.ini\""

static void lines_fit(const char *text)
{
    while (*text != '\0') {
        char line[1024];
        const size_t length = strcspn(text, "\n");
        (void)snprintf(line, sizeof line, "%.*s", (int)length, text);
        cr_expect_leq(glyph_text_columns(line), 80, "too wide: %s", line);
        text += length + (text[length] == '\n' ? 1 : 0);
    }
}

Test(run_check, the_good_module_is_conditional_and_exits_zero)
{
    struct run run;
    run_open(&run);
    run_line(&run, CHECK_GOOD);
    cr_expect_eq(run.code, 0, "%s", run.err);
    cr_expect_eq(strncmp(run.out, "CONDITIONAL ", 12), 0);
    cr_expect_str_eq(run.err, "");
    cr_expect_not_null(strstr(run.out, "  [ ] "));
    cr_expect_not_null(strstr(run.out, "50 V"), "the cautions are there");
    run_close(&run);
}

Test(run_check, strict_makes_conditional_exit_one_and_changes_no_word)
{
    struct run run;
    run_open(&run);
    run_line(&run, CHECK_GOOD);
    char *plain = strdup(run.out);
    cr_assert_not_null(plain);
    run_line(&run, CHECK_GOOD " --strict");
    cr_expect_eq(run.code, 1);
    cr_expect_str_eq(run.out, plain);
    free(plain);
    run_close(&run);
}

Test(run_check, the_module_with_the_small_diode_fails_at_30_hz_only)
{
    struct run run;
    run_open(&run);
    run_line(&run, "\"$S\" check \"$E/drive.ini\" \"$E/module-low-frequency.ini\" --format json");
    cr_expect_eq(run.code, 1, "%s", run.err);
    json_t *root = answer_json(&run);
    json_t *points = json_object_get(root, "points");
    cr_expect_str_eq(answer_words(root, "verdict"), "reject");
    cr_assert_eq(json_array_size(points), 2);
    json_t *low = json_array_get(points, 0), *high = json_array_get(points, 1);
    NEAR(answer_number(low, "output_hz"), 30.0, 0.0);
    NEAR(answer_number(high, "output_hz"), 60.0, 0.0);
    cr_expect_lt(answer_number(low, "margin_k"), 15.0);
    cr_expect_geq(answer_number(high, "margin_k"), 15.0);
    json_decref(root);
    run_close(&run);
}

/* Rules that tie the numbers of one result together, whatever the model behind them. */
static void point_is_consistent(json_t *point, double limit)
{
    json_t *igbt = json_object_get(point, "igbt"), *diode = json_object_get(point, "diode");
    const double igbt_sum = answer_number(igbt, "conduction_w") + answer_number(igbt, "turn_on_w") +
                            answer_number(igbt, "turn_off_w");
    const double diode_sum =
        answer_number(diode, "conduction_w") + answer_number(diode, "recovery_w");
    const double module = 2.0 * (igbt_sum + diode_sum + answer_number(point, "lead_w"));
    const double hottest =
        fmax(answer_number(igbt, "tvj_max_c"), answer_number(diode, "tvj_max_c"));
    /* ten digits are written: 1e-8 relative leaves room for sums of them */
    NEAR_REL(answer_number(igbt, "total_w"), igbt_sum, 1e-8);
    NEAR_REL(answer_number(diode, "total_w"), diode_sum, 1e-8);
    NEAR_REL(answer_number(point, "module_w"), module, 1e-8);
    NEAR_REL(answer_number(point, "sink_heat_w"), 3.0 * module + 170.0, 1e-8); /* other_heat */
    NEAR(answer_number(point, "margin_k"), limit - hottest, 1e-6);
    cr_expect_geq(answer_number(igbt, "tvj_max_c"), answer_number(igbt, "tvj_mean_c"));
    cr_expect_geq(answer_number(igbt, "tvj_mean_c"), answer_number(igbt, "tvj_min_c"));
}

Test(run_check, the_numbers_of_a_result_belong_together)
{
    struct run run;
    run_open(&run);
    run_line(&run, CHECK_GOOD " --format json");
    cr_expect_eq(run.code, 0);
    json_t *root = answer_json(&run);
    json_t *module = json_object_get(root, "module");
    NEAR(answer_number(module, "count"), 3.0, 0.0); /* six switches, two in a half-bridge */
    double smallest = HUGE_VAL;
    for (size_t i = 0; i < 2; i++) {
        json_t *point = json_array_get(json_object_get(root, "points"), i);
        point_is_consistent(point, answer_number(module, "tvj_op_max_c"));
        smallest = fmin(smallest, answer_number(point, "margin_k"));
    }
    NEAR(answer_number(root, "margin_k"), smallest, 0.0);
    NEAR(answer_number(json_object_get(root, "drive"), "dc_bus_v"), 648.0, 0.0);
    json_decref(root);
    run_close(&run);
}

/* The line on which a file has a key, found by reading the file here. */
static int line_of(const char *path, const char *key)
{
    char *content = run_file(path);
    cr_assert_not_null(content);
    const char *found = strstr(content, key);
    cr_assert_not_null(found);
    int line = 1;
    for (const char *p = content; p < found; p++) {
        line += *p == '\n' ? 1 : 0;
    }
    free(content);
    return line;
}

static json_t *input_find(json_t *root, const char *of, const char *key)
{
    json_t *inputs = json_object_get(root, "inputs");
    for (size_t i = 0; i < json_array_size(inputs); i++) {
        json_t *row = json_array_get(inputs, i);
        if (strcmp(answer_words(row, "of"), of) == 0 &&
            strcmp(answer_words(row, "key"), key) == 0) {
            return row;
        }
    }
    return NULL;
}

Test(run_check, each_input_tells_its_value_and_where_it_was_read)
{
    struct run run;
    run_open(&run);
    run_line(&run, CHECK_GOOD " --format json");
    json_t *root = answer_json(&run);
    json_t *given = input_find(root, "drive", "line_voltage");
    json_t *fallback = input_find(root, "module", "curve_gate_voltage");
    cr_assert_not_null(given);
    cr_assert_not_null(fallback);
    cr_expect_str_eq(answer_words(given, "value"), "480 V");
    cr_expect_str_eq(answer_words(given, "origin"), "given");
    cr_expect_str_eq(answer_words(given, "file"), SM_EXAMPLES "/drive.ini");
    NEAR(answer_number(given, "line"), line_of(SM_EXAMPLES "/drive.ini", "line_voltage ="), 0.0);
    cr_expect_str_eq(answer_words(fallback, "origin"), "default");
    cr_expect_str_eq(answer_words(fallback, "value"), "15 V");
    cr_expect(json_is_null(json_object_get(fallback, "line")));
    json_decref(root);
    run_close(&run);
}

Test(run_check, the_sheet_is_ascii_in_the_c_locale_and_never_wider_than_80_columns)
{
    static const char *const modules[] = { "good", "marginal", "low-frequency", "original",
                                           "fast" };
    struct run run;
    run_open(&run);
    for (size_t i = 0; i < sizeof modules / sizeof modules[0]; i++) {
        char command[256];
        (void)snprintf(command, sizeof command,
                       "LC_ALL=C \"$S\" check \"$E/drive.ini\" \"$E/module-%s.ini\"", modules[i]);
        run_line(&run, command);
        cr_expect(is_ascii(run.out), "%s", modules[i]);
        lines_fit(run.out);
        (void)snprintf(command, sizeof command,
                       "LC_ALL=C.UTF-8 \"$S\" check \"$E/drive.ini\" \"$E/module-%s.ini\"",
                       modules[i]);
        run_line(&run, command);
        cr_expect_not_null(strstr(run.out, "\u00b0C"), "%s", modules[i]);
        lines_fit(run.out);
    }
    run_close(&run);
}

/* module-good.ini has test_rg = 6.8 ohm, for on and off; JSON says that they are taken from it. */
Test(run_check, what_a_line_gives_under_another_key_is_not_taken_where_the_files_say_nothing)
{
    struct run run;
    run_open(&run);
    run_line(&run, CHECK_GOOD);
    const char *table = strstr(run.out, "Taken where the files say nothing");
    cr_assert_not_null(table);
    cr_expect_not_null(strstr(table, "[module] curve_gate_voltage"));
    cr_expect_null(strstr(run.out, "test_rg"), "%s", table);
    run_line(&run,
             CHECK_GOOD " --format json | jq -r '.inputs[] | select(.key == \"test_rg_on\") | "
                        "[.value, .origin, .line] | @csv'");
    cr_expect_str_eq(run.out, "\"6.8 ohm\",\"derived\",36\n");
    run_close(&run);
}

/* The margin asked for is a tenth of a millikelvin above, then below what there is: to four digits
 * both are 16.76 K (the JSON's margin). */
Test(run_check, a_margin_that_fails_by_little_does_not_print_as_what_is_required)
{
    struct run run;
    run_open(&run);
    run_line(&run, "cd $T; m=$($S check $E/drive.ini $E/module-marginal.ini --format json | "
                   "jq .margin_k); for d in 0.0001 -0.0001; do r=$(jq -n \"$m + $d\"); "
                   "sed \"s/^required_margin.*/required_margin = $r K/\" $E/drive.ini > d.ini; "
                   "$S check d.ini $E/module-marginal.ini | sed -n '3,5p' | tr -s ' \\n' ' '; "
                   "$S joint d.ini $E/module-marginal.ini | sed -n '3,4p' | tr -s ' \\n' ' '; "
                   "done | grep -oE '[0-9.]+ K' | sort | uniq -c | awk '{ print $1 }'");
    /* three different numbers: the margin on all four sheets, each required one on two of them */
    cr_expect_str_eq(run.out, "2\n4\n2\n", "%s%s", run.out, run.err);
    run_close(&run);
}

/* In air of 56 degC the hold keeps 1.7 K (the row's own margin): approved all the same. */
Test(run_check, a_hold_short_of_the_required_margin_is_noted_on_a_sheet_that_approves)
{
    struct run run;
    run_open(&run);
    run_line(&run, "cd $T; sed 's/^ambient .*/ambient = 56 degC/' $E/drive-complete.ini > d.ini; "
                   "$S check d.ini $E/module-good.ini --strict > o; code=$?; "
                   "tr -s ' \n' ' ' < o; exit $code");
    cr_expect_eq(run.code, 0, "%s", run.err);
    cr_expect(strstr(run.out, "108.9 A peak 91.2 148.3 1.7 diode up to T_vj,op "), "%s", run.out);
    cr_expect(strstr(run.out, "a load that stands still with full torque has a margin of 1.7"),
              "%s", run.out);
    cr_expect(strstr(run.out, " less than the required 15 K"), "%s", run.out);
    cr_expect_not(strstr(run.out, "for good"));
    run_close(&run);
}

Test(run_check, runaway_is_a_result_that_rejects)
{
    struct run run;
    run_open(&run);
    const char *files = "\"$C/runaway-drive.ini\" \"$C/runaway-module.ini\"";
    char command[256];
    (void)snprintf(command, sizeof command, "\"$S\" check %s", files);
    run_line(&run, command);
    cr_expect_eq(run.code, 1, "%s", run.err);
    cr_expect_eq(strncmp(run.out, "REJECT ", 7), 0);
    cr_expect_not_null(strstr(run.out, "thermal runaway"));
    (void)snprintf(command, sizeof command, "\"$S\" check %s --format json", files);
    run_line(&run, command);
    cr_expect_eq(run.code, 1);
    json_t *root = answer_json(&run);
    /* the case says so of itself: equilibrium at the lower frequency only */
    json_t *high = json_array_get(json_object_get(root, "points"), 1);
    cr_expect(json_is_true(json_object_get(high, "runaway")));
    cr_expect(json_is_null(json_object_get(high, "module_w")));
    cr_expect(json_is_null(json_object_get(root, "margin_k")));
    json_decref(root);
    run_close(&run);
}

Test(run_check, a_joint_file_replaces_the_drives_joint)
{
    struct run run;
    run_open(&run);
    run_line(&run, CHECK_GOOD " --format json");
    json_t *own = answer_json(&run);
    run_line(&run, CHECK_GOOD " --format json --joint \"$E/joint-thick.ini\"");
    json_t *thick = answer_json(&run);
    json_t *a = json_object_get(own, "joint"), *b = json_object_get(thick, "joint");
    NEAR(answer_number(a, "thickness_um"), 100.0, 1e-6);
    cr_expect_gt(answer_number(b, "thickness_um"), 100.0);
    cr_expect_gt(answer_number(b, "rth_k_per_w"), answer_number(a, "rth_k_per_w"));
    cr_expect_lt(answer_number(thick, "margin_k"), answer_number(own, "margin_k"));
    json_decref(own);
    json_decref(thick);
    run_close(&run);
}

Test(run_check, tables_of_a_folder_take_the_place_of_the_built_in_ones)
{
    struct run run;
    run_open(&run);
    /* the sheets differ only in what they say they were made from */
    run_line(&run, CHECK_GOOD " >\"$T/a\"; " CHECK_GOOD " --tables \"$TABLES\" >\"$T/b\"; "
                              "sed -i '/^Made from/,$d' \"$T/a\" \"$T/b\"; "
                              "test -s \"$T/a\" && cmp \"$T/a\" \"$T/b\"");
    cr_expect_eq(run.code, 0, "%s%s", run.out, run.err);
    run_line(&run, CHECK_GOOD " --tables \"$T/none\"");
    cr_expect_eq(run.code, 2);
    cr_expect_str_eq(run.out, "");
    run_close(&run);
}

Test(run_check, csv_has_the_margin_of_json_and_the_exit_status_of_the_verdict)
{
    struct run run;
    run_open(&run);
    run_line(&run, "\"$S\" check \"$E/drive.ini\" \"$E/module-low-frequency.ini\" --format csv");
    cr_expect_eq(run.code, 1, "%s", run.err);
    struct csv_table table = csv_read(run.out);
    run_line(&run, "\"$S\" check \"$E/drive.ini\" \"$E/module-low-frequency.ini\" --format json");
    json_t *root = answer_json(&run);
    size_t row = 0;
    while (strcmp(csv_cell(&table, row, "path"), "margin_k") != 0) {
        row++;
    }
    NEAR(strtod(csv_cell(&table, row, "value"), NULL), answer_number(root, "margin_k"), 0.0);
    cr_expect_str_eq(csv_cell(&table, row, "unit"), "K");
    json_decref(root);
    csv_release(&table);
    run_close(&run);
}

/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Whole runs of `swapmargin explain`. */
#include "support/answer.h"
#include "support/ascii.h"
#include "support/near.h"

#include <criterion/criterion.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define EXPLAIN "\"$S\" explain \"$E/drive.ini\" \"$E/module-good.ini\" "

/* Columns, not bytes: the later bytes of a UTF-8 character are not counted. */
static void lines_fit(const char *text)
{
    int columns = 0;
    for (const char *p = text; *p != '\0'; p++) {
        if (*p == '\n') {
            columns = 0;
        } else if (((unsigned char)*p & 0xC0) != 0x80) {
            cr_assert_leq(++columns, 80, "%.100s", p - 60);
        }
    }
}

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

Test(run_explain, formula_numbers_and_value_stand_below_each_other)
{
    struct run run;
    run_open(&run);
    run_line(&run, EXPLAIN "joint.rth_k_per_w");
    cr_expect_eq(run.code, 0, "%s", run.err);
    /* 0.042 K/W with 1 W/(m.K) and 100 um; applied are 0.8 W/(m.K) and 100 um: 0.042 / 0.8 */
    cr_expect_not_null(strstr(run.out, "    R_joint = R_cs * (k_ref / t_ref) / h_j\n"
                                       "            = 0.042 * (1 / 0.0001) / 8000\n"
                                       "            = 0.0525 K/W\n"),
                       "%s", run.out);
    cr_expect_not_null(strstr(run.out, "compounds.ini row"), "the compound's table row");
    run_close(&run);
}

Test(run_explain, each_input_names_file_line_and_key)
{
    struct run run;
    run_open(&run);
    run_line(&run, EXPLAIN "points@30.sink_c --format json");
    cr_expect_eq(run.code, 0, "%s", run.err);
    json_t *root = answer_json(&run), *steps = json_object_get(root, "steps");
    bool found = false, fallback = false;
    for (size_t i = 0; i < json_array_size(steps); i++) {
        json_t *step = json_array_get(steps, i), *origin = json_object_get(step, "origin");
        if (strcmp(answer_words(step, "name"), "[cooling] ambient") == 0) {
            found = true;
            cr_expect_str_eq(answer_words(origin, "file"), SM_EXAMPLES "/drive.ini");
            cr_expect_eq(json_integer_value(json_object_get(origin, "line")),
                         line_of(SM_EXAMPLES "/drive.ini", "ambient ="));
            NEAR(json_number_value(json_object_get(step, "value")), 40.0, 0.0);
        }
        if (strcmp(answer_words(step, "name"), "[cooling] same_case_heat") == 0) {
            fallback = true;
            cr_expect_str_eq(answer_words(origin, "kind"), "default");
            cr_expect(json_is_null(json_object_get(origin, "line")));
        }
    }
    cr_expect(found);
    cr_expect(fallback);
    json_decref(root);
    run_line(&run, EXPLAIN "points@30.sink_c");
    cr_expect_not_null(strstr(run.out, "default [cooling]"));
    run_close(&run);
}

Test(run_explain, each_step_stands_once_and_every_link_leads_to_one)
{
    struct run run;
    run_open(&run);
    run_line(&run, EXPLAIN "margin_k --format json");
    json_t *root = answer_json(&run), *steps = json_object_get(root, "steps");
    json_t *names = json_object();
    (void)json_object_set_new(names, answer_words(root, "what"), json_true());
    for (size_t i = 0; i < json_array_size(steps); i++) {
        const char *name = answer_words(json_array_get(steps, i), "name");
        cr_expect_null(json_object_get(names, name), "'%s' stands twice", name);
        (void)json_object_set_new(names, name, json_true());
    }
    for (size_t i = 0; i < json_array_size(steps); i++) {
        json_t *inputs = json_object_get(json_array_get(steps, i), "inputs");
        for (size_t k = 0; k < json_array_size(inputs); k++)
            cr_expect_not_null(
                json_object_get(names, answer_words(json_array_get(inputs, k), "of")));
    }
    json_decref(names);
    json_decref(root);
    run_close(&run);
}

Test(run_explain, a_frequency_or_a_name_stands_for_a_number)
{
    struct run run;
    run_open(&run);
    run_line(&run, EXPLAIN "'points[1].igbt.total_w' >\"$T/a\"; " EXPLAIN
                           "points@60.igbt.total_w >\"$T/b\"; cmp \"$T/a\" \"$T/b\"");
    cr_expect_eq(run.code, 0, "%s%s", run.out, run.err);
    run_line(&run, EXPLAIN "'limits[2].value' >\"$T/a\"; " EXPLAIN
                           "'limits[switching_hz].value' >\"$T/b\"; cmp \"$T/a\" \"$T/b\"");
    cr_expect_eq(run.code, 0, "%s%s", run.out, run.err);
    run_line(&run, EXPLAIN "points@45.igbt.total_w");
    cr_expect_eq(run.code, 2, "45 Hz is no test frequency");
    cr_expect_str_eq(run.err, "points@45.igbt.total_w: no test frequency of the drive; expected "
                              "points@30.igbt.total_w, points@60.igbt.total_w\n");
    run_line(&run, EXPLAIN "points@50");
    cr_expect_eq(run.code, 2);
    cr_expect_str_eq(run.err, "points@50: no test frequency of the drive; expected points@30, "
                              "points@60\n");
    run_line(&run, EXPLAIN "points@60.igbt.totl_w");
    cr_expect_not_null(strstr(run.err, "did you mean 'points[1].igbt.total_w'?"), "%s", run.err);
    run_close(&run);
}

Test(run_explain, text_is_ascii_in_the_c_locale_and_never_wider_than_80_columns)
{
    static const char *const whats[] = { "", "margin_k", "hold.margin_k", "joint.drop_k[0].value" };
    struct run run;
    run_open(&run);
    for (size_t i = 0; i < sizeof whats / sizeof whats[0]; i++) {
        char command[256];
        (void)snprintf(command, sizeof command, EXPLAIN "%s%s%s", whats[i][0] ? "'" : "", whats[i],
                       whats[i][0] ? "'" : "");
        run_line(&run, command);
        cr_expect_eq(run.code, 0, "%s", run.err);
        cr_expect(is_ascii(run.out));
        lines_fit(run.out);
        (void)setenv("LC_ALL", "C.UTF-8", 1);
        run_line(&run, command);
        lines_fit(run.out);
        (void)setenv("LC_ALL", "C", 1);
    }
    run_close(&run);
}

Test(run_explain, all_that_is_listed_can_be_asked, .timeout = 120)
{
    struct run run;
    run_open(&run);
    run_line(&run, EXPLAIN "--format json");
    cr_expect_eq(run.code, 0);
    json_t *root = answer_json(&run), *list = json_object_get(root, "askable");
    cr_assert_gt(json_array_size(list), 50);
    for (size_t i = 0; i < json_array_size(list); i++) {
        char command[256];
        const char *what = answer_words(json_array_get(list, i), "what");
        if (strstr(what, "points[1]") || strstr(what, "limits[4]"))
            continue; /* as points[0] and limits[0] */
        cr_expect_gt(strlen(answer_words(json_array_get(list, i), "meaning")), 3, "%s", what);
        (void)snprintf(command, sizeof command, EXPLAIN "'%s' --output \"$T/one\"", what);
        run_line(&run, command);
        cr_expect_eq(run.code, 0, "%s: %s", what, run.err);
    }
    json_decref(root);
    run_close(&run);
}

Test(run_explain, a_wrong_name_is_exit_2_and_suggests_the_nearest)
{
    static const struct {
        const char *typed, *suggested;
    } names[] = {
        { "points[0].igbt.tvj_mx_c", "'points[0].igbt.tvj_max_c'" },
        { "margin", "'margin_k'" },
        { "tvj_max_c", "'points[0].igbt.tvj_max_c'" },
        { "points[7].margin_k", "'points[0].margin_k'" },
        { "zebra-crossing", "listed" },
    };
    struct run run;
    run_open(&run);
    for (size_t i = 0; i < sizeof names / sizeof names[0]; i++) {
        char command[256];
        (void)snprintf(command, sizeof command, EXPLAIN "'%s'", names[i].typed);
        run_line(&run, command);
        cr_expect_eq(run.code, 2);
        cr_expect_str_eq(run.out, "");
        cr_expect_not_null(strstr(run.err, names[i].typed), "%s", run.err);
        cr_expect_not_null(strstr(run.err, names[i].suggested), "%s", run.err);
    }
    run_close(&run);
}

Test(run_explain, what_was_not_computed_says_why)
{
    struct run run;
    run_open(&run);
    run_line(&run, "\"$S\" explain \"$C/runaway-drive.ini\" \"$C/runaway-module.ini\" margin_k");
    cr_expect_eq(run.code, 0, "%s", run.err);
    cr_expect_not_null(strstr(run.out, "none: thermal runaway"), "%s", run.out);
    run_line(&run, EXPLAIN "joint.rth_igbt_k_per_w --format json");
    json_t *root = answer_json(&run);
    cr_expect(json_is_null(json_object_get(root, "value")));
    cr_expect_not_null(strstr(answer_words(root, "why"), "per module"));
    json_decref(root);
    run_close(&run);
}

/* Every step that has no value then, result or not; the march began at 0 K once. */
Test(run_explain, after_a_runaway_no_step_of_the_point_has_a_value)
{
    static const char *const names[] = {
        "points@30.igbt.nodes",       "points[0].igbt.foster[0]",
        "points@30.diode.rise_max_k", "points@30.diode.rise_min_k",
        "points@30.igbt.highest",     "points@30.igbt.rms_current_a",
        "points@60.sink_c",           "overload[0].end.march",
        "overload[0].tvj_max_c",      "overload[0].sink_c",
        "overload[0].margin_k",       "points@60.module_w",
        "points@60.case_igbt_c",      "points@60.igbt.turn_off_w",
        "points@60.margin_k",         "hold.margin_k",
    };
    struct run run;
    run_open(&run);
    run_line(&run, "sed 's/^rth_sa.*/rth_sa = 0.5 K\\/W/' \"$E/drive.ini\" > \"$T/hot.ini\"");
    for (size_t i = 0; i < sizeof names / sizeof names[0]; i++) {
        char command[200];
        (void)snprintf(command, sizeof command,
                       "\"$S\" explain \"$T/hot.ini\" \"$E/module-good.ini\" '%s' --format json",
                       names[i]);
        run_line(&run, command);
        cr_assert_eq(run.code, 0, "%s", run.err);
        json_t *root = answer_json(&run);
        cr_expect(json_is_null(json_object_get(root, "value")), "%s", names[i]);
        cr_expect(json_is_null(json_object_get(root, "settled_within_k")), "%s", names[i]);
        cr_expect_null(strstr(run.out, "-273.15"), "%s", names[i]);
        const char *why = answer_words(root, "why");
        cr_expect(why && strncmp(why, "thermal runaway", 15) == 0, "%s: %s", names[i],
                  why ? why : "null");
        json_decref(root);
    }
    run_close(&run);
}

/* A sink without a heat capacity has no way to tell: it did not come to an end once. */
Test(run_explain, an_overload_without_a_heat_capacity_has_no_march, .timeout = 60)
{
    struct run run;
    run_open(&run);
    run_line(&run, "sed '/^sink_capacity/d' \"$E/drive.ini\" > \"$T/d.ini\"; \"$S\" explain "
                   "\"$T/d.ini\" \"$E/module-good.ini\" 'overload[0].end.march'");
    cr_expect_eq(run.code, 0, "%s", run.err);
    cr_expect_not_null(strstr(run.out, "none: sink_capacity is not given"), "%s", run.out);
    run_close(&run);
}

/* A printed R_th(c-s) has no layer, and below 1 Hz no lower frequency is searched for. */
Test(run_explain, a_limit_that_was_not_searched_for_says_why)
{
    static const struct {
        const char *name, *why;
    } rows[] = {
        { "limits[joint_thickness_um].value",
          "none: the layer's thickness does not enter: R_th(c-s) was used as printed" },
        { "limits[joint_thickness_um].set_by_hz",
          "none: the layer's thickness does not enter: R_th(c-s) was used as printed" },
        { "limits[lowest_output_hz].value",
          "none: the lowest test frequency is at or below 1 Hz: there is nothing to search" },
        { "limits[lowest_output_hz].set_by_hz",
          "none: the lowest test frequency is at or below 1 Hz: there is nothing to search" },
    };
    struct run run;
    run_open(&run);
    run_line(&run, "sed '/^rth_cs_/d' \"$E/module-good.ini\" > \"$T/m.ini\"; "
                   "sed 's/^frequencies.*/frequencies = 1 60 Hz/' \"$E/drive.ini\" > \"$T/d.ini\"");
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        char command[200];
        (void)snprintf(command, sizeof command,
                       "\"$S\" explain \"$T/d.ini\" \"$T/m.ini\" '%s' | tr -s ' \\n' ' '",
                       rows[i].name);
        run_line(&run, command);
        cr_expect_not_null(strstr(run.out, rows[i].why), "%s: %s%s", rows[i].name, run.out,
                           run.err);
    }
    run_line(&run, "sed 's/^other_heat.*/other_heat = 5 kW/' \"$E/drive.ini\" > \"$T/d.ini\"; "
                   "\"$S\" explain \"$T/d.ini\" \"$T/m.ini\" hold.allowed_current_a");
    cr_expect_not_null(strstr(run.out, "none: no current within the range searched"), "%s",
                       run.out);
    run_close(&run);
}

Test(run_explain, options_of_a_check_hold_here_too)
{
    struct run run;
    run_open(&run);
    run_line(&run, EXPLAIN "joint.thickness_um --joint \"$E/joint-thick.ini\"");
    cr_expect_eq(run.code, 0, "%s", run.err);
    cr_expect_not_null(strstr(run.out, "300 um"));
    cr_expect_not_null(strstr(run.out, "joint-thick.ini:"));
    run_line(&run, EXPLAIN "margin_k --format csv");
    cr_expect_eq(run.code, 2);
    run_line(&run, EXPLAIN "margin_k --strict");
    cr_expect_eq(run.code, 2);
    run_line(&run, EXPLAIN "margin_k too_many");
    cr_expect_eq(run.code, 2);
    run_close(&run);
}

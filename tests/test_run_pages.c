/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Whole runs that write a page.  Expected: the numbers of the same run as JSON; a cell of a page
 * keeps its number in more digits than it shows. */
#include <criterion/criterion.h>

#include "support/answer.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#define ORIGINAL                                                                                   \
    "\"$S\" check \"$E/drive.ini\" \"$E/module-good.ini\" --original \"$E/module-good.ini\""
#define COMPARE "\"$S\" compare \"$E/drive.ini\" \"$E\"/module-*.ini"
#define JOINT "\"$S\" joint \"$E/drive.ini\" \"$E/module-good.ini\""

/* Whether a cell of the page keeps this number; ten digits are written. */
static bool cell_keeps(const char *page, double value)
{
    static const char mark[] = "data-v=\"";
    for (const char *at = page; (at = strstr(at, mark)) != NULL;) {
        at += strlen(mark);
        if (fabs(strtod(at, NULL) - value) <= 1e-8 * fabs(value))
            return true;
    }
    return false;
}

Test(run_pages, a_check_keeps_the_margin_of_each_test_frequency_and_draws_its_curves)
{
    struct run run;
    run_open(&run);
    json_t *root = answer_to(&run, ORIGINAL " --format json");
    const int code = run.code;
    run_line(&run, ORIGINAL " --format html");
    cr_expect_eq(run.code, code);
    size_t i;
    json_t *point;
    json_array_foreach(json_object_get(root, "points"), i, point) cr_expect(
        cell_keeps(run.out, json_number_value(json_object_get(point, "margin_k"))), "point %zu", i);
    cr_expect_eq(i, (size_t)2);
    cr_expect_not_null(strstr(run.out, "Junction over one output cycle at 30"));
    cr_expect_not_null(strstr(run.out, "Junction over one output cycle at 60"));
    cr_expect_not_null(strstr(run.out, "Margin over the output frequency"));
    cr_expect_not_null(strstr(run.out, "Margin over the thickness of the joint"));
    cr_expect_not_null(strstr(run.out, "The candidate is nowhere worse."));
    json_decref(root);
    run_close(&run);
}

Test(run_pages, a_comparison_keeps_the_margin_of_each_candidate)
{
    struct run run;
    run_open(&run);
    json_t *root = answer_to(&run, COMPARE " --format json");
    const int code = run.code;
    run_line(&run, COMPARE " --format html");
    cr_expect_eq(run.code, code);
    size_t i, told = 0;
    json_t *candidate;
    json_array_foreach(json_object_get(root, "candidates"), i, candidate)
    {
        json_t *margin = json_object_get(candidate, "margin_k");
        cr_expect_not_null(strstr(run.out, json_string_value(json_object_get(candidate, "part"))));
        if (json_is_number(margin)) {
            cr_expect(cell_keeps(run.out, json_number_value(margin)), "candidate %zu", i);
            told++;
        }
    }
    cr_expect_gt(told, (size_t)1);
    json_decref(root);
    run_close(&run);
}

Test(run_pages, a_study_of_the_joint_draws_the_margin_over_its_layer)
{
    struct run run;
    run_open(&run);
    run_line(&run, JOINT " --format html");
    cr_expect_eq(run.code, 0, "%s", run.err);
    cr_expect_not_null(strstr(run.out, "Margin over the thickness of the joint"));
    cr_expect_not_null(strstr(run.out, "<svg"));
    run_close(&run);
}

/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Whole runs of `joint`.  $S, $E, $T: tests/support/run.h. */
#include "support/run.h"

#include <criterion/criterion.h>
#include <stdio.h>
#include <string.h>

static struct run run;

static void open_run(void)
{
    run_open(&run);
}

static void close_run(void)
{
    run_close(&run);
}

TestSuite(run_joint, .init = open_run, .fini = close_run, .timeout = 60);

static void expect(const char *command, int code)
{
    run_line(&run, command);
    cr_assert_eq(run.code, code, "%s\nexit %d, expected %d\n%s%s", command, run.code, code, run.out,
                 run.err);
}

Test(run_joint, the_exit_status_tells_whether_the_margin_is_kept)
{
    expect("$S joint $E/drive.ini $E/module-marginal.ini", 0);
    expect("$S joint $E/drive.ini $E/module-marginal.ini --joint $E/joint-thick.ini", 1);
    cr_expect(strstr(run.out, "THE LAYER WILL NOT DO"), "%s", run.out);
    expect("$S joint $E/drive.ini", 2);
    expect("$S joint $E/drive.ini $T/none.ini", 2);
    expect("$S joint $E/drive.ini $E/module-good.ini --format jsonl", 2);
}

Test(run_joint, no_line_is_wider_than_80_columns)
{
    expect("for m in $E/module-*.ini; do LC_ALL=C $S joint $E/drive.ini $m; done | "
           "awk 'length($0) > 80 { print; bad = 1 } END { exit bad }'",
           0);
}

Test(run_joint, json_has_the_keys_that_others_read)
{
    expect("$S joint $E/drive.ini $E/module-good.ini --format json | jq -e '.joint | "
           "has(\"rth_k_per_w\") and has(\"thickness_um\") and has(\"conductivity_w_per_mk\") and "
           "has(\"coverage\") and has(\"max_thickness_um\") and has(\"bare_rth_k_per_w\") and "
           "has(\"compound_cm3\") and (.drop_k | length == 2)'",
           0);
    expect(
        "$S joint $E/drive.ini $E/module-good.ini --format json | jq -e '(.cautions | length) > 5 "
        "and (.steps | length) > 5 and .kept'",
        0);
}

/* What both commands tell is the same. */
Test(run_joint, drops_and_margin_are_those_of_check)
{
    expect("$S joint $E/drive.ini $E/module-good.ini --format json | "
           "jq -c '[.margin_k, .joint.drop_k, .joint.rth_k_per_w]' > $T/a; "
           "$S check $E/drive.ini $E/module-good.ini --format json | "
           "jq -c '[.margin_k, .joint.drop_k, .joint.rth_k_per_w]' > $T/b; cmp $T/a $T/b; "
           "$S check $E/drive.ini $E/module-good.ini --format json | "
           "jq '.limits[] | select(.name == \"joint_thickness_um\").value' > $T/b; "
           "$S joint $E/drive.ini $E/module-good.ini --format json | "
           "jq .joint.max_thickness_um > $T/a; cmp $T/a $T/b",
           0);
}

Test(run_joint, csv_has_a_unit_for_each_number_that_has_one)
{
    expect("$S joint $E/drive.ini $E/module-good.ini --format csv | "
           "grep -E '^joint\\.(compound_g|rth_k_per_w|max_thickness_um),' | cut -d, -f3 | sort",
           0);
    cr_expect_str_eq(run.out, "K/W\ng\num\n", "%s", run.out);
}

static void expect_words(const char *part, bool there)
{
    cr_expect_eq(strstr(run.out, part) != NULL, there, "'%s' %s\n%s", part,
                 there ? "is not in" : "is in", run.out);
}

/* What docs/method.md says of the joint's cases: each is a condition.  Those of other kinds (a set
 * of three) are for a check to tell. */
Test(run_joint, the_sheet_tells_what_stands_against_its_own_number)
{
    static const char even_flow[] = "the real resistance is higher, often by half and more",
                      printed[] = "the printed value was used, not the layer applied",
                      dry[] = "a void under one chip costs more than the average tells";
    expect("$S joint $E/drive.ini $E/module-good.ini | tr -s '\\n ' ' '", 0);
    expect_words("Settle before", false);
    expect("sed '/^rth_cs/d' $E/module-good.ini > $T/base.ini; "
           "$S joint $E/drive.ini $T/base.ini | tr -s '\\n ' ' '",
           0);
    expect_words(even_flow, true);
    expect_words(dry, false);
    expect_words("set of three", false);
    expect("sed '/^rth_cs_/d' $E/module-good.ini > $T/printed.ini; "
           "$S joint $E/drive.ini $T/printed.ini | tr -s '\\n ' ' '",
           0);
    expect_words(printed, true);
    expect_words(even_flow, false);
    expect("sed 's/^coverage.*/coverage = 80 %/' $E/drive-complete.ini > $T/dry.ini; "
           "$S joint $T/dry.ini $E/module-good.ini | tr -s '\\n ' ' '",
           0);
    expect_words(dry, true);
}

/* The layer that still passes conducts 0.8 / 111 um = 7209 W/(m2.K) here.  At 300 um even a full
 * print has less; at 1 um air alone, 0.026 W/(m.K), has more, over half of the base enough. */
Test(run_joint, a_bound_that_there_is_not_says_why)
{
    static const struct {
        const char *change, *coverage, *compound, *why;
    } rows[] = {
        { "", NULL, NULL, "null\n" },
        { "s/^thickness.*/thickness = 300 um/", "even a full print leaves the margin short", NULL,
          "\"even a full print leaves the margin short\"\n" },
        { "s/^thickness.*/thickness = 1 um/", "any coverage keeps the margin", NULL,
          "\"any coverage keeps the margin\"\n" },
        { "s/^thickness.*/thickness = 1 um/; s/^coverage.*/coverage = 50 %/",
          "any coverage keeps the margin", "any compound keeps the margin",
          "\"any coverage keeps the margin; any compound keeps the margin\"\n" },
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        char command[300];
        (void)snprintf(command, sizeof command,
                       "sed '%s' $E/drive.ini > $T/d.ini; "
                       "$S joint $T/d.ini $E/module-marginal.ini --format json | "
                       "jq .joint.bounds_why",
                       rows[i].change);
        expect(command, 0);
        cr_expect_str_eq(run.out, rows[i].why);
        expect("$S joint $T/d.ini $E/module-marginal.ini | tr -s '\\n ' ' '", 0);
        expect_words("Lowest coverage any", rows[i].coverage && rows[i].coverage[0] == 'a');
        expect_words("Lowest coverage even", rows[i].coverage && rows[i].coverage[0] == 'e');
        expect_words("Poorest compound any", rows[i].compound != NULL);
    }
}

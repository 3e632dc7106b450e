/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Whole runs of the program: where the result goes, wrong input and usage.  Expected outcomes: the
 * command line's published contract (exit 2 prints nothing to standard output and touches no file,
 * exit 3 where standard output fails). */
#include <criterion/criterion.h>

#include "support/run.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define CHECK_GOOD "\"$S\" check \"$E/drive.ini\" \"$E/module-good.ini\""

static size_t line_count(const char *text)
{
    size_t n = 0;
    for (; *text != '\0'; text++) {
        n += *text == '\n' ? 1u : 0u;
    }
    return n;
}

Test(run_usage, output_writes_the_same_sheet_and_nothing_else)
{
    struct run run;
    char path[128];
    run_open(&run);
    run_line(&run, CHECK_GOOD);
    char *sheet = strdup(run.out);
    cr_assert_not_null(sheet);
    run_line(&run, CHECK_GOOD " --output \"$T/sheet.txt\"");
    cr_expect_eq(run.code, 0);
    cr_expect_str_eq(run.out, "");
    cr_expect_str_eq(run.err, "");
    (void)snprintf(path, sizeof path, "%s/sheet.txt", run.folder);
    char *written = run_file(path);
    cr_assert_not_null(written);
    cr_expect_str_eq(written, sheet);
    run_line(&run, "ls -A \"$T\" | grep -v '^[.]out$' | grep -v '^[.]err$'");
    cr_expect_str_eq(run.out, "sheet.txt\n");
    free(sheet);
    free(written);
    run_close(&run);
}

Test(run_usage, output_to_a_dash_is_standard_output)
{
    struct run run;
    run_open(&run);
    run_line(&run, CHECK_GOOD);
    char *sheet = strdup(run.out);
    cr_assert_not_null(sheet);
    run_line(&run, "cd \"$T\" && " CHECK_GOOD " --output -");
    cr_expect_eq(run.code, 0);
    cr_expect_str_eq(run.out, sheet);
    run_line(&run, "cd \"$T\" && \"$S\" compare \"$E/drive.ini\" \"$E/module-good.ini\" "
                   "--format csv --output=- | wc -l");
    cr_expect_str_eq(run.out, "2\n");
    run_line(&run, "test -e \"$T/-\"");
    cr_expect_eq(run.code, 1, "a file of that name was made");
    run_line(&run, "cd \"$T\" && " CHECK_GOOD " --output ./- && test -s ./-");
    cr_expect_eq(run.code, 0);
    free(sheet);
    run_close(&run);
}

Test(run_usage, a_rejection_is_written_too_and_exits_one)
{
    struct run run;
    run_open(&run);
    run_line(&run, "\"$S\" check \"$E/drive.ini\" \"$E/module-low-frequency.ini\" --output "
                   "\"$T/sheet.txt\"; echo $?; head -c 6 \"$T/sheet.txt\"");
    cr_expect_str_eq(run.out, "1\nREJECT");
    run_close(&run);
}

Test(run_usage, wrong_input_tells_every_fault_and_leaves_an_old_output_alone)
{
    struct run run;
    run_open(&run);
    run_line(&run,
             "echo old >\"$T/sheet.txt\"; sed -e 's/480 V /480 kA /' -e 's/^ambient.*/amient = "
             "40 degC/' \"$E/drive.ini\" >\"$T/d.ini\"; sed -e 's/^vces.*/vces = 12 V/' "
             "\"$E/module-good.ini\" >\"$T/m.ini\"; \"$S\" check \"$T/d.ini\" \"$T/m.ini\" "
             "--output \"$T/sheet.txt\"");
    cr_expect_eq(run.code, 2);
    cr_expect_str_eq(run.out, "");
    cr_expect_not_null(strstr(run.err, "d.ini:"), "%s", run.err);
    cr_expect_not_null(strstr(run.err, "[drive] line_voltage: "), "%s", run.err);
    cr_expect_not_null(strstr(run.err, "[cooling] amient: unknown key; did you mean 'ambient'?"),
                       "%s", run.err);
    cr_expect_not_null(strstr(run.err, "m.ini:"), "%s", run.err);
    cr_expect_not_null(strstr(run.err, "[module] vces: "), "%s", run.err);
    cr_expect_eq(line_count(run.err), 3, "%s", run.err);
    run_line(&run, "cat \"$T/sheet.txt\"");
    cr_expect_str_eq(run.out, "old\n");
    run_close(&run);
}

Test(run_usage, files_in_each_others_place_and_missing_ones_exit_two)
{
    static const char *const commands[] = {
        "\"$S\" check \"$E/module-good.ini\" \"$E/drive.ini\"",
        "\"$S\" check \"$T/none.ini\" \"$E/module-good.ini\"",
        "\"$S\" check \"$E/drive.ini\" \"$E\"",
        "\"$S\" check \"$E/drive.ini\" /dev/null",
        CHECK_GOOD " --joint \"$T/none.ini\"",
        CHECK_GOOD " --output \"$T/none/sheet.txt\"",
        CHECK_GOOD " --output \"$T\"",
        "cp \"$E/drive.ini\" \"$T/d.ini\" && \"$S\" check \"$T/d.ini\" \"$E/module-good.ini\" "
        "--output \"$T/d.ini\"",
        "\"$S\" template drive --format html",
        CHECK_GOOD " --format json --nonsense",
        "\"$S\" check \"$E/drive.ini\"",
        "\"$S\" nonsense",
        "\"$S\" template logs",
        "\"$S\" template drive --strict",
        "\"$S\"",
    };
    struct run run;
    run_open(&run);
    for (size_t i = 0; i < sizeof commands / sizeof commands[0]; i++) {
        run_line(&run, commands[i]);
        cr_expect_eq(run.code, 2, "%s exits %d", commands[i], run.code);
        cr_expect_str_eq(run.out, "", "%s", commands[i]);
        cr_expect_str_neq(run.err, "", "%s", commands[i]);
    }
    run_close(&run);
}

Test(run_usage, a_standard_output_that_fails_exits_three)
{
    static const char *const commands[] = {
        CHECK_GOOD " >/dev/full",   CHECK_GOOD " --format json >/dev/full", CHECK_GOOD " >&-",
        "\"$S\" --help >/dev/full", "\"$S\" template drive >/dev/full",
    };
    struct run run;
    run_open(&run);
    for (size_t i = 0; i < sizeof commands / sizeof commands[0]; i++) {
        run_line(&run, commands[i]);
        cr_expect_eq(run.code, 3, "%s exits %d", commands[i], run.code);
        cr_expect_eq(line_count(run.err), 1, "%s: %s", commands[i], run.err);
    }
    run_close(&run);
}

Test(run_usage, a_reader_that_goes_away_exits_three)
{
    struct run run;
    run_open(&run);
    /* the reader has closed its end before the program writes */
    run_line(&run, "{ sleep 0.3; " CHECK_GOOD " 2>/dev/null; echo $? >\"$T/code\"; } | exec true; "
                   "sleep 1; cat \"$T/code\"");
    cr_expect_str_eq(run.out, "3\n");
    run_close(&run);
}

Test(run_usage, templates_help_and_version_go_to_standard_output)
{
    static const struct {
        const char *command, *expected;
    } rows[] = {
        { "\"$S\" template drive", "[drive]" },
        { "\"$S\" template module", "[igbt.conduction]" },
        { "\"$S\" template joint", "[joint]" },
        { "\"$S\" --help", "Usage: swapmargin" },
        { "\"$S\" check --help", "Usage: swapmargin check DRIVE MODULE" },
        { "\"$S\" template --help", "Usage: swapmargin template drive|module|joint" },
        { "\"$S\" --version", "swapmargin " SM_VERSION "\n" },
    };
    struct run run;
    run_open(&run);
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        run_line(&run, rows[i].command);
        cr_expect_eq(run.code, 0, "%s", rows[i].command);
        cr_expect_str_eq(run.err, "");
        cr_expect_not_null(strstr(run.out, rows[i].expected), "%s", rows[i].command);
    }
    run_close(&run);
}

Test(run_usage, a_blank_template_is_refused_with_its_open_keys_named)
{
    struct run run;
    run_open(&run);
    run_line(&run, "\"$S\" template drive --output \"$T/d.ini\" && \"$S\" template module --output "
                   "\"$T/m.ini\" && \"$S\" check \"$T/d.ini\" \"$T/m.ini\"");
    cr_expect_eq(run.code, 2);
    cr_expect_str_eq(run.out, "");
    cr_expect_not_null(strstr(run.err, "line_voltage"));
    cr_expect_not_null(strstr(run.err, "vces"));
    run_close(&run);
}

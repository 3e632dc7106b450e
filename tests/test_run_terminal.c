/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Whole runs on a terminal: how wide a comparison gets there, and its progress.  Expected: the
 * terminal's own size, and the number of files.  $S, $E, $T: tests/support/run.h. */
#include "support/run.h"

#include <criterion/criterion.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define TERMINAL SM_PYTHON " -B " SM_TESTS_DIR "/tools/terminal.py "

static struct run run;

static void open_run(void)
{
    run_open(&run);
    /* 16 frequencies want more than 80 columns */
    run_line(&run, "sed 's/^frequencies.*/frequencies = 1 2 3 4 5 6 7 8 9 10 20 30 40 50 60 70 Hz/'"
                   " $E/drive.ini > $T/drive.ini");
    cr_assert_eq(run.code, 0);
}

static void close_run(void)
{
    run_close(&run);
}

TestSuite(run_terminal, .init = open_run, .fini = close_run, .timeout = 120);

/* The longest line that a comparison writes to a terminal of so many columns. */
static long widest(int columns)
{
    char command[300];
    (void)snprintf(command, sizeof command,
                   TERMINAL "%d out $S compare $T/drive.ini $E/module-good.ini | "
                            "awk 'length > n { n = length } END { print n }'",
                   columns);
    run_line(&run, command);
    cr_assert_eq(run.code, 0, "%s", run.err);
    return strtol(run.out, NULL, 10);
}

/* 80 columns are the least, 200 the most; between them the terminal decides. */
Test(run_terminal, a_comparison_is_as_wide_as_the_terminal_within_bounds)
{
    cr_expect_eq(widest(40), 80);
    cr_expect_eq(widest(0), 80); /* a terminal that does not know its size */
    cr_expect_eq(widest(120), 120);
    cr_expect_eq(widest(500), 200);
}

Test(run_terminal, what_goes_to_a_file_or_a_pipe_is_80_columns_wide_whatever_the_terminal)
{
    run_line(&run, TERMINAL "150 out $S compare $T/drive.ini $E/module-good.ini --output $T/o; "
                            "awk 'length > n { n = length } END { print n }' $T/o");
    cr_expect_str_eq(run.out, "80\n", "%s%s", run.out, run.err);
}

#define MANY                                                                                       \
    SM_PYTHON " - $E/module-good.ini $T/m %d <<'EOF'\n"                                            \
              "import os, shutil, sys\n"                                                           \
              "os.mkdir(sys.argv[2])\n"                                                            \
              "one = os.path.join(sys.argv[2], '0.ini')\n"                                         \
              "shutil.copy(sys.argv[1], one)\n"                                                    \
              "for i in range(1, int(sys.argv[3])):\n"                                             \
              "    os.link(one, os.path.join(sys.argv[2], '%%d.ini' %% i))\n"                      \
              "EOF\n"

static void compare_many(int n)
{
    char command[700];
    (void)snprintf(command, sizeof command,
                   MANY TERMINAL "80 err $S compare $E/drive.ini $T/m --format jsonl", n);
    run_line(&run, command);
    cr_assert_eq(run.code, 0, "%s", run.err);
}

/* The bar has 40 cells, goes back to the start of its line, and ends when all is done. */
Test(run_terminal, a_long_comparison_tells_how_far_it_is)
{
    compare_many(1000);
    const char *last = strrchr(run.out, '\r');
    cr_assert_not_null(last, "%s", run.out);
    cr_expect_str_eq(last, "\r######################################## 1000 of 1000\n");
    const char *first = strchr(run.out, '\r');
    const long done = strtol(first + 42, NULL, 10); /* behind "\r", the cells and a blank */
    cr_expect(done > 0 && done < 1000, "%s", first);
    cr_expect_eq(strspn(first + 1, "#"), (size_t)(done * 40 / 1000), "%s", first);
    cr_expect_eq(strspn(first + 1, "#."), 40);
}

Test(run_terminal, a_short_comparison_shows_no_progress)
{
    compare_many(999);
    cr_expect_str_eq(run.out, "");
}

/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The program against calculations that share no code with it: the same definitions by another
 * method in Python, marched in time by a circuit simulator, and pulse by pulse.  Each script in
 * tests/reference/ says its method and its tolerances.
 *
 * document.py runs them, fails on a miss, and compares what they find with the tables of
 * docs/validation.md and docs/worked-example.md: so the documents cannot drift either. */
#include "support/run.h"

#include <criterion/criterion.h>
#include <stdio.h>
#include <stdlib.h>

/* $P the interpreter, $R the scripts' folder, $D the documents; $S and $T as run_open() sets them.
 * Returned: the exit status; what was printed is shown when it is not the expected one. */
static void expect_status(const char *command, int status)
{
    struct run run;
    run_open(&run);
    cr_assert_eq(setenv("P", SM_PYTHON " -B", 1), 0);
    cr_assert_eq(setenv("R", SM_TESTS_DIR "/reference", 1), 0);
    cr_assert_eq(setenv("D", SM_DOCS_DIR, 1), 0);
    run_line(&run, command);
    cr_expect_eq(run.code, status, "%s:\n%s%s", command, run.out, run.err);
    run_close(&run);
}

static void expect_table(const char *document, const char *block)
{
    char command[256];
    (void)snprintf(command, sizeof command, "$P $R/document.py check --program $S --block %s $D/%s",
                   block, document);
    expect_status(command, 0);
}

/* A dense grid over the whole cycle, the junction's response in the frequency domain: 0.05 % of
 * each watt and 0.05 K of each temperature. */
Test(reference, every_case_agrees_with_the_frequency_domain_calculation, .timeout = 300)
{
    expect_table("validation.md", "frequency-domain");
}

/* The sink by LSODA, roots by Brent's method on the whole calculation: 0.05 K, 0.1 % of each limit
 * and of how long an overload may last.  Load run: sink, case and junction at every minute, where
 * they settle, and where to stop. */
Test(reference, overload_limits_and_load_run_agree_with_another_march_and_other_roots,
     .timeout = 300)
{
    expect_table("validation.md", "overload-and-limits");
}

/* Circuit simulator, whole case with its losses, Foster terms, case and sink: 0.05 % and 0.05 K. */
Test(reference, smooth_scheme_agrees_with_a_time_march_in_ngspice, .timeout = 300)
{
    expect_table("validation.md", "ngspice-smooth");
}

/* 0.1 K: the simulator gives the scheme's jumps a width. */
Test(reference, clamped_scheme_agrees_with_a_time_march_in_ngspice, .timeout = 300)
{
    expect_table("validation.md", "ngspice-clamped");
}

/* The load run's network: an hour of it in the circuit simulator, its ladders by rational
 * arithmetic, and low frequencies with all six switches in the frequency domain: 0.1 K. */
Test(reference, network_of_the_load_run_agrees_with_ngspice_and_the_frequency_domain,
     .timeout = 300)
{
    expect_table("validation.md", "whole-network");
}

/* Each of 204 pulses a cycle: what averaging over the switching period leaves out is below 0.5 %
 * of each loss and 0.3 K. */
Test(reference, averaging_over_the_switching_period_leaves_out_little, .timeout = 300)
{
    expect_table("validation.md", "pulses");
}

/* The second calculation itself, where elementary integrals exist: 1e-6. */
Test(reference, second_calculation_equals_closed_forms, .timeout = 300)
{
    expect_table("validation.md", "closed-forms");
}

/* The second calculation with one simplification taken back at a time. */
Test(reference, document_says_what_the_simplifications_cost, .timeout = 300)
{
    expect_table("validation.md", "sensitivity");
}

/* By hand, with the simple averages of application notes. */
Test(reference, document_works_the_example_on_paper, .timeout = 300)
{
    expect_table("worked-example.md", "paper");
}

/* The last step is the whole method in the second calculation: 0.05 W and 0.05 K of the program. */
Test(reference, every_step_from_paper_to_program_is_accounted_for, .timeout = 300)
{
    expect_table("worked-example.md", "ladder-30 --block ladder-60");
}

/* A table with one wrong number, one wrong word, one line less: each is found. */
Test(reference, an_untrue_table_is_found, .timeout = 300)
{
    expect_status("sed 's/66\\.39/66.42/' $D/worked-example.md >$T/a.md; "
                  "$P $R/document.py check --program $S --block paper $T/a.md",
                  1);
    expect_status("sed 's/IGBT slope/IGBT slop/' $D/worked-example.md >$T/a.md; "
                  "$P $R/document.py check --program $S --block paper $T/a.md",
                  1);
    expect_status("sed '/diode slope/d' $D/worked-example.md >$T/a.md; "
                  "$P $R/document.py check --program $S --block paper $T/a.md",
                  1);
}

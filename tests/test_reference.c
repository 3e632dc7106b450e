/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The program against calculations that share no code with it: the same definitions by another
 * method in Python, marched in time by a circuit simulator, and pulse by pulse.  Each script in
 * tests/reference/ says its method and its tolerances, and exits 1 on a miss. */
#include "support/run.h"

#include <criterion/criterion.h>
#include <stdlib.h>

/* A shell command of the scripts' folder: $P the interpreter, $S the program, $C the cases. */
static void expect_agreement(const char *command)
{
    struct run run;
    run_open(&run);
    cr_assert_eq(setenv("P", SM_PYTHON " -B", 1), 0);
    cr_assert_eq(setenv("R", SM_TESTS_DIR "/reference", 1), 0);
    run_line(&run, command);
    cr_expect_eq(run.code, 0, "%s:\n%s%s", command, run.out, run.err);
    run_close(&run);
}

/* A dense grid over the whole cycle, the junction's response in the frequency domain: 0.05 % of
 * each watt and 0.05 K of each temperature. */
Test(reference, every_case_agrees_with_the_frequency_domain_calculation, .timeout = 300)
{
    expect_agreement("$P $R/compare.py $S");
}

/* Circuit simulator, whole case with its losses, Foster terms, case and sink: 0.05 % and 0.05 K. */
Test(reference, smooth_scheme_agrees_with_a_time_march_in_ngspice, .timeout = 300)
{
    expect_agreement("$P $R/ngspice_run.py --program $S $C/space-vector-six-pack-drive.ini "
                     "$C/space-vector-six-pack-module.ini");
}

/* 0.1 K: the simulator gives the scheme's jumps a width. */
Test(reference, clamped_scheme_agrees_with_a_time_march_in_ngspice, .timeout = 300)
{
    expect_agreement("$P $R/ngspice_run.py --program $S $C/clamped-regenerating-drive.ini "
                     "$C/clamped-regenerating-module.ini");
}

/* Each of 204 pulses a cycle: what averaging over the switching period leaves out is below 0.5 %
 * of each loss and 0.3 K, as the manual says. */
Test(reference, averaging_over_the_switching_period_leaves_out_little, .timeout = 300)
{
    expect_agreement("$P $R/pulse_resolved.py --program $S --hz 30 -- "
                     "$C/space-vector-six-pack-drive.ini $C/space-vector-six-pack-module.ini");
}

/* The second calculation itself, where elementary integrals exist: 1e-6. */
Test(reference, second_calculation_equals_closed_forms, .timeout = 300)
{
    expect_agreement("$P $R/closed_forms.py");
}

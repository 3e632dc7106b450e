/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The program against a second calculation in Python: the same definitions by another method (a
 * dense grid over the whole cycle, the junction's response in the frequency domain).  0.05 % of
 * each watt and 0.05 K of each temperature. */
#include "support/near.h"

#include <criterion/criterion.h>
#include <stdlib.h>
#include <sys/wait.h>

Test(reference, every_case_agrees_with_the_frequency_domain_calculation, .timeout = 300)
{
    const int status =
        system(SM_PYTHON " -B " SM_TESTS_DIR "/reference/compare.py " SM_PROGRAM " >/dev/null");
    cr_assert(WIFEXITED(status) && WEXITSTATUS(status) == 0,
              "run tests/reference/compare.py on the program to see which number differs");
}

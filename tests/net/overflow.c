/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Not a test of ours: signed arithmetic that overflows.  `make sanitize` must catch it. */
#include <criterion/criterion.h>
#include <limits.h>

Test(net, this_test_overflows)
{
    volatile int large = INT_MAX;
    const int larger = large + 1;
    cr_assert(larger != 0);
}

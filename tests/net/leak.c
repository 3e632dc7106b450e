/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Not a test of ours: a test that only leaks.  The runner counts it as passed; `make sanitize` and
 * `make valgrind` must catch it all the same, and stop when they don't. */
#include <criterion/criterion.h>
#include <stdlib.h>

Test(net, this_test_leaks)
{
    char *volatile forgotten = malloc(100);
    cr_assert_not_null(forgotten);
    forgotten = NULL;
}

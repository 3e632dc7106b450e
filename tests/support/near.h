/* SPDX-License-Identifier: GPL-3.0-or-later
 * Comparisons that say what differed. */
#ifndef SM_TESTS_NEAR_H
#define SM_TESTS_NEAR_H

#include <criterion/criterion.h>
#include <math.h>

/* |got - want| <= tol, and neither is a NaN. */
#define NEAR(got, want, tol)                                                                       \
    do {                                                                                           \
        const double near_got = (got), near_want = (want), near_tol = (tol);                       \
        cr_assert(fabs(near_got - near_want) <= near_tol,                                          \
                  "%s = %.12g, expected %.12g within %.3g", #got, near_got, near_want, near_tol);  \
    } while (0)

/* The same, relative to the expected value. */
#define NEAR_REL(got, want, rel) NEAR(got, want, (rel)*fabs(want))

#endif

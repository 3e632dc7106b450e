/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * A bracketed root of a costly function, by Brent's method. */
#ifndef SM_SOLVE_ROOT_H
#define SM_SOLVE_ROOT_H

#include "swapmargin/error.h"

struct root_search {
    double (*f)(double x, void *context); /* not finite: the search stops */
    void *context;
    double low, high;     /* low < high */
    double f_low, f_high; /* known, of opposite sign */
    double tolerance;     /* of |f|: near enough */
    double width;         /* of x: where f jumps across 0 the two sides are told apart to this */
};

/* Returned: *x, the place with the smallest |f| of all tried.
 * Errors: SM_ERR_CONVERGE (f was not finite, both ends on one side, or the cap was reached),
 * SM_ERR_MEMORY.
 * Source: R. P. Brent, Algorithms for Minimization without Derivatives, 1973, chapter 4. */
enum sm_status root_find(const struct root_search *search, double *x);

#endif

/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * From Foster terms, as data sheets print them, to the ladder that answers the same at its input:
 * a heat capacity at the junction, a resistance on, the next capacity, and so on to the case.
 *
 * Foster terms tell the junction over a case that is held; nothing inside them is a place.  The
 * ladder's last resistance carries the heat that really leaves for the case at each moment, so that
 * it may be put in front of a case and a sink that move.  The transform is exact: both have the
 * same impedance at every frequency.
 *
 * Equations: docs/method.md, eq. 17.1 to 17.3. */
#ifndef SM_THERMAL_CAUER_H
#define SM_THERMAL_CAUER_H

#include "swapmargin/error.h"

#include <stddef.h>

enum { CAUER_MOST = 12 }; /* Foster terms of a chip, at most */

/* From the junction: c[0] there, r[0] on to c[1], ..., r[n - 1] on to the case. */
struct cauer {
    size_t n;
    double r[CAUER_MOST]; /* K/W */
    double c[CAUER_MOST]; /* J/K */
    double
        deviation; /* 1  largest relative difference of the two impedances, looked at afterwards */
};

/* 1: a ladder further from its terms than this is refused. */
#define CAUER_EXACT 1e-9

/* Given: Foster terms r, K/W, above 0, and tau, s, above 0; 1 ... CAUER_MOST of them, in any order.
 * Terms whose tau differ by less than a millionth are one.
 * Returned: *out on SM_OK; out->n may be below n.
 * Errors: SM_ERR_CONVERGE: the terms are so much alike that their ladder would hold more heat than
 * any part, or that double precision cannot part them. */
enum sm_status cauer_of_foster(const double *r, const double *tau, size_t n, struct cauer *out);

/* K/W at s >= 0, 1/s: what is at the junction of a power that grows as exp(s t), case held. */
double foster_impedance(const double *r, const double *tau, size_t n, double s);
double cauer_impedance(const struct cauer *ladder, double s);

#endif

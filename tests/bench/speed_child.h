/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * A whole run of a program, from its start to its end, seen from outside. */
#ifndef SM_BENCH_SPEED_CHILD_H
#define SM_BENCH_SPEED_CHILD_H

#include <stdbool.h>

struct child_runs {
    double shortest, median; /* s    on the wall clock */
    double peak;             /* byte resident, most of all runs */
};

/* Runs argv (ends with NULL), its output thrown away, so many times (1 ... 1000).
 * Returned: false when it cannot be started or is killed. */
bool child_measure(char *const argv[], int runs, struct child_runs *out);

#endif

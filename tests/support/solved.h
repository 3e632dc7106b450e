/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * A fixture's case solved by the engine.  Each ends the test where a fault is told. */
#ifndef SM_TESTS_SOLVED_H
#define SM_TESTS_SOLVED_H

#include "support/fixture.h"
#include "swapmargin/result.h"

/* The result, released by the caller. */
void solved_run(const struct fixture *f, struct sm_result *result);

/* K: the highest junction temperature of all test frequencies. */
double solved_hottest(const struct fixture *f);

/* One limit; it borrows nothing. */
struct sm_limit solved_limit(const struct fixture *f, enum sm_limit_id id);

#endif

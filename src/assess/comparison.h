/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The candidate and the part that it replaces side by side.  The comparison informs: nothing of it
 * enters the verdict. */
#ifndef SM_ASSESS_COMPARISON_H
#define SM_ASSESS_COMPARISON_H

#include "swapmargin/case.h"
#include "swapmargin/result.h"

/* Fills the rows of result->comparison, whose `original` is the result of c->original in the same
 * drive; both results have the same points.  Errors: SM_ERR_MEMORY; then there are no rows. */
enum sm_status comparison_make(const struct sm_case *c, struct sm_result *result);

#endif

/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Electrical and mechanical fit: one row of tables/swapmargin/checks.def each, with result, value,
 * limit and why. */
#ifndef SM_ASSESS_CHECKS_H
#define SM_ASSESS_CHECKS_H

#include "swapmargin/case.h"
#include "swapmargin/result.h"

/* Fills result->checks. */
void checks_run(const struct sm_case *c, struct sm_result *result);

/* The row's title, never NULL. */
const char *check_title(enum sm_check_id id);

/* Whether two texts are the same words, whatever their capitals and blanks. */
bool same_words(const char *a, const char *b);

#endif

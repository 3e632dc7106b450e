/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * A printed explanation checked against itself: each formula with the printed values of its
 * symbols, and everything once more from the leaves alone. */
#ifndef SM_TESTS_RECOMPUTED_H
#define SM_TESTS_RECOMPUTED_H

#include "support/explained.h"

/* A step's formula, and its expression with the numbers filled in, give what is printed beside
 * them; a step without a formula passes. */
void value_holds(struct explained *explained, struct told *step);

/* The same for each row of a column. */
void column_holds(struct explained *explained, struct told *step, const struct series *column);

/* What is worked out of a step, its function at one place or its columns in one row, gives what is
 * printed behind it.  Returned: how many were looked at. */
int worked_holds(struct explained *explained, struct told *step);

/* Puts the printed leaves into `now`; everything else starts at 0. */
void recompute_start(struct explained *explained);

/* Everything from the leaves in `now`, until the loop of losses and temperatures has settled. */
void recompute(struct explained *explained);

/* What recompute() found is what is printed. */
void recomputed_is_printed(const struct explained *explained);

#endif

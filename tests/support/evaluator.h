/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * A calculator for printed explanations: it knows the expressions' words as the explanation itself
 * says them, and nothing of the engine. */
#ifndef SM_TESTS_EVALUATOR_H
#define SM_TESTS_EVALUATOR_H

#include "support/explained.h"

/* A step's formula, from the printed values of its symbols. */
double evaluate_formula(struct explained *explained, struct told *step);

/* The same with another tree in its place: the numbers filled in. */
double evaluate_numbers(struct explained *explained, struct told *step, struct node *tree);

/* A text with the numbers filled in, in a row of the step's table; t: what "t" stands for. */
double evaluate_text(struct explained *explained, struct told *step, const struct line *line,
                     const char *text, double t);

/* A column's formula in one row, from printed values. */
double evaluate_cell(struct explained *explained, struct told *step, const struct series *column,
                     size_t row);

/* Every value once more from the leaves in `now` and, where the loop closes, from the turn before.
 * turn: 1, 2, ...  Returned: the largest change, relative to the value or 1. */
double evaluate_turn(struct explained *explained, int turn);

#endif

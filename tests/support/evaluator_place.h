/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Inside the calculator: where an expression stands, and its value there. */
#ifndef SM_TESTS_EVALUATOR_PLACE_H
#define SM_TESTS_EVALUATOR_PLACE_H

#include "support/explained.h"

/* Where an expression stands. */
struct place {
    struct explained *explained;
    struct told *step;
    const struct line *line;
    size_t row;
    size_t k;                      /* which one of several that a symbol stands for */
    const struct node *parameters; /* of a function: the call's head; NULL outside one */
    double argument[4];
    int turn; /* > 0: everything is computed anew once a turn; 0: printed values count */
};

/* The value of an expression there. */
double evaluate(const struct place *place, struct node *node);

/* The value of a step: printed, or computed in this turn. */
double told_value(const struct place *place, struct told *step);

#endif

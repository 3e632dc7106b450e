/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The words of expressions that are plain mathematics, computed from their printed definitions. */
#ifndef SM_TESTS_EVALUATOR_WORDS_H
#define SM_TESTS_EVALUATOR_WORDS_H

#include <stddef.h>

/* Points of a table or curve. */
struct points {
    size_t n;
    double x[512], y[512], s[512];
};

double word_cubic(const struct points *points, double x);
double word_line(const struct points *points, double x);
double word_between(const struct points *points, double x);
double word_relax(int node, double c, double a);

#endif

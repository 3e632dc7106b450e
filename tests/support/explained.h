/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * An explanation as it was printed in JSON, read back without the library. */
#ifndef SM_TESTS_EXPLAINED_H
#define SM_TESTS_EXPLAINED_H

#include "support/formula.h"

#include <stdbool.h>
#include <stddef.h>

struct use { /* a symbol in a formula */
    const char *symbol;
    size_t step;
    int column; /* -1: the step itself */
};

struct line { /* a formula with what its symbols stand for; no tree: none */
    const char *text;
    struct node *tree;
    struct use *uses;
    size_t n_uses;
};

struct series { /* a column */
    const char *symbol, *unit;
    struct line line;
    const char *worked; /* NULL: none */
    double *printed, *now;
    int visited; /* of the evaluator */
};

struct told {
    const char *name, *kind, *unit, *symbol, *numbers, *key, *worked;
    struct node *head; /* the symbol parsed: a call where it has arguments */
    bool given;
    double printed, now, before; /* before: in the turn before this one */
    struct line line;
    struct series *columns;
    size_t n_columns, n_rows, worked_row;
    int visited; /* of the evaluator */
};

struct explained {
    struct told *steps; /* [0] is what was asked */
    size_t n_steps;
    bool loop;
    void *root; /* the JSON that all strings are borrowed from */
};

/* The test fails where the text is no explanation. */
void explained_read(struct explained *explained, const char *json);
void explained_release(struct explained *explained);

/* The step of a name; the test fails when there is none. */
struct told *explained_step(const struct explained *explained, const char *name);

/* Index of a step; n_steps when there is none. */
size_t explained_find(const struct explained *explained, const char *name);

/* The column of a step; the test fails when there is none. */
struct series *explained_column(struct told *step, const char *symbol);

#endif

/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Printed expressions, parsed from their text alone. */
#ifndef SM_TESTS_FORMULA_H
#define SM_TESTS_FORMULA_H

#include <stddef.h>

enum node_kind {
    NODE_NUMBER,
    NODE_NAME, /* a symbol, pi or r */
    NODE_CALL, /* name(arguments): a function or a symbol with arguments */
    NODE_ROW,  /* name[argument] */
    NODE_LIST, /* [a, b, c] */
    NODE_MINUS,
    NODE_ADD,
    NODE_SUBTRACT,
    NODE_MULTIPLY,
    NODE_DIVIDE,
    NODE_POWER
};

enum { NODE_ARGUMENTS = 16, NODE_NAME_SIZE = 24 };

struct node {
    enum node_kind kind;
    double number;
    char name[NODE_NAME_SIZE];
    struct node *argument[NODE_ARGUMENTS];
    size_t n_arguments;
    int word; /* of the evaluator: which word a call names; -1 until it is looked up */
};

/* The tree of an expression; the test fails where the text is none.  Owned by the caller. */
struct node *formula_parse(const char *text);

void formula_release(struct node *node);

#endif

/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The words of an expression, one after the other. */
#ifndef SM_EXPLAIN_EXPRESSION_H
#define SM_EXPLAIN_EXPRESSION_H

#include <stdbool.h>
#include <stddef.h>

struct word {
    const char *start;
    size_t length;
    bool name; /* letters, digits and _, a letter first; else one other character, or a number */
};

/* The word at *at, blanks before it passed over; *at is then behind it.  False at the end. */
bool expression_word(const char **at, struct word *out);

bool word_is(const struct word *word, const char *text);

/* True for pi, r and the functions that expressions have: these are no symbols. */
bool word_is_builtin(const struct word *word);

/* True for an argument in a symbol such as "Y(i, T)". */
bool word_is_argument(const struct word *word, const char *symbol);

/* Length of a symbol without its arguments. */
size_t symbol_length(const char *symbol);

#endif

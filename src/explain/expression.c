/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "explain/expression.h"

#include "explain/rows.h"

#include <string.h>

/* What every reader knows; the other functions stand in formulas.def. */
static const char *const elementary[] = { "pi",  "sqrt", "cos", "acos", "exp",
                                          "abs", "sgn",  "min", "max" };

static bool is_letter(char c)
{
    return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || c == '_';
}

static bool is_digit(char c)
{
    return c >= '0' && c <= '9';
}

bool expression_word(const char **at, struct word *out)
{
    const char *p = *at;
    while (*p == ' ')
        p++;
    if (*p == '\0')
        return false;
    *out = (struct word){ .start = p, .name = is_letter(*p) };
    if (out->name) {
        while (is_letter(*p) || is_digit(*p))
            p++;
    } else if (is_digit(*p)) {
        while (is_digit(*p) || *p == '.' || *p == 'e')
            p++;
    } else {
        p++;
    }
    out->length = (size_t)(p - out->start);
    *at = p;
    return true;
}

bool word_is(const struct word *word, const char *text)
{
    return strlen(text) == word->length && strncmp(word->start, text, word->length) == 0;
}

bool word_is_builtin(const struct word *word)
{
    for (size_t i = 0; i < sizeof elementary / sizeof elementary[0]; i++)
        if (word_is(word, elementary[i]))
            return true;
    for (size_t i = 0; function_row(i); i++)
        if (word_is(word, function_row(i)->name))
            return true;
    return false;
}

size_t symbol_length(const char *symbol)
{
    return strcspn(symbol, "(");
}

bool word_is_argument(const struct word *word, const char *symbol)
{
    const char *at = symbol + symbol_length(symbol);
    struct word argument;
    while (expression_word(&at, &argument))
        if (argument.name && argument.length == word->length &&
            strncmp(argument.start, word->start, word->length) == 0)
            return true;
    return false;
}

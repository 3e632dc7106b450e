/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "input/key_table.h"

#include "quantity/units.h"

#include <math.h>
#include <string.h>

#define SHOWN_DIGITS 10 /* 1  enough to give back what was typed, too few for rounding noise */

/* Between these a number reads well: no row of zeros, no exponent. */
#define PLAIN_LEAST 1e-4
#define PLAIN_BELOW 1e4

static void number_words(double si, const char *unit, struct sm_text *out)
{
    char number[32];
    double value = si;
    (void)sm_quantity_to_unit(si, unit, &value);
    sm_number_format(number, sizeof number, value, SHOWN_DIGITS);
    sm_text_add(out, "%s%s%s", number, unit[0] ? " " : "", unit);
}

void key_number_words(const struct key_row *row, double si, struct sm_text *out)
{
    number_words(si, row->unit, out);
}

/* A bound in the row's unit; where that would read "1000000 mJ" or "1e-06 s", in the largest unit
 * of the same kind that it is one of or more: "1000 J", "1 us". */
static void bound_words(const struct key_row *row, double si, struct sm_text *out)
{
    const char *symbol = row->unit;
    double value = si, largest = 0.0;
    (void)sm_quantity_to_unit(si, symbol, &value);
    const bool plain = fabs(value) <= 0.0 || (fabs(value) >= PLAIN_LEAST && value < PLAIN_BELOW);
    for (size_t i = 0; i < unit_count() && symbol[0] && !plain; i++) {
        const struct unit *unit = unit_at(i);
        if (unit->dimension != row->dimension || !unit->shown || unit->factor <= largest ||
            si < unit->factor)
            continue;
        symbol = unit->symbol;
        largest = unit->factor;
    }
    number_words(si, symbol, out);
}

bool key_word(const char *extra, size_t k, const char **start, size_t *n)
{
    if (*extra == '\0')
        return false;
    for (; k > 0; k--) {
        extra = strchr(extra, '|');
        if (!extra)
            return false;
        extra++;
    }
    *start = extra;
    *n = strcspn(extra, "|");
    return true;
}

static void words_list(const char *extra, struct sm_text *out)
{
    const char *word = NULL;
    size_t n = 0;
    for (size_t k = 0; key_word(extra, k, &word, &n); k++)
        sm_text_add(out, "%s%.*s", k ? ", " : "", (int)n, word);
}

void key_range_words(const struct key_row *row, struct sm_text *out)
{
    switch (row->kind) {
    case KEY_TEXT:
        return;
    case KEY_YES:
        sm_text_add(out, "yes");
        return;
    case KEY_WORD:
        sm_text_add(out, "one of: ");
        words_list(row->extra, out);
        return;
    case KEY_WHOLE:
        if (row->extra[0]) {
            sm_text_add(out, "one of: ");
            words_list(row->extra, out);
            return;
        }
        break;
    case KEY_NUMBER:
    case KEY_OPTIONAL:
    case KEY_LIST:
    case KEY_ROWS:
        break;
    }
    bound_words(row, row->min, out);
    sm_text_add(out, " to ");
    bound_words(row, row->max, out);
}

void key_default_words(const struct key_row *row, struct sm_text *out)
{
    const char *word = NULL;
    size_t n = 0;
    if (row->need != NEED_DEFAULT)
        return;
    if (row->kind == KEY_WORD && key_word(row->extra, (size_t)row->fallback, &word, &n))
        sm_text_add_bytes(out, word, n);
    if (row->kind == KEY_NUMBER || row->kind == KEY_WHOLE)
        key_number_words(row, row->fallback, out);
}

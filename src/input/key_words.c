/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "input/key_table.h"

#include <string.h>

#define SHOWN_DIGITS 10 /* 1  enough to give back what was typed, too few for rounding noise */

void key_number_words(const struct key_row *row, double si, struct sm_text *out)
{
    char number[32];
    double value = si;
    (void)sm_quantity_to_unit(si, row->unit, &value);
    sm_number_format(number, sizeof number, value, SHOWN_DIGITS);
    sm_text_add(out, "%s%s%s", number, row->unit[0] ? " " : "", row->unit);
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
    key_number_words(row, row->min, out);
    sm_text_add(out, " to ");
    key_number_words(row, row->max, out);
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

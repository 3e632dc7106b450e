/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The inputs as they were understood, key by key. */
#include "input/key_table.h"
#include "swapmargin/input.h"

#include <string.h>

#define SHOWN_DIGITS 10 /* 1  gives back what was typed, hides rounding noise */

void sm_echo_init(struct sm_echo *echo)
{
    *echo = (struct sm_echo){ 0 };
}

void sm_echo_release(struct sm_echo *echo)
{
    sm_text_release(&echo->value);
    sm_echo_init(echo);
}

static void list_words(const struct key_row *row, const struct sm_list *list, struct sm_text *out)
{
    for (size_t i = 0; i < list->n; i++) {
        char number[32];
        double value = list->v[i];
        (void)sm_quantity_to_unit(list->v[i], row->unit, &value);
        sm_number_format(number, sizeof number, value, SHOWN_DIGITS);
        sm_text_add(out, "%s%s", i ? " " : "", number);
    }
    if (list->n > 0 && row->unit[0])
        sm_text_add(out, " %s", row->unit);
}

static void rows_words(const struct key_row *row, const struct sm_rows *rows, struct sm_text *out)
{
    for (size_t i = 0; i < rows->n; i++) {
        char number[32];
        double at = rows->row[i].at;
        (void)sm_quantity_to_unit(at, row->extra, &at);
        sm_number_format(number, sizeof number, at, SHOWN_DIGITS);
        sm_text_add(out, "%s%s %s: ", i ? "; " : "", number, row->extra);
        list_words(row, &rows->row[i].values, out);
    }
}

static void value_words(const struct key_row *row, const void *field, struct sm_text *out)
{
    const char *word = NULL;
    size_t n = 0;
    switch (row->kind) {
    case KEY_NUMBER:
        key_number_words(row, *(const double *)field, out);
        return;
    case KEY_OPTIONAL:
        key_number_words(row, ((const struct sm_optional *)field)->value, out);
        return;
    case KEY_WHOLE:
        sm_text_add(out, "%d", *(const int *)field);
        return;
    case KEY_WORD:
        if (key_word(row->extra, (size_t) * (const int *)field, &word, &n))
            sm_text_add_bytes(out, word, n);
        return;
    case KEY_TEXT:
        sm_text_add(out, "%s", *(char *const *)field);
        return;
    case KEY_LIST:
        list_words(row, field, out);
        return;
    case KEY_ROWS:
        rows_words(row, field, out);
        return;
    case KEY_YES:
        sm_text_add(out, *(const bool *)field ? "yes" : "not confirmed");
        return;
    }
}

static void echo_fill(const struct key_row *row, const void *base, const struct sm_origin *origin,
                      struct sm_echo *echo)
{
    echo->section = row->section;
    echo->key = row->key;
    echo->meaning = row->meaning;
    echo->origin = *origin;
    echo->value.length = 0;
    echo->value.out_of_memory = false;
    sm_text_add_bytes(&echo->value, "", 0);
    if (origin->kind != SM_ORIGIN_ABSENT)
        value_words(row, (const char *)base + row->offset, &echo->value);
}

bool sm_drive_echo(const struct sm_drive *drive, size_t i, struct sm_echo *echo)
{
    if (i >= drive_keys.n)
        return false;
    echo_fill(&drive_keys.rows[i], drive, &drive->origin[i], echo);
    return true;
}

bool sm_module_echo(const struct sm_module *module, size_t i, struct sm_echo *echo)
{
    if (i >= module_keys.n)
        return false;
    echo_fill(&module_keys.rows[i], module, &module->origin[i], echo);
    return true;
}

/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * docs/keys.md: the reference of all keys, from the key tables. */
#include "base/text.h"
#include "input/key_table.h"
#include "swapmargin/input.h"

#include <string.h>

static void cell(struct sm_text *out, const char *text)
{
    sm_text_add(out, " %s |", text);
}

static void row_cell(struct sm_text *out, const struct key_row *row,
                     void (*words)(const struct key_row *, struct sm_text *))
{
    struct sm_text text;
    sm_text_init(&text);
    words(row, &text);
    cell(out, text_words(&text));
    text_close(&text, &out->out_of_memory);
}

static void need_words(const struct key_row *row, struct sm_text *out)
{
    switch (row->need) {
    case NEED_REQUIRED:
        sm_text_add(out, "required");
        return;
    case NEED_ONE_OF:
        sm_text_add(out, "one of several");
        return;
    case NEED_FREE:
        sm_text_add(out, "optional");
        return;
    case NEED_DEFAULT:
        key_default_words(row, out);
        return;
    }
}

static void key_words(const struct key_row *row, struct sm_text *out)
{
    const bool kelvin = row->kind == KEY_ROWS && strcmp(row->extra, "degC") == 0;
    const bool hertz = row->kind == KEY_ROWS && !kelvin;
    sm_text_add(out, "`%s%s`%s", row->key, kelvin ? " @ T" : "",
                row->kind == KEY_LIST ? ", list" : "");
    if (kelvin)
        sm_text_add(out, ", list");
    if (hertz)
        sm_text_add(out, ", `%s @ 30 Hz`", row->key);
}

static void section_words(const struct key_table *table, size_t first, struct sm_text *out)
{
    const char *section = table->rows[first].section;
    sm_text_add(out,
                "\n### [%s]\n\n| key | unit shown | required or default | range | meaning |\n"
                "|---|---|---|---|---|\n",
                section);
    for (size_t i = first; i < table->n && strcmp(table->rows[i].section, section) == 0; i++) {
        const struct key_row *row = &table->rows[i];
        sm_text_add(out, "|");
        row_cell(out, row, key_words);
        cell(out, row->unit);
        row_cell(out, row, need_words);
        row_cell(out, row, key_range_words);
        cell(out, row->meaning);
        sm_text_add(out, "\n");
    }
}

static void table_words(const struct key_table *table, struct sm_text *out)
{
    for (size_t i = 0; i < table->n; i++) {
        if (i == 0 || strcmp(table->rows[i].section, table->rows[i - 1].section) != 0)
            section_words(table, i, out);
    }
}

static void units_words(struct sm_text *out)
{
    static const struct {
        const char *dimension, *units;
    } rows[] = {
#define UNIT(symbol, dimension, factor, offset) { #dimension, symbol },
#define ALIAS(symbol, dimension, factor, offset)
#define FOREIGN(symbol, what)
#include "swapmargin/units.def"
#undef UNIT
#undef ALIAS
#undef FOREIGN
    };
    sm_text_add(out, "\n## Units\n");
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        const bool first = i == 0 || strcmp(rows[i].dimension, rows[i - 1].dimension) != 0;
        sm_text_add(out, first ? "%s`%s`" : "%s, `%s`", first ? "\n- " : "", rows[i].units);
    }
    sm_text_add(out, "\n");
}

enum sm_status sm_keys_document(struct sm_text *out)
{
    sm_text_add(
        out,
        "# Keys of the input files\n\n"
        "Written from the key tables in `tables/swapmargin/`; a test compares this file with "
        "them.\n\n"
        "Every value with a dimension carries its unit, one after the last number. Numbers "
        "have a decimal\npoint. A list is numbers parted by blanks, or by a comma and a blank. "
        "Another unit of the same kind\nthan the one shown is as good. `key @ T` is one row a "
        "junction temperature.\n\n## Drive file\n");
    table_words(&drive_keys, out);
    sm_text_add(out,
                "\nA file for `--joint` has one `[joint]` section, which replaces the drive's.\n"
                "\n## Module file\n");
    table_words(&module_keys, out);
    units_words(out);
    return out->out_of_memory ? SM_ERR_MEMORY : SM_OK;
}

/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "base/near.h"
#include "base/utf8.h"
#include "input/key_table.h"

#include <string.h>

/* The nearest key of the section (of any section when it is NULL), or NULL. */
static const struct key_row *nearest_key(const struct key_table *table, const char *section,
                                         const char *name)
{
    const struct key_row *best = NULL;
    size_t best_distance = 0;
    for (size_t i = 0; i < table->n; i++) {
        const struct key_row *row = &table->rows[i];
        size_t distance = 0;
        if (section && strcmp(row->section, section) != 0)
            continue;
        if (name_near(name, row->key, &distance) && (!best || distance < best_distance)) {
            best = row;
            best_distance = distance;
        }
    }
    return best;
}

/* What data sheets call a value, for the table's keys; of the section where it has such a key. */
static const struct key_row *symbol_key(const struct key_table *table, const char *section,
                                        const char *name)
{
    static const struct {
        const char *typed, *key;
    } symbols[] = {
#define SYMBOL(typed, key) { typed, key },
#include "swapmargin/symbols.def"
#undef SYMBOL
    };
    char bare[32];
    size_t n = 0;
    for (; *name && n + 1 < sizeof bare; name++) {
        if ((*name >= 'a' && *name <= 'z') || (*name >= '0' && *name <= '9'))
            bare[n++] = *name;
    }
    bare[n] = '\0';
    const struct key_row *found = NULL;
    for (size_t k = 0; k < sizeof symbols / sizeof symbols[0]; k++) {
        if (strcmp(symbols[k].typed, bare) != 0)
            continue;
        for (size_t i = 0; i < table->n; i++) {
            const struct key_row *row = &table->rows[i];
            if (strcmp(row->key, symbols[k].key) != 0)
                continue;
            if (!found || strcmp(row->section, section) == 0)
                found = row;
        }
    }
    return found;
}

/* A key with rows over temperature whose temperature was written some other way: "e_on_125",
 * "e_on (125 degC)". */
static const struct key_row *rows_key(const struct key_table *table, const char *section,
                                      const char *name)
{
    const struct key_row *found = NULL;
    for (size_t i = 0; i < table->n; i++) {
        const struct key_row *row = &table->rows[i];
        const size_t n = strlen(row->key);
        if (row->kind == KEY_ROWS && strcmp(row->section, section) == 0 &&
            strncmp(name, row->key, n) == 0 && strpbrk(name + n, "0123456789"))
            found = row;
    }
    return found;
}

static void known_keys(const struct key_table *table, const char *section, struct sm_text *out)
{
    sm_text_add(out, "known in [%s]: ", section);
    const char *comma = "";
    for (size_t i = 0; i < table->n; i++) {
        if (strcmp(table->rows[i].section, section) == 0) {
            sm_text_add(out, "%s%s", comma, table->rows[i].key);
            comma = ", ";
        }
    }
}

/* Letters of another alphabet look like ours, and some characters do not show at all. */
static void stranger_words(const char *name, struct sm_text *out)
{
    while (*name && (unsigned char)*name < 0x80u)
        name++;
    if (*name && utf8_length(name) > 0)
        sm_text_add(out, " (U+%04lX in it)", (unsigned long)utf8_code(name));
}

size_t key_suggest(const struct key_table *table, const char *section, const char *name,
                   struct sm_text *out)
{
    const struct key_row *near = rows_key(table, section, name);
    if (near) {
        sm_text_add(out, "did you mean '%s @ 125 degC'?", near->key);
        return (size_t)(near - table->rows);
    }
    for (size_t i = 0; i < table->n; i++) {
        if (strcmp(table->rows[i].key, name) == 0) {
            sm_text_add(out, "it belongs in [%s]", table->rows[i].section);
            return table->n;
        }
    }
    near = symbol_key(table, section, name);
    if (!near)
        near = nearest_key(table, section, name);
    if (!near)
        near = nearest_key(table, NULL, name);
    if (!near) {
        known_keys(table, section, out);
        stranger_words(name, out);
        return table->n;
    }
    const bool here = strcmp(near->section, section) == 0;
    sm_text_add(out, "did you mean '%s'", near->key);
    if (!here)
        sm_text_add(out, " of [%s]", near->section);
    sm_text_add(out, "?");
    stranger_words(name, out);
    return here ? (size_t)(near - table->rows) : table->n;
}

void section_suggest(const struct key_table *table, const char *name, struct sm_text *out)
{
    static const struct key_table *const kinds[] = { &drive_keys, &module_keys };
    for (size_t k = 0; k < sizeof kinds / sizeof kinds[0]; k++) {
        if (key_table_has_section(kinds[k], name)) {
            sm_text_add(out, "it belongs in a %s file", kinds[k]->noun);
            return;
        }
    }
    const char *best = NULL, *section = NULL;
    size_t best_distance = 0, distance = 0;
    for (size_t i = 0; (section = key_table_section(table, i)) != NULL; i++) {
        if (name_near(name, section, &distance) && (!best || distance < best_distance)) {
            best = section;
            best_distance = distance;
        }
    }
    if (best) {
        sm_text_add(out, "did you mean [%s]?", best);
        return;
    }
    sm_text_add(out, "known in a %s file: ", table->noun);
    for (size_t i = 0; (section = key_table_section(table, i)) != NULL; i++)
        sm_text_add(out, "%s[%s]", i ? ", " : "", section);
}

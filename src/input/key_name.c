/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "base/near.h"
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

void key_suggest(const struct key_table *table, const char *section, const char *name,
                 struct sm_text *out)
{
    for (size_t i = 0; i < table->n; i++) {
        if (strcmp(table->rows[i].key, name) == 0) {
            sm_text_add(out, "it belongs in [%s]", table->rows[i].section);
            return;
        }
    }
    const struct key_row *near = nearest_key(table, section, name);
    if (near) {
        sm_text_add(out, "did you mean '%s'?", near->key);
        return;
    }
    near = nearest_key(table, NULL, name);
    if (near) {
        sm_text_add(out, "did you mean '%s' of [%s]?", near->key, near->section);
        return;
    }
    sm_text_add(out, "known in [%s]: ", section);
    const char *comma = "";
    for (size_t i = 0; i < table->n; i++) {
        if (strcmp(table->rows[i].section, section) == 0) {
            sm_text_add(out, "%s%s", comma, table->rows[i].key);
            comma = ", ";
        }
    }
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

/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "input/key_table.h"

#include "base/text.h"
#include "input/ini_text.h"
#include "input/loading.h"

#include <stdlib.h>
#include <string.h>

/* One reading of a table; `section` is the only one read when `any` is set. */
struct reader {
    const struct key_table *table;
    const struct ini_source *source;
    const struct key_target *target;
    struct sm_faults *faults;
    bool any; /* the rows hold for any section: reference tables */
    size_t section;
    bool *seen; /* one a row: the key stands in the file, be it with a fault */
};

const char *key_table_section(const struct key_table *table, size_t i)
{
    for (size_t k = 0; k < table->n; k++) {
        const bool first =
            k == 0 || strcmp(table->rows[k].section, table->rows[k - 1].section) != 0;
        if (first && i-- == 0)
            return table->rows[k].section;
    }
    return NULL;
}

bool key_table_has_section(const struct key_table *table, const char *section)
{
    for (size_t k = 0; k < table->n; k++) {
        if (strcmp(table->rows[k].section, section) == 0)
            return true;
    }
    return false;
}

/* The name of an entry without what stands after "@". */
static void entry_name(const struct ini_entry *entry, char *name, size_t size)
{
    size_t n = strcspn(entry->name, "@");
    if (n >= size)
        n = size - 1;
    memcpy(name, entry->name, n);
    name[n] = '\0';
    ini_trim_end(name);
}

static size_t row_find(const struct reader *r, const char *section, const char *name)
{
    for (size_t i = 0; i < r->table->n; i++) {
        const struct key_row *row = &r->table->rows[i];
        if (strcmp(row->key, name) == 0 && (r->any || strcmp(row->section, section) == 0))
            return i;
    }
    return r->table->n;
}

static void origin_set(const struct reader *r, size_t i, enum sm_origin_kind kind, int line)
{
    struct sm_origin *origin = &r->target->origins[i];
    if (origin->kind == SM_ORIGIN_GIVEN)
        return; /* the first good row of several */
    *origin = (struct sm_origin){ kind, kind == SM_ORIGIN_ABSENT ? NULL : r->target->file, line };
}

static void unknown_key(const struct reader *r, const struct ini_entry *entry, const char *section,
                        const char *name)
{
    const struct sm_place place = ini_source_place(r->source, entry);
    struct sm_text words;
    sm_text_init(&words);
    const size_t meant = key_suggest(r->table, r->any ? "" : section, name, &words);
    (void)sm_fault_add(r->faults, SM_ERR_KEY, &place, "unknown key; %s", text_words(&words));
    if (meant < r->table->n && r->target->origins[meant].kind != SM_ORIGIN_GIVEN) {
        r->seen[meant] = true; /* one mistake, one fault: it does not miss too */
        origin_set(r, meant, SM_ORIGIN_ABSENT, entry->line);
    }
    text_close(&words, &r->faults->out_of_memory);
}

static void entry_read(const struct reader *r, const struct ini_entry *entry)
{
    const char *section = r->source->sections[entry->section].name;
    char name[256];
    entry_name(entry, name, sizeof name);
    const size_t i = row_find(r, section, name);
    if (i == r->table->n) {
        if (!entry->broken)
            unknown_key(r, entry, section, name);
        return;
    }
    r->seen[i] = true;
    origin_set(r, i, SM_ORIGIN_ABSENT, entry->line); /* until it is read */
    if (entry->broken)
        return;
    const struct key_row *row = &r->table->rows[i];
    if (row->kind != KEY_ROWS && strchr(entry->name, '@')) {
        const struct sm_place place = ini_source_place(r->source, entry);
        (void)sm_fault_add(r->faults, SM_ERR_KEY, &place, "takes no '@'; expected '%s = ...'",
                           row->key);
        return;
    }
    if (key_value_read(row, r->source, entry, r->target->base, r->faults) == SM_OK)
        origin_set(r, i, SM_ORIGIN_GIVEN, entry->line);
}

static void entries_read(const struct reader *r)
{
    for (size_t i = 0; i < r->source->n_entries; i++) {
        const struct ini_entry *entry = &r->source->entries[i];
        const char *section = r->source->sections[entry->section].name;
        const bool mine =
            r->any ? entry->section == r->section : key_table_has_section(r->table, section);
        if (mine)
            entry_read(r, entry);
    }
}

/* A required key is missing from a section that is there. */
static void missing_key(const struct reader *r, const struct key_row *row,
                        const struct ini_section *section)
{
    const struct sm_place place = { r->source->file, section->line, section->shown, row->key };
    struct sm_text words;
    sm_text_init(&words);
    key_range_words(row, &words);
    (void)sm_fault_add(r->faults, SM_ERR_KEY, &place, "missing; expected %s%s%s", row->meaning,
                       words.data ? ", " : "", text_words(&words));
    text_close(&words, &r->faults->out_of_memory);
}

static void missing_section(const struct reader *r, const char *section)
{
    const struct sm_place place = { .file = r->source->file, .section = section };
    struct sm_text words;
    sm_text_init(&words);
    const char *comma = "";
    for (size_t i = 0; i < r->table->n; i++) {
        const struct key_row *row = &r->table->rows[i];
        if (strcmp(row->section, section) == 0 && row->need == NEED_REQUIRED) {
            sm_text_add(&words, "%s%s", comma, row->key);
            comma = ", ";
        }
    }
    (void)sm_fault_add(r->faults, SM_ERR_KEY, &place, "missing; expected a section with %s",
                       text_words(&words));
    text_close(&words, &r->faults->out_of_memory);
}

/* Whether no earlier row of the same section is required. */
static bool first_required(const struct key_table *table, size_t i)
{
    for (size_t k = 0; k < i; k++) {
        if (table->rows[k].need == NEED_REQUIRED &&
            strcmp(table->rows[k].section, table->rows[i].section) == 0)
            return false;
    }
    return true;
}

static void absent_fill(const struct reader *r, size_t i)
{
    const struct key_row *row = &r->table->rows[i];
    const struct ini_section *section =
        r->any ? &r->source->sections[r->section] : ini_source_section(r->source, row->section);

    /* text is never NULL, so that a fault in it cannot make others */
    if (row->need == NEED_DEFAULT || row->kind == KEY_TEXT) {
        if (key_value_default(row, r->target->base) != SM_OK)
            (void)sm_fault_add(r->faults, SM_ERR_MEMORY,
                               &(struct sm_place){ .file = r->source->file }, "out of memory");
    }
    if (r->seen[i])
        return;
    if (row->need == NEED_DEFAULT)
        origin_set(r, i, SM_ORIGIN_DEFAULT, 0);
    if (row->need != NEED_REQUIRED)
        return;
    if (section)
        missing_key(r, row, section);
    else if (first_required(r->table, i))
        missing_section(r, row->section);
}

static void rows_finish(const struct reader *r)
{
    for (size_t i = 0; i < r->table->n; i++) {
        if (r->table->rows[i].kind == KEY_ROWS && strcmp(r->table->rows[i].extra, "degC") == 0)
            key_rows_finish(&r->table->rows[i], r->source, r->target->base, r->faults);
    }
}

static void reader_run(struct reader *r)
{
    r->seen = calloc(r->table->n, sizeof *r->seen);
    if (!r->seen) {
        (void)sm_fault_add(r->faults, SM_ERR_MEMORY, &(struct sm_place){ .file = r->source->file },
                           "out of memory");
        return;
    }
    const size_t before = r->faults->count;
    entries_read(r);
    if (loading_lack(r->faults, before) == SM_OK) {
        for (size_t i = 0; i < r->table->n; i++) {
            if (r->target->origins[i].kind != SM_ORIGIN_GIVEN)
                absent_fill(r, i);
        }
        rows_finish(r);
    }
    free(r->seen);
}

static void unknown_sections(const struct key_table *table, const struct ini_source *source,
                             struct sm_faults *faults)
{
    for (size_t i = 0; i < source->n_sections; i++) {
        const struct ini_section *section = &source->sections[i];
        if (section->broken || key_table_has_section(table, section->name))
            continue;
        const struct sm_place place = { source->file, section->line, section->shown, NULL };
        struct sm_text words;
        sm_text_init(&words);
        section_suggest(table, section->name, &words);
        (void)sm_fault_add(faults, SM_ERR_KEY, &place, "unknown section; %s", text_words(&words));
        text_close(&words, &faults->out_of_memory);
    }
}

void key_table_read(const struct key_table *table, const struct ini_source *source,
                    const struct key_target *target, struct sm_faults *faults)
{
    struct reader r = { .table = table, .source = source, .target = target, .faults = faults };
    unknown_sections(table, source, faults);
    reader_run(&r);
}

void key_table_read_section(const struct key_table *table, const struct ini_source *source,
                            size_t section, const struct key_target *target,
                            struct sm_faults *faults)
{
    struct reader r = { .table = table,
                        .source = source,
                        .target = target,
                        .faults = faults,
                        .any = true,
                        .section = section };
    reader_run(&r);
}

/* Whether the source has a section that only this kind of file has. */
static bool has_own(const struct ini_source *source, const struct key_table *table,
                    const struct key_table *other)
{
    for (size_t i = 0; i < source->n_sections; i++) {
        const char *name = source->sections[i].name;
        if (key_table_has_section(table, name) && !key_table_has_section(other, name) &&
            (table == &joint_keys || !key_table_has_section(&joint_keys, name)))
            return true;
    }
    return false;
}

static const char *source_kind(const struct ini_source *source)
{
    if (has_own(source, &drive_keys, &module_keys))
        return drive_keys.noun;
    if (has_own(source, &module_keys, &drive_keys))
        return module_keys.noun;
    return has_own(source, &joint_keys, &module_keys) ? joint_keys.noun : NULL;
}

bool key_table_other_kind(const struct key_table *table, const struct ini_source *source,
                          struct sm_faults *faults)
{
    const bool own = (table == &drive_keys && has_own(source, &drive_keys, &module_keys)) ||
                     (table == &module_keys && has_own(source, &module_keys, &drive_keys));
    const char *kind = source_kind(source);
    if (own || !kind || strcmp(kind, table->noun) == 0)
        return false;
    const struct sm_place place = { .file = source->file };
    (void)sm_fault_add(faults, SM_ERR_KEY, &place, "this is a %s file where a %s file is expected",
                       kind, table->noun);
    return true;
}

static void rows_release(struct sm_rows *rows)
{
    for (size_t i = 0; i < rows->n; i++)
        free(rows->row[i].values.v);
    free(rows->row);
}

void key_table_release(const struct key_table *table, void *base)
{
    for (size_t i = 0; i < table->n; i++) {
        void *field = key_field(&table->rows[i], base);
        if (table->rows[i].kind == KEY_TEXT) {
            free(*(char **)field);
            *(char **)field = NULL;
        } else if (table->rows[i].kind == KEY_LIST) {
            free(((struct sm_list *)field)->v);
            *(struct sm_list *)field = (struct sm_list){ NULL, 0 };
        } else if (table->rows[i].kind == KEY_ROWS) {
            rows_release(field);
            *(struct sm_rows *)field = (struct sm_rows){ NULL, 0 };
        }
    }
}

/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The reference tables: compiled in, or read from a folder.  Every section is one row. */
#define _POSIX_C_SOURCE 200809L /* strdup() */
#include "input/embedded.h"
#include "input/key_table.h"
#include "input/loading.h"
#include "swapmargin/input.h"

#include <stdlib.h>
#include <string.h>

/* A row as read; the public structs hold their texts themselves. */
struct compound_read {
    double conductivity, thickness, density;
    char *source;
};

struct surface_read {
    struct sm_surface surface;
    char *source;
};

#define KEY_ENTRY(type, id, section, key, field, kind, ...) KEY_CHECK_TYPE(type, field, kind);
#define COMPOUND_KEY(...) KEY_ENTRY(struct compound_read, __VA_ARGS__)
#define SURFACE_KEY(...) KEY_ENTRY(struct surface_read, __VA_ARGS__)
#include "swapmargin/keys_tables.def"
#undef COMPOUND_KEY
#undef SURFACE_KEY

static const struct key_row compound_rows[] = {
#define COMPOUND_KEY(id, ...) KEY_ROW(struct compound_read, __VA_ARGS__),
#include "swapmargin/keys_tables.def"
#undef COMPOUND_KEY
};

static const struct key_row surface_rows[] = {
#define SURFACE_KEY(id, ...) KEY_ROW(struct surface_read, __VA_ARGS__),
#include "swapmargin/keys_tables.def"
#undef SURFACE_KEY
};

#define COUNT(rows) (sizeof(rows) / sizeof(rows)[0])

static const struct key_table compound_keys = { "compound", compound_rows, COUNT(compound_rows) };
static const struct key_table surface_keys = { "surface", surface_rows, COUNT(surface_rows) };

void sm_tables_init(struct sm_tables *tables)
{
    *tables = (struct sm_tables){ 0 };
}

void sm_tables_release(struct sm_tables *tables)
{
    free(tables->compounds);
    free(tables->surfaces);
    sm_tables_init(tables);
}

/* Copies a text into its field; too long is a fault at the section. */
static void text_store(const struct ini_source *source, const struct ini_section *section,
                       const char *text, char *to, size_t size, struct sm_faults *faults)
{
    const size_t n = text ? strlen(text) : 0;
    if (n < size) {
        memcpy(to, text ? text : "", n + 1);
        return;
    }
    const struct sm_place place = { source->file, section->line, section->shown, NULL };
    (void)sm_fault_add(faults, SM_ERR_RANGE, &place,
                       "text of %zu bytes in it; expected less than %zu", n, size);
}

static void compound_store(const struct ini_source *source, size_t i, struct sm_compound *out,
                           struct sm_faults *faults)
{
    struct compound_read row = { 0 };
    struct sm_origin origins[COUNT(compound_rows)] = { { 0 } };
    const struct key_target target = { &row, origins, source->file };
    key_table_read_section(&compound_keys, source, i, &target, faults);
    const struct ini_section *section = &source->sections[i];
    out->conductivity = row.conductivity;
    out->thickness = row.thickness;
    out->density = row.density;
    text_store(source, section, section->shown, out->name, sizeof out->name, faults);
    text_store(source, section, row.source, out->source, sizeof out->source, faults);
    key_table_release(&compound_keys, &row);
}

static void surface_store(const struct ini_source *source, size_t i, struct sm_surface_row *out,
                          struct sm_faults *faults)
{
    struct surface_read row = { 0 };
    struct sm_origin origins[COUNT(surface_rows)] = { { 0 } };
    const struct key_target target = { &row, origins, source->file };
    key_table_read_section(&surface_keys, source, i, &target, faults);
    const struct ini_section *section = &source->sections[i];
    out->surface = row.surface;
    out->surface.given = true;
    text_store(source, section, section->shown, out->name, sizeof out->name, faults);
    text_store(source, section, row.source, out->source, sizeof out->source, faults);
    key_table_release(&surface_keys, &row);
}

static void compounds_fill(const struct ini_source *source, struct sm_tables *tables,
                           struct sm_faults *faults)
{
    tables->compounds = calloc(source->n_sections, sizeof *tables->compounds);
    if (!tables->compounds) {
        (void)sm_fault_add(faults, SM_ERR_MEMORY, &(struct sm_place){ .file = source->file },
                           "out of memory");
        return;
    }
    tables->n_compounds = source->n_sections;
    for (size_t i = 0; i < source->n_sections; i++)
        compound_store(source, i, &tables->compounds[i], faults);
}

static void surfaces_fill(const struct ini_source *source, struct sm_tables *tables,
                          struct sm_faults *faults)
{
    tables->surfaces = calloc(source->n_sections, sizeof *tables->surfaces);
    if (!tables->surfaces) {
        (void)sm_fault_add(faults, SM_ERR_MEMORY, &(struct sm_place){ .file = source->file },
                           "out of memory");
        return;
    }
    tables->n_surfaces = source->n_sections;
    for (size_t i = 0; i < source->n_sections; i++)
        surface_store(source, i, &tables->surfaces[i], faults);
}

/* Loads "<folder>/<name>", or the embedded text under the name "tables/<name>". */
static enum sm_status table_source(const char *folder, const char *name, const char *embedded,
                                   struct ini_source *source, struct sm_faults *faults)
{
    struct sm_text path;
    sm_text_init(&path);
    sm_text_add(&path, "%s/%s", folder ? folder : "tables", name);
    enum sm_status status = SM_ERR_MEMORY;
    if (path.out_of_memory)
        status = sm_fault_add(faults, SM_ERR_MEMORY, NULL, "out of memory");
    else if (folder)
        status = ini_source_load(path.data, source, faults);
    else
        status = ini_source_parse(path.data, embedded, strlen(embedded), source, faults);
    sm_text_release(&path);
    return status;
}

enum sm_status sm_tables_load(const char *folder, struct sm_tables *tables,
                              struct sm_faults *faults)
{
    struct sm_faults own;
    sm_faults_init(&own);
    struct sm_faults *list = faults ? faults : &own;
    const size_t before = list->count;
    struct ini_source source;
    ini_source_init(&source);

    sm_tables_init(tables);
    if (table_source(folder, SM_COMPOUNDS_FILE, sm_embedded_compounds, &source, list) == SM_OK)
        compounds_fill(&source, tables, list);
    memcpy(tables->compounds_sha256, source.sha256, sizeof tables->compounds_sha256);
    ini_source_release(&source);
    if (table_source(folder, SM_SURFACES_FILE, sm_embedded_surfaces, &source, list) == SM_OK)
        surfaces_fill(&source, tables, list);
    memcpy(tables->surfaces_sha256, source.sha256, sizeof tables->surfaces_sha256);
    ini_source_release(&source);

    const enum sm_status status = loading_end(list, before);
    if (status != SM_OK)
        sm_tables_release(tables);
    sm_faults_release(&own);
    return status;
}

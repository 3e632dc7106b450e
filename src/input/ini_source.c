/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "input/ini_source.h"

#include "base/grow.h"
#include "input/ini_scan.h"
#include "input/text_file.h"

#include <stdlib.h>
#include <string.h>

void ini_source_init(struct ini_source *source)
{
    *source = (struct ini_source){ 0 };
}

void ini_source_release(struct ini_source *source)
{
    free(source->file);
    free(source->sections);
    free(source->entries);
    free(source->pool);
    ini_source_init(source);
}

static enum sm_status source_fill(const char *file, const char *bytes, size_t n,
                                  struct ini_source *source, struct sm_faults *faults)
{
    source->file = text_copy(file);
    if (!source->file)
        return sm_fault_add(faults, SM_ERR_MEMORY, &(struct sm_place){ .file = file },
                            "out of memory");
    return ini_scan(bytes, n, source, faults);
}

enum sm_status ini_source_parse(const char *file, const char *bytes, size_t n,
                                struct ini_source *source, struct sm_faults *faults)
{
    ini_source_init(source);
    const enum sm_status status = source_fill(file, bytes, n, source, faults);
    if (status != SM_OK)
        ini_source_release(source);
    return status;
}

enum sm_status ini_source_load(const char *file, struct ini_source *source,
                               struct sm_faults *faults)
{
    char *bytes = NULL;
    size_t n = 0;
    ini_source_init(source);
    enum sm_status status = text_file_read(file, INI_FILE_LIMIT, &bytes, &n, faults);
    if (status == SM_OK)
        status = ini_source_parse(file, bytes, n, source, faults);
    if (status == SM_OK)
        digest_hex(bytes, n, source->sha256);
    free(bytes);
    return status;
}

const struct ini_section *ini_source_section(const struct ini_source *source, const char *name)
{
    for (size_t i = 0; i < source->n_sections; i++) {
        if (strcmp(source->sections[i].name, name) == 0)
            return &source->sections[i];
    }
    return NULL;
}

struct sm_place ini_source_place(const struct ini_source *source, const struct ini_entry *entry)
{
    return (struct sm_place){ source->file, entry->line, source->sections[entry->section].shown,
                              entry->key };
}

struct sm_place ini_source_line(const struct ini_source *source, int line)
{
    for (size_t i = 0; i < source->n_entries; i++) {
        if (source->entries[i].line == line)
            return ini_source_place(source, &source->entries[i]);
    }
    return (struct sm_place){ .file = source->file, .line = line };
}

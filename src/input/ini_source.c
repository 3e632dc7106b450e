/* SPDX-License-Identifier: GPL-3.0-or-later */
#define _GNU_SOURCE /* memfd_create() */
#include "input/ini_source.h"

#include "base/text.h"
#include "input/ini_scan.h"
#include "input/text_file.h"

#include <errno.h>
#include <iniparser/iniparser.h>
#include <pthread.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/mman.h>
#include <unistd.h>

void ini_source_init(struct ini_source *source)
{
    *source = (struct ini_source){ 0 };
}

void ini_source_release(struct ini_source *source)
{
    if (source->dictionary)
        iniparser_freedict(source->dictionary);
    free(source->file);
    free(source->sections);
    free(source->entries);
    free(source->pool);
    ini_source_init(source);
}

/* iniparser would print its complaints; ours are told already. */
static int stay_silent(const char *format, ...)
{
    (void)format;
    return 0;
}

static void silence_iniparser(void)
{
    iniparser_set_error_callback(stay_silent);
}

/* Returned: 0 or an errno. */
static int write_all(int fd, const char *data, size_t n)
{
    while (n > 0) {
        const ssize_t k = write(fd, data, n);
        if (k < 0 && errno == EINTR)
            continue;
        if (k <= 0)
            return k < 0 ? errno : EIO;
        data += k;
        n -= (size_t)k;
    }
    return 0;
}

/* iniparser uses what its dictionary begins with (four tables, of 3 kB) without a look whether it
 * got it: so much, and a stream's buffer, must be there.  What was given back in one piece the C
 * library gives out again. */
static bool beginning_is_there(void)
{
    enum { BEGINNING = 16 * 1024 };           /* bytes */
    void *volatile bytes = malloc(BEGINNING); /* volatile: or the compiler leaves both calls out */
    const bool there = bytes != NULL;
    free(bytes);
    return there;
}

/* Behind its beginning iniparser leaves out the line that it has no memory for, and goes on.
 * Returned: 0 when every line is in *loaded, else an errno. */
static int path_load(const char *path, dictionary **loaded)
{
    if (!beginning_is_there())
        return ENOMEM;
    errno = 0;
    *loaded = iniparser_load(path);
    const int error = errno;
    if (*loaded && error == ENOMEM) {
        iniparser_freedict(*loaded);
        *loaded = NULL;
    }
    return *loaded ? 0 : error != 0 ? error : EIO;
}

/* iniparser 4.1 reads from a path only; this one leads to memory.  Returned: 0 or an errno. */
static int dictionary_load(const struct sm_text *normal, dictionary **loaded)
{
    static pthread_once_t once = PTHREAD_ONCE_INIT;
    (void)pthread_once(&once, silence_iniparser);

    const int fd = memfd_create("swapmargin", MFD_CLOEXEC);
    if (fd < 0)
        return errno;
    char path[40];
    (void)snprintf(path, sizeof path, "/proc/self/fd/%d", fd);
    int error = write_all(fd, text_words(normal), normal->length);
    if (error == 0)
        error = path_load(path, loaded);
    (void)close(fd);
    return error;
}

/* Every entry that our pass accepted must be in the dictionary: else the two do not agree. */
static enum sm_status values_fetch(struct ini_source *source, struct sm_faults *faults)
{
    char name[1024];
    for (size_t i = 0; i < source->n_entries; i++) {
        struct ini_entry *entry = &source->entries[i];
        if (entry->broken)
            continue;
        (void)snprintf(name, sizeof name, "%s:%s", source->sections[entry->section].name,
                       entry->name);
        entry->value = iniparser_getstring(source->dictionary, name, NULL);
        if (!entry->value) {
            const struct sm_place place = ini_source_place(source, entry);
            entry->broken = true;
            (void)sm_fault_add(faults, SM_ERR_SYNTAX, &place,
                               "line is not understood; expected key = value");
        }
    }
    return SM_OK;
}

static enum sm_status source_fill(const char *file, const char *bytes, size_t n,
                                  struct ini_source *source, struct sm_faults *faults)
{
    const struct sm_place place = { .file = file };
    struct sm_text normal;
    sm_text_init(&normal);
    source->file = strdup(file);
    if (!source->file)
        return sm_fault_add(faults, SM_ERR_MEMORY, &place, "out of memory");

    enum sm_status status = ini_scan(bytes, n, source, &normal, faults);
    if (status == SM_OK && normal.out_of_memory)
        status = sm_fault_add(faults, SM_ERR_MEMORY, &place, "out of memory");
    if (status == SM_OK) {
        dictionary *loaded = NULL;
        const int error = dictionary_load(&normal, &loaded);
        source->dictionary = loaded;
        if (error != 0)
            status = text_file_fault(faults, SM_ERR_SYSTEM, file, error,
                                     "cannot be handed to the INI reader",
                                     "/proc, and memory for a copy");
    }
    sm_text_release(&normal);
    return status == SM_OK ? values_fetch(source, faults) : status;
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

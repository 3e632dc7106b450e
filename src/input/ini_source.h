/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * One INI file as sections and entries, each with its line.
 *
 * Our strict pass owns the rules and their faults: encoding, control bytes, line length, brackets,
 * quotes, comments, doubles, keys outside a section.  It hands a normalised text to iniparser, and
 * the values are iniparser's.  A line with a fault stays known by its key where that can be told,
 * so that one mistake makes one fault; its entry is `broken` and has no value. */
#ifndef SM_INPUT_INI_SOURCE_H
#define SM_INPUT_INI_SOURCE_H

#include "base/digest.h"
#include "swapmargin/error.h"

#include <stdbool.h>
#include <stddef.h>

struct ini_section {
    const char *name;  /* lower case */
    const char *shown; /* as typed */
    int line;
    bool broken; /* its header has a fault */
};

struct ini_entry {
    size_t section;    /* index of its section */
    const char *key;   /* as typed */
    const char *name;  /* lower case, runs of blanks as one */
    const char *value; /* iniparser's; NULL when broken */
    int line;
    unsigned hash; /* of name */
    bool broken;
    bool empty; /* nothing stands behind "=", not even quotes: whoever knows the key says so */
};

struct ini_source {
    char *file;
    struct ini_section *sections;
    size_t n_sections;
    struct ini_entry *entries;
    size_t n_entries;
    char *pool;              /* the strings of both */
    void *dictionary;        /* iniparser's */
    char sha256[DIGEST_HEX]; /* of the bytes of a file; "" for a text in memory */
};

void ini_source_init(struct ini_source *source);

/* Reads a file.  Returned: SM_OK when there is something to look at, be it with faults in the list;
 * else the status of the fault added (nothing of the file can be read), source as after init. */
enum sm_status ini_source_load(const char *file, struct ini_source *source,
                               struct sm_faults *faults);

/* The same for a text in memory; `file` names it in faults. */
enum sm_status ini_source_parse(const char *file, const char *bytes, size_t n,
                                struct ini_source *source, struct sm_faults *faults);

void ini_source_release(struct ini_source *source);

/* The section of that (lower case) name, or NULL. */
const struct ini_section *ini_source_section(const struct ini_source *source, const char *name);

/* Where an entry stands. */
struct sm_place ini_source_place(const struct ini_source *source, const struct ini_entry *entry);

/* The entry that stands at a line, as a place; without one, the place is the line. */
struct sm_place ini_source_line(const struct ini_source *source, int line);

#endif

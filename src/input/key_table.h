/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Key tables at work: the rows of keys_*.def applied to an INI source and a struct. */
#ifndef SM_INPUT_KEY_TABLE_H
#define SM_INPUT_KEY_TABLE_H

#include "input/ini_source.h"
#include "swapmargin/case.h"
#include "swapmargin/quantity.h"
#include "swapmargin/text.h"

enum key_kind {
    KEY_NUMBER,
    KEY_OPTIONAL,
    KEY_WHOLE,
    KEY_WORD,
    KEY_TEXT,
    KEY_LIST,
    KEY_ROWS,
    KEY_YES
};

enum key_need { NEED_REQUIRED, NEED_DEFAULT, NEED_FREE, NEED_ONE_OF };

/* The type of a field of each kind: a row with a field of another type does not compile. */
#define KEY_TYPE_NUMBER double
#define KEY_TYPE_OPTIONAL struct sm_optional
#define KEY_TYPE_WHOLE int
#define KEY_TYPE_WORD int
#define KEY_TYPE_TEXT char *
#define KEY_TYPE_LIST struct sm_list
#define KEY_TYPE_ROWS struct sm_rows
#define KEY_TYPE_YES bool

/* One row; the columns are described in keys_drive.def. */
struct key_row {
    const char *section;
    const char *key;
    enum key_kind kind;
    enum sm_dimension dimension;
    enum key_need need;
    double fallback, min, max;
    const char *unit;
    const char *extra;
    const char *meaning;
    size_t offset; /* of the field in the struct */
};

/* Makes a struct key_row of a row of a .def file; `type` is the struct that the field is of. */
#define KEY_ROW(type, section, key, field, kind, dimension, need, fallback, min, max, unit, extra, \
                meaning)                                                                           \
    {                                                                                              \
        section, key, KEY_##kind, SM_DIM_##dimension, NEED_##need, fallback, min, max, unit,       \
            extra, meaning, offsetof(type, field)                                                  \
    }

#define KEY_CHECK_TYPE(type, field, kind)                                                          \
    _Static_assert(_Generic(((type *)0)->field, KEY_TYPE_##kind : 1, default : 0),                 \
                   "type of " #field)

struct key_table {
    const char *noun; /* "drive", "module", "joint": what the file is called */
    const struct key_row *rows;
    size_t n;
};

extern const struct key_table drive_keys;
extern const struct key_table module_keys;
extern const struct key_table
    joint_keys; /* the rows of the drive's [joint], from SM_DRIVE_COMPOUND on */

/* What rows are applied to. */
struct key_target {
    void *base;                /* the struct, as after its init */
    struct sm_origin *origins; /* one a row of the table, all zero */
    const char *file;          /* borrowed by the origins */
};

/* Reads a source into a struct: known names, values, ranges, required keys, defaults.
 * All faults are added.  A key that stands there with a fault has the origin SM_ORIGIN_ABSENT
 * with its line; one that does not stand there has line 0. */
void key_table_read(const struct key_table *table, const struct ini_source *source,
                    const struct key_target *target, struct sm_faults *faults);

/* The same for tables in which every section is one row of data: reads one section only. */
void key_table_read_section(const struct key_table *table, const struct ini_source *source,
                            size_t section, const struct key_target *target,
                            struct sm_faults *faults);

/* Whether a file is of another kind than the table's (drive, module, joint): with a fault then. */
bool key_table_other_kind(const struct key_table *table, const struct ini_source *source,
                          struct sm_faults *faults);

/* Frees what reading put into the struct's fields. */
void key_table_release(const struct key_table *table, void *base);

/* Sections of a table, each once, in order: i = 0, 1, ...; NULL after the last. */
const char *key_table_section(const struct key_table *table, size_t i);

bool key_table_has_section(const struct key_table *table, const char *section);

/* ---- one value (key_value.c) */

/* The field of a row. */
void *key_field(const struct key_row *row, void *base);

/* Reads one entry into the field.  Errors: its fault is added. */
enum sm_status key_value_read(const struct key_row *row, const struct ini_source *source,
                              const struct ini_entry *entry, void *base, struct sm_faults *faults);

/* Puts the fallback in.  Errors: SM_ERR_MEMORY, without a fault. */
enum sm_status key_value_default(const struct key_row *row, void *base);

/* Sorts the rows of a ROWS field by `at`; two at the same place are a fault.  Reading a table does
 * this for rows over temperature; for those over frequency the plain key gets its place first. */
void key_rows_finish(const struct key_row *row, const struct ini_source *source, void *base,
                     struct sm_faults *faults);

/* ---- words for people (key_words.c) */

/* "50 V to 1000 V", "one of: constant, fan", "1 or 3", "" for free text. */
void key_range_words(const struct key_row *row, struct sm_text *out);

/* The default as it would be typed; nothing when there is none. */
void key_default_words(const struct key_row *row, struct sm_text *out);

/* A number of a row's dimension in its shown unit, "480 V". */
void key_number_words(const struct key_row *row, double si, struct sm_text *out);

/* The k-th word of "a|b|c" as [*start, *start + *n); false after the last. */
bool key_word(const char *extra, size_t k, const char **start, size_t *n);

/* ---- names (key_name.c) */

/* Adds what to do about an unknown key or section: the one that a data sheet's symbol stands for,
 * the nearest known one, where it belongs, or all known ones.
 * Returned: the row of the key that is most likely meant, when it is one of the section; else n. */
size_t key_suggest(const struct key_table *table, const char *section, const char *name,
                   struct sm_text *out);
void section_suggest(const struct key_table *table, const char *name, struct sm_text *out);

#endif

/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The rows of json.def, and what other tables know of their words and numbers. */
#ifndef SM_TESTS_SCHEMA_ROWS_H
#define SM_TESTS_SCHEMA_ROWS_H

#include <jansson.h>
#include <stdbool.h>
#include <stddef.h>

enum type {
    TYPE_NUMBER,
    TYPE_INTEGER,
    TYPE_TEXT,
    TYPE_FLAG,
    TYPE_WORD,
    TYPE_OBJECT,
    TYPE_TEXT_OR_NUMBER,
    TYPE_NUMBERS,
    TYPE_TEXTS,
    TYPE_WORDS,
    TYPE_OBJECTS,
    TYPE_TABLE,
    TYPE_NOTHING
};

struct document {
    const char *file, *object, *made_by;
};

/* An object's row, followed by those of its keys. */
struct row {
    bool is_object;
    enum type type;
    const char *name;
    const char *of;   /* of an object: its base */
    const char *null; /* of an object: its place in quantities.def */
    const char *meaning;
};

extern const struct document schema_documents[];
extern const size_t schema_document_count;
extern const struct row schema_rows[];
extern const size_t schema_row_count;
enum { SCHEMA_ROWS_MOST = 1000 };

/* Ends the program: the table is wrong. */
void schema_stop(const char *object, const char *key, const char *what);

const struct row *schema_object(const char *name);

/* Calls for each key of an object, those of its base first. */
typedef void key_visitor(void *context, const struct row *object, const struct row *key);
void schema_keys(const struct row *object, key_visitor *visit, void *context);

/* Marks every form of object that a document reaches: reached[SCHEMA_ROWS_MOST]. */
void schema_reach(const struct document *document, bool *reached);

/* The words of a list, of whatever table. */
json_t *schema_words(const char *list);

/* Unit and meaning of a key, "" for none. */
struct said {
    char unit[16];
    char meaning[256];
};

struct said schema_said(const struct row *object, const struct row *key);

#endif

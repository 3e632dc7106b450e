/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * JSON values with the house's rules: finite numbers only, every key always written, null where
 * nothing was computed.  A writer remembers the first thing that went wrong, so that a builder need
 * not check every call. */
#ifndef SWAPMARGIN_REPORT_JSON_VALUE_H
#define SWAPMARGIN_REPORT_JSON_VALUE_H

#include "swapmargin/error.h"
#include "swapmargin/result.h"
#include "swapmargin/text.h"

#include <jansson.h>

/* Significant digits written: one more than promised, few enough to stay readable. */
#define JSON_VALUE_DIGITS 10

struct json_writer {
    enum sm_status
        status; /* SM_OK, SM_ERR_MEMORY, or SM_ERR_DOMAIN for a number that is not finite */
};

/* Both take over `value`; NULL counts as "no memory". */
void json_put(struct json_writer *writer, json_t *object, const char *key, json_t *value);
void json_append(struct json_writer *writer, json_t *array, json_t *value);

/* What a number is once it was written and read again. */
double json_as_written(double number);

/* A number as it is; from SI into a unit; null when absent. */
json_t *json_number(struct json_writer *writer, double number);
json_t *json_quantity(struct json_writer *writer, double si, const char *unit);
json_t *json_optional(struct json_writer *writer, struct sm_optional value, const char *unit);

/* A text; broken UTF-8 is repaired. NULL gives null. */
json_t *json_words(struct json_writer *writer, const char *words);
/* The same; the text is released. */
json_t *json_taken(struct json_writer *writer, struct sm_text *text);
json_t *json_note(struct json_writer *writer, const struct sm_note *note);
json_t *json_notes(struct json_writer *writer, const struct sm_notes *notes);

/* The texts 0 ... count - 1 of a table, and the cautions that every result carries. */
json_t *json_texts(struct json_writer *writer, size_t count, const char *(*text)(size_t));
json_t *json_cautions(struct json_writer *writer);

/* Adds a value as text.  Given: flags, of jansson beside the digits of numbers.  A value of NULL,
 * and memory that runs out anywhere, is out->out_of_memory. */
void json_add(struct sm_text *out, const json_t *value, size_t flags);

/* How a document is written. */
typedef void json_form(struct sm_text *out, json_t *root);

/* As JSON, with a newline at the end. */
void json_text(struct sm_text *out, json_t *root);

/* Adds the document if it is whole, and frees it.
 * Errors: SM_ERR_DOMAIN (a number is not finite), SM_ERR_MEMORY; one fault each. */
enum sm_status json_deliver(const struct json_writer *writer, json_t *root, json_form *form,
                            struct sm_text *out, struct sm_faults *faults);

#endif

/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "report/json_value.h"

#include "base/text.h"
#include "report/glyph.h"
#include "report/phrase.h"
#include "report/words.h"
#include "swapmargin/quantity.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* Whole numbers up to here are written without a fraction: every one is exact in a double. */
#define WHOLE_LIMIT 1e9

static void writer_fail(struct json_writer *writer, enum sm_status status)
{
    if (writer->status == SM_OK) {
        writer->status = status;
    }
}

void json_put(struct json_writer *writer, json_t *object, const char *key, json_t *value)
{
    if (json_object_set_new(object, key, value) != 0) {
        writer_fail(writer, SM_ERR_MEMORY);
    }
}

void json_append(struct json_writer *writer, json_t *array, json_t *value)
{
    if (json_array_append_new(array, value) != 0) {
        writer_fail(writer, SM_ERR_MEMORY);
    }
}

double json_as_written(double number)
{
    char digits[40];
    (void)snprintf(digits, sizeof digits, "%.*g", JSON_VALUE_DIGITS, number);
    return strtod(digits, NULL);
}

json_t *json_number(struct json_writer *writer, double number)
{
    if (!isfinite(number)) {
        writer_fail(writer, SM_ERR_DOMAIN);
        return json_null();
    }
    const double nearest = nearbyint(number);
    if (fabs(number) < WHOLE_LIMIT && fabs(number - nearest) <= 0.0) {
        return json_integer((json_int_t)nearest);
    }
    return json_real(number);
}

json_t *json_quantity(struct json_writer *writer, double si, const char *unit)
{
    double shown = si;
    if (!sm_quantity_to_unit(si, unit, &shown)) {
        writer_fail(writer, SM_ERR_DOMAIN);
    }
    return json_number(writer, shown);
}

json_t *json_optional(struct json_writer *writer, struct sm_optional value, const char *unit)
{
    return value.given ? json_quantity(writer, value.value, unit) : json_null();
}

static json_t *text_value(struct json_writer *writer, struct sm_text *text)
{
    json_t *value = json_string(text_words(text));
    if (!value || text->out_of_memory) {
        writer_fail(writer, SM_ERR_MEMORY);
    }
    sm_text_release(text);
    return value ? value : json_null();
}

json_t *json_words(struct json_writer *writer, const char *words)
{
    if (!words) {
        return json_null();
    }
    struct sm_text text;
    sm_text_init(&text);
    glyph_add_utf8(&text, words);
    return text_value(writer, &text);
}

json_t *json_taken(struct json_writer *writer, struct sm_text *text)
{
    bool lacking = false;
    json_t *value = json_words(writer, text->data);
    text_close(text, &lacking);
    if (lacking) {
        writer_fail(writer, SM_ERR_MEMORY);
    }
    return value;
}

json_t *json_note(struct json_writer *writer, const struct sm_note *note)
{
    struct sm_text text;
    sm_text_init(&text);
    phrase_note(&text, note, true);
    return text_value(writer, &text);
}

json_t *json_notes(struct json_writer *writer, const struct sm_notes *notes)
{
    json_t *array = json_array();
    for (size_t i = 0; i < notes->count; i++) {
        json_append(writer, array, json_note(writer, &notes->list[i]));
    }
    return array;
}

json_t *json_texts(struct json_writer *writer, size_t count, const char *(*text)(size_t))
{
    json_t *array = json_array();
    for (size_t i = 0; i < count; i++) {
        json_append(writer, array, json_words(writer, text(i)));
    }
    return array;
}

json_t *json_cautions(struct json_writer *writer)
{
    return json_texts(writer, word_caution_count(), word_caution);
}

static int piece_add(const char *piece, size_t n, void *text)
{
    struct sm_text *out = text;
    sm_text_add_bytes(out, piece, n);
    return out->out_of_memory ? -1 : 0;
}

/* Into a text of ours, which remembers that it lacks something: json_dumps() goes on where it had
 * no memory for a key, and gives a document without it. */
void json_add(struct sm_text *out, const json_t *value, size_t flags)
{
    if (json_dump_callback(value, piece_add, out, flags | JSON_REAL_PRECISION(JSON_VALUE_DIGITS)))
        out->out_of_memory = true;
}

void json_text(struct sm_text *out, json_t *root)
{
    json_add(out, root, JSON_INDENT(2));
    sm_text_add_bytes(out, "\n", 1);
}

enum sm_status json_deliver(const struct json_writer *writer, json_t *root, json_form *form,
                            struct sm_text *out, struct sm_faults *faults)
{
    enum sm_status status = writer->status;
    if (status == SM_OK) {
        form(out, root);
        status = out->out_of_memory ? SM_ERR_MEMORY : SM_OK;
    }
    json_decref(root);
    if (status != SM_OK) {
        return sm_fault_add(faults, status, NULL,
                            status == SM_ERR_DOMAIN ? "a number of the result is not finite"
                                                    : "out of memory");
    }
    return SM_OK;
}

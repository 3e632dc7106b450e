/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "report/report_compare.h"

#include "base/text.h"
#include "report/csv.h"
#include "report/json_read.h"
#include "report/made_from.h"
#include "report/words.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define COUNT(array) (sizeof(array) / sizeof(array)[0])

/* The columns of candidate_columns.def; their names are those of the rows. */
static const char *const columns[] = {
#define COLUMN(id, key, unit, ...) key,
#include "swapmargin/candidate_columns.def"
#undef COLUMN
};

static const char *const advice[] = {
#define BUYING(id, text) text,
#include "swapmargin/buying.def"
#undef BUYING
};

size_t compare_advice_count(void)
{
    return COUNT(advice);
}

const char *compare_advice(size_t index)
{
    return advice[index];
}

/* ------------------------------------------------------------------- JSON */

static json_t *drive_json(struct json_writer *writer, const struct sm_drive *drive)
{
    if (!drive)
        return json_null();
    json_t *out = json_object();
    json_put(writer, out, "name", json_words(writer, drive->name));
    json_put(writer, out, "file", json_words(writer, drive->file));
    json_put(writer, out, "required_margin_k", json_number(writer, drive->test.required_margin));
    return out;
}

static json_t *counts_json(struct json_writer *writer, const struct comparison *about)
{
    json_t *out = json_object();
    for (int s = 0; s < SM_STANDING_COUNT; s++)
        json_put(writer, out, word_standing((enum sm_standing)s),
                 json_integer((json_int_t)about->standing[s]));
    return out;
}

static json_t *best_json(struct json_writer *writer, const struct comparison *about)
{
    json_t *list = json_array();
    for (size_t i = 0; i < about->n_best; i++) {
        const struct candidate *best = &about->best[i].candidate;
        const bool any = best->numbers.standing != SM_STANDING_UNREADABLE;
        json_t *row = json_object();
        json_put(writer, row, "drive", json_words(writer, about->best[i].drive));
        json_put(writer, row, "part", json_words(writer, any ? best->part : NULL));
        json_put(writer, row, "file", json_words(writer, any ? best->file : NULL));
        json_put(writer, row, "verdict",
                 json_words(writer, any ? word_standing(best->numbers.standing) : NULL));
        json_put(writer, row, "margin_k", json_optional(writer, best->numbers.margin, "K"));
        json_put(writer, row, "why",
                 json_words(writer, any ? NULL : "no candidate that can be used"));
        json_append(writer, list, row);
    }
    return list;
}

static json_t *stock_json(struct json_writer *writer, const struct comparison *about)
{
    json_t *list = json_array();
    for (size_t i = 0; i < about->n_stock; i++) {
        json_t *row = json_object();
        json_put(writer, row, "part", json_words(writer, about->stock[i].part));
        json_put(writer, row, "file", json_words(writer, about->stock[i].file));
        json_put(writer, row, "covers", json_integer((json_int_t)about->stock[i].covers));
        json_put(writer, row, "adds", json_integer((json_int_t)about->stock[i].adds));
        json_append(writer, list, row);
    }
    return list;
}

/* One member of the outer object, with its comma. */
static void member_add(struct sm_text *out, const char *key, json_t *value)
{
    sm_text_add(out, "  \"%s\": ", key);
    json_add(out, value, JSON_ENCODE_ANY | JSON_COMPACT);
    json_decref(value);
}

static void json_begin(struct sm_text *out, const struct comparison *about)
{
    struct json_writer writer = { .status = SM_OK };
    sm_text_add(out, "{\n");
    member_add(out, "drive", drive_json(&writer, about->drive));
    sm_text_add(out, ",\n");
    member_add(out, "counts", counts_json(&writer, about));
    sm_text_add(out, ",\n");
    member_add(out, "drives", about->several ? best_json(&writer, about) : json_null());
    sm_text_add(out, ",\n");
    member_add(out, "stocking_list", about->several ? stock_json(&writer, about) : json_null());
    sm_text_add(out, ",\n  \"candidates\": [");
    out->out_of_memory = out->out_of_memory || writer.status == SM_ERR_MEMORY;
}

static void json_end(struct sm_text *out, const struct comparison *about)
{
    struct json_writer writer = { .status = SM_OK };
    sm_text_add(out, about->shown > 0 ? "\n  ],\n" : "],\n");
    member_add(out, "notes", json_texts(&writer, COUNT(advice), compare_advice));
    sm_text_add(out, ",\n");
    member_add(out, "cautions", json_cautions(&writer));
    json_t *made_from = json_object();
    made_from_compared_json(&writer, made_from, about->drives, about->n_drives);
    const char *key = NULL;
    json_t *value = NULL;
    json_object_foreach(made_from, key, value)
    {
        sm_text_add(out, ",\n");
        member_add(out, key, json_incref(value));
    }
    json_decref(made_from);
    sm_text_add(out, "\n}\n");
    out->out_of_memory = out->out_of_memory || writer.status == SM_ERR_MEMORY;
}

/* The waiting line begins with "{": the rank goes in front of its first key. */
static void line_add(struct sm_text *out, const struct ranked_line *row)
{
    sm_text_add(out, "{\"%s\":%zu,", columns[0], row->rank);
    sm_text_add_bytes(out, row->line->data + 1, row->line->length - 1);
}

/* -------------------------------------------------------------------- CSV */

/* "margin_k_30hz": one column for each test frequency. */
static void frequency_name(char *name, size_t size, const char *key, double hz)
{
    (void)snprintf(name, size, "%s_%.*ghz", key, JSON_VALUE_DIGITS, hz);
}

static void csv_begin(struct sm_text *out, const struct comparison *about)
{
    struct csv csv = { .out = out };
    char name[64];
    for (size_t i = 0; i < COUNT(columns); i++) {
        if (strcmp(columns[i], "margins") != 0) {
            csv_text(&csv, columns[i]);
            continue;
        }
        for (size_t k = 0; k < about->n_hz; k++) {
            frequency_name(name, sizeof name, "margin_k", about->hz[k]);
            csv_text(&csv, name);
        }
    }
    csv_end(&csv);
}

static void csv_margins(struct csv *csv, const json_t *margins, const struct comparison *about)
{
    for (size_t k = 0; k < about->n_hz; k++) {
        const json_t *found = NULL;
        for (size_t i = 0; i < json_array_size(margins); i++) {
            const json_t *row = json_array_get(margins, i);
            const double hz = json_number_value(json_object_get(row, "output_hz"));
            if (fabs(hz - about->hz[k]) <= 0.0)
                found = json_object_get(row, "margin_k");
        }
        if (found)
            csv_json(csv, found);
        else
            csv_text(csv, ""); /* this drive is not tested there */
    }
}

static void csv_list(struct csv *csv, const json_t *list)
{
    struct sm_text text;
    sm_text_init(&text);
    for (size_t i = 0; i < json_array_size(list); i++)
        sm_text_add(&text, "%s%s", i > 0 ? "; " : "", json_string_value(json_array_get(list, i)));
    csv_text(csv, text_words(&text));
    text_close(&text, &csv->out->out_of_memory);
}

static void csv_row(struct sm_text *out, const struct comparison *about, const json_t *row,
                    size_t rank)
{
    struct csv csv = { .out = out };
    char digits[32];
    (void)snprintf(digits, sizeof digits, "%zu", rank);
    csv_number(&csv, digits);
    for (size_t i = 1; i < COUNT(columns); i++) {
        const json_t *value = json_object_get(row, columns[i]);
        if (strcmp(columns[i], "margins") == 0)
            csv_margins(&csv, value, about);
        else if (json_is_array(value))
            csv_list(&csv, value);
        else if (json_is_string(value))
            csv_text(&csv, json_string_value(value));
        else
            csv_json(&csv, value);
    }
    csv_end(&csv);
}

/* ---------------------------------------------------------------- formats */

void compare_begin(struct sm_text *out, enum sm_format format, const struct comparison *about)
{
    if (format == SM_FORMAT_JSON)
        json_begin(out, about);
    else if (format == SM_FORMAT_CSV)
        csv_begin(out, about);
}

enum sm_status compare_row(struct sm_text *out, enum sm_format format,
                           const struct comparison *about, const struct ranked_line *row)
{
    if (row->line->length < 2 || row->line->data[0] != '{')
        return SM_ERR_VALUE;
    if (format == SM_FORMAT_CSV) {
        json_t *object = NULL;
        const enum sm_status status = json_read(row->line->data, row->line->length, 0, &object);
        if (status != SM_OK)
            return status;
        csv_row(out, about, object, row->rank);
        json_decref(object);
    } else {
        if (format == SM_FORMAT_JSON)
            sm_text_add(out, "%s\n    ", row->number > 0 ? "," : "");
        line_add(out, row);
        if (format == SM_FORMAT_JSONL)
            sm_text_add(out, "\n");
    }
    return out->out_of_memory ? SM_ERR_MEMORY : SM_OK;
}

void compare_end(struct sm_text *out, enum sm_format format, const struct comparison *about)
{
    if (format == SM_FORMAT_JSON)
        json_end(out, about);
}

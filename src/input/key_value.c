/* SPDX-License-Identifier: GPL-3.0-or-later */
#define _POSIX_C_SOURCE 200809L /* strdup() */
#include "input/key_table.h"

#include "base/text.h"
#include "input/ini_text.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>
#include <strings.h>

/* A bound typed in another unit comes out a rounding error away from the bound in SI: -40 degC. */
#define BOUND_TOLERANCE 1e-9 /* 1  of the bound */

/* Two temperatures (25 degC, 77 degF) or frequencies are the same when nearer than this. */
#define SAME_AT 1e-6 /* K, Hz */

/* K: curves are measured between these; plausibility bounds, common practice, no source. */
#define CURVE_COLDEST 218.15  /* K  -55 degC */
#define CURVE_HOTTEST 523.15  /* K  250 degC */
#define ROW_HIGHEST_HZ 1000.0 /* Hz  as the test frequencies */

void *key_field(const struct key_row *row, void *base)
{
    return (char *)base + row->offset;
}

static struct sm_place entry_place(const struct ini_source *source, const struct ini_entry *entry)
{
    return ini_source_place(source, entry);
}

static bool outside(double value, double min, double max)
{
    return value < min - BOUND_TOLERANCE * fabs(min) || value > max + BOUND_TOLERANCE * fabs(max);
}

static enum sm_status range_check(const struct key_row *row, const struct sm_place *place,
                                  const char *text, const struct sm_list *values,
                                  struct sm_faults *faults)
{
    for (size_t i = 0; i < values->n; i++) {
        if (!outside(values->v[i], row->min, row->max))
            continue;
        struct sm_text words;
        sm_text_init(&words);
        if (values->n > 1) {
            sm_text_add(&words, "value %zu, ", i + 1);
            key_number_words(row, values->v[i], &words);
            sm_text_add(&words, ",");
        } else {
            sm_text_add(&words, "'%s'", ini_clip(text).text);
        }
        sm_text_add(&words, " is out of range; expected ");
        key_range_words(row, &words);
        const enum sm_status status =
            sm_fault_add(faults, SM_ERR_RANGE, place, "%s", text_words(&words));
        text_close(&words, &faults->out_of_memory);
        return status;
    }
    return SM_OK;
}

static enum sm_status expected_words(const struct key_row *row, const struct sm_place *place,
                                     const char *text, const char *found, struct sm_faults *faults)
{
    struct sm_text words;
    sm_text_init(&words);
    key_range_words(row, &words);
    const enum sm_status status = sm_fault_add(faults, SM_ERR_VALUE, place, "'%s' %s; expected %s",
                                               ini_clip(text).text, found, text_words(&words));
    text_close(&words, &faults->out_of_memory);
    return status;
}

static enum sm_status number_read(const struct key_row *row, const struct sm_place *place,
                                  const char *text, double *out, struct sm_faults *faults)
{
    const bool whole = row->kind == KEY_WHOLE || strcmp(row->extra, "whole") == 0;
    double value = 0.0;
    enum sm_status status = sm_quantity_parse(text, row->dimension, place, &value, faults);
    if (status != SM_OK)
        return status;
    if (whole && fabs(value - floor(value)) > 0.0)
        return expected_words(row, place, text, "is not a whole number", faults);
    status = range_check(row, place, text, &(struct sm_list){ &value, 1 }, faults);
    if (status == SM_OK)
        *out = value;
    return status;
}

/* line_phases: 1 or 3, nothing between. */
static bool whole_allowed(const char *extra, double value)
{
    const char *word = NULL;
    size_t n = 0;
    for (size_t k = 0; key_word(extra, k, &word, &n); k++) {
        if (fabs(strtod(word, NULL) - value) <= 0.0)
            return true;
    }
    return extra[0] == '\0';
}

static enum sm_status whole_read(const struct key_row *row, const struct sm_place *place,
                                 const char *text, int *out, struct sm_faults *faults)
{
    double value = 0.0;
    const enum sm_status status = number_read(row, place, text, &value, faults);
    if (status != SM_OK)
        return status;
    if (!whole_allowed(row->extra, value))
        return expected_words(row, place, text, "is not one of the known numbers", faults);
    *out = (int)value;
    return SM_OK;
}

static enum sm_status word_read(const struct key_row *row, const struct sm_place *place,
                                const char *text, int *out, struct sm_faults *faults)
{
    const char *word = NULL;
    size_t n = 0;
    for (size_t k = 0; key_word(row->extra, k, &word, &n); k++) {
        if (strlen(text) == n && strncasecmp(word, text, n) == 0) {
            *out = (int)k;
            return SM_OK;
        }
    }
    return expected_words(row, place, text, "is not a known word", faults);
}

static enum sm_status text_read(const struct key_row *row, const struct sm_place *place,
                                const char *text, char **out, struct sm_faults *faults)
{
    if (text[0] == '\0' && row->need == NEED_REQUIRED)
        return sm_fault_add(faults, SM_ERR_VALUE, place, "empty text; expected %s", row->meaning);
    char *copy = strdup(text);
    if (!copy)
        return sm_fault_add(faults, SM_ERR_MEMORY, place, "out of memory");
    free(*out);
    *out = copy;
    return SM_OK;
}

static enum sm_status count_check(const struct key_row *row, const struct sm_place *place, size_t n,
                                  struct sm_faults *faults)
{
    char *end = NULL;
    const unsigned long fewest = strtoul(row->extra, &end, 10);
    const unsigned long most = *end == '-' ? strtoul(end + 1, NULL, 10) : fewest;
    if (n >= fewest && n <= most)
        return SM_OK;
    if (fewest == most)
        return sm_fault_add(faults, SM_ERR_VALUE, place, "%zu value%s; expected %lu", n,
                            n == 1 ? "" : "s", fewest);
    return sm_fault_add(faults, SM_ERR_VALUE, place, "%zu value%s; expected %lu to %lu", n,
                        n == 1 ? "" : "s", fewest, most);
}

static enum sm_status list_read(const struct key_row *row, const struct sm_place *place,
                                const char *text, struct sm_list *out, struct sm_faults *faults)
{
    struct sm_list list = { NULL, 0 };
    enum sm_status status = sm_quantity_parse_list(text, row->dimension, place, &list, faults);
    if (status != SM_OK)
        return status;
    if (row->kind == KEY_LIST)
        status = count_check(row, place, list.n, faults);
    if (status == SM_OK)
        status = range_check(row, place, text, &list, faults);
    if (status != SM_OK) {
        free(list.v);
        return status;
    }
    free(out->v);
    *out = list;
    return SM_OK;
}

/* What stands after "@"; the plain key of a row over frequency stands nowhere yet: NaN until
 * base_frequency is known. */
static enum sm_status at_read(const struct key_row *row, const struct sm_place *place, double *at,
                              struct sm_faults *faults)
{
    const bool hertz = strcmp(row->extra, "Hz") == 0;
    const char *mark = strchr(place->key, '@');
    if (!mark && hertz) {
        *at = (double)NAN;
        return SM_OK;
    }
    if (!mark)
        return sm_fault_add(faults, SM_ERR_KEY, place,
                            "has no temperature; expected '%s @ 125 degC = ...'", row->key);
    const char *text = ini_skip(mark + 1);
    const enum sm_status status =
        sm_quantity_parse(text, hertz ? SM_DIM_FREQUENCY : SM_DIM_TEMPERATURE, place, at, faults);
    if (status != SM_OK)
        return status;
    if (hertz && outside(*at, 0.0, ROW_HIGHEST_HZ))
        return sm_fault_add(faults, SM_ERR_RANGE, place,
                            "'%s' is out of range; expected 0 Hz to 1000 Hz", ini_clip(text).text);
    if (!hertz && outside(*at, CURVE_COLDEST, CURVE_HOTTEST))
        return sm_fault_add(faults, SM_ERR_RANGE, place,
                            "'%s' is out of range; expected -55 degC to 250 degC",
                            ini_clip(text).text);
    return SM_OK;
}

static enum sm_status row_read(const struct key_row *row, const struct sm_place *place,
                               const char *text, struct sm_rows *rows, struct sm_faults *faults)
{
    struct sm_row added = { .line = place->line };
    enum sm_status status = at_read(row, place, &added.at, faults);
    const enum sm_status other = list_read(row, place, text, &added.values, faults);
    if (status == SM_OK)
        status = other;
    struct sm_row *list = NULL;
    if (status == SM_OK) {
        list = realloc(rows->row, (rows->n + 1) * sizeof *list);
        if (!list)
            status = sm_fault_add(faults, SM_ERR_MEMORY, place, "out of memory");
    }
    if (status != SM_OK || !list) {
        free(added.values.v);
        return status;
    }
    rows->row = list;
    rows->row[rows->n++] = added;
    return SM_OK;
}

/* Nothing typed, or nothing between quotes. */
static enum sm_status empty_fault(const struct key_row *row, const struct sm_place *place,
                                  struct sm_faults *faults)
{
    const bool text = row->kind == KEY_TEXT;
    struct sm_text words;
    sm_text_init(&words);
    key_range_words(row, &words);
    const enum sm_status status =
        sm_fault_add(faults, SM_ERR_SYNTAX, place, "has an empty value; expected %s%s%s",
                     text ? row->meaning : text_words(&words),
                     text ? ", in quotes where it has ; or # in it" : "",
                     row->need == NEED_REQUIRED ? "" : ", or no such line");
    text_close(&words, &faults->out_of_memory);
    return status;
}

enum sm_status key_value_read(const struct key_row *row, const struct ini_source *source,
                              const struct ini_entry *entry, void *base, struct sm_faults *faults)
{
    const struct sm_place place = entry_place(source, entry);
    void *field = key_field(row, base);
    const char *text = entry->value;
    double value = 0.0;
    enum sm_status status = SM_OK;

    if (entry->empty || (text[0] == '\0' && row->kind != KEY_TEXT))
        return empty_fault(row, &place, faults);
    switch (row->kind) {
    case KEY_NUMBER:
        return number_read(row, &place, text, field, faults);
    case KEY_OPTIONAL:
        status = number_read(row, &place, text, &value, faults);
        if (status == SM_OK)
            *(struct sm_optional *)field = (struct sm_optional){ true, value };
        return status;
    case KEY_WHOLE:
        return whole_read(row, &place, text, field, faults);
    case KEY_WORD:
        return word_read(row, &place, text, field, faults);
    case KEY_TEXT:
        return text_read(row, &place, text, field, faults);
    case KEY_LIST:
        return list_read(row, &place, text, field, faults);
    case KEY_ROWS:
        return row_read(row, &place, text, field, faults);
    case KEY_YES:
        if (strcasecmp(text, "yes") != 0)
            return sm_fault_add(faults, SM_ERR_VALUE, &place,
                                "'%s' is not yes; expected yes, or the line left out",
                                ini_clip(text).text);
        *(bool *)field = true;
        return SM_OK;
    }
    return SM_OK;
}

enum sm_status key_value_default(const struct key_row *row, void *base)
{
    void *field = key_field(row, base);
    if (row->kind == KEY_NUMBER)
        *(double *)field = row->fallback;
    if (row->kind == KEY_WHOLE || row->kind == KEY_WORD)
        *(int *)field = (int)row->fallback;
    if (row->kind == KEY_TEXT && !*(char **)field) {
        *(char **)field = strdup("");
        return *(char **)field ? SM_OK : SM_ERR_MEMORY;
    }
    return SM_OK;
}

static int row_compare(const void *a, const void *b)
{
    const struct sm_row *x = a, *y = b;
    if (x->at < y->at)
        return -1;
    if (x->at > y->at)
        return 1;
    return (x->line > y->line) - (x->line < y->line);
}

void key_rows_finish(const struct key_row *row, const struct ini_source *source, void *base,
                     struct sm_faults *faults)
{
    struct sm_rows *rows = key_field(row, base);
    if (rows->n < 2)
        return;
    qsort(rows->row, rows->n, sizeof rows->row[0], row_compare);
    for (size_t i = 1; i < rows->n; i++) {
        const struct sm_row *a = &rows->row[i - 1], *b = &rows->row[i];
        if (b->at - a->at > SAME_AT)
            continue;
        const int later = a->line > b->line ? a->line : b->line;
        const int first = a->line > b->line ? b->line : a->line;
        const struct sm_place place = ini_source_line(source, later);
        (void)sm_fault_add(faults, SM_ERR_KEY, &place,
                           "%s given twice, first in line %d; expected once",
                           strcmp(row->extra, "Hz") == 0 ? "frequency" : "temperature", first);
    }
}

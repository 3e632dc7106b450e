/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "schema_rows.h"

#include "report/candidate.h"
#include "report/words.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define COUNT(array) (sizeof(array) / sizeof(array)[0])

const struct document schema_documents[] = {
#define DOCUMENT(file, object, made_by) { file, object, made_by },
#include "swapmargin/json.def"
};

const struct row schema_rows[] = {
#define OBJECT(name, base, place, meaning) { true, TYPE_OBJECT, name, base, place, meaning },
#define KEY(name, type, of, null, meaning) { false, TYPE_##type, name, of, null, meaning },
#include "swapmargin/json.def"
};

const size_t schema_document_count = COUNT(schema_documents);
const size_t schema_row_count = COUNT(schema_rows);
_Static_assert(COUNT(schema_rows) <= SCHEMA_ROWS_MOST, "more rows than marks");

static const struct quantity {
    const char *path, *unit, *meaning;
} quantities[] = {
#define QUANTITY(id, group, path, symbol, unit, chip, listing, meaning) { path, unit, meaning },
#include "swapmargin/quantities.def"
};

static const struct suffix {
    const char *end, *unit;
} suffixes[] = {
#define SUFFIX(end, unit) { end, unit },
#include "swapmargin/suffixes.def"
#undef SUFFIX
};

void schema_stop(const char *object, const char *key, const char *what)
{
    (void)fprintf(stderr, "json.def: %s %s: %s\n", object, key, what);
    exit(EXIT_FAILURE);
}

const struct row *schema_object(const char *name)
{
    for (size_t i = 0; i < COUNT(schema_rows); i++)
        if (schema_rows[i].is_object && strcmp(schema_rows[i].name, name) == 0)
            return &schema_rows[i];
    schema_stop(name, "", "no such object");
    return NULL;
}

/* ------------------------------------------------------------------ words */

static const char *const check_names[] = {
#define CHECK(id, name, ...) name,
#include "swapmargin/checks.def"
#undef CHECK
};
static const char *const limit_names[] = {
#define LIMIT(id, name, ...) name,
#include "swapmargin/limits.def"
#undef LIMIT
};
static const char *const compared_names[] = {
#define POINT(id, name, ...) name,
#define PART(id, name, ...) name,
#include "swapmargin/comparison.def"
#undef POINT
#undef PART
};
static const char *const sweep_names[] = {
#define SWEEP(id, name, ...) name,
#include "swapmargin/sweep.def"
#undef SWEEP
};
static const char *const log_results[] = {
#define LOG_RESULT(id, text, bad) text,
#include "swapmargin/log_results.def"
#undef LOG_RESULT
};
static const char *const own_words[][2] = {
#define WORD(list, word) { list, word },
#include "swapmargin/json.def"
};

static void words_add(json_t *out, const char *const *words, size_t n)
{
    for (size_t i = 0; i < n; i++)
        json_array_append_new(out, json_string(words[i]));
}

/* Words of an enum from its `first` on; it ends where there is none. */
#define ENUM_ADD(out, word, type, first)                                                           \
    for (int value = (int)(first); *word((enum type)value); value++)                               \
    json_array_append_new(out, json_string(word((enum type)value)))

json_t *schema_words(const char *list)
{
    json_t *out = json_array();
    if (strcmp(list, "verdict") == 0)
        ENUM_ADD(out, word_verdict, sm_verdict, 0);
    else if (strcmp(list, "standing") == 0)
        ENUM_ADD(out, word_standing, sm_standing, 0);
    else if (strcmp(list, "chip") == 0)
        ENUM_ADD(out, word_chip, sm_chip_kind, 0);
    else if (strcmp(list, "circuit") == 0)
        ENUM_ADD(out, word_circuit, sm_circuit, 0);
    else if (strcmp(list, "modulation") == 0)
        ENUM_ADD(out, word_modulation, sm_modulation, 0);
    else if (strcmp(list, "check_result") == 0)
        ENUM_ADD(out, word_check_result, sm_check_result, 0);
    else if (strcmp(list, "origin") == 0)
        ENUM_ADD(out, word_origin, sm_origin_kind, SM_ORIGIN_GIVEN);
    else if (strcmp(list, "check") == 0)
        words_add(out, check_names, COUNT(check_names));
    else if (strcmp(list, "limit") == 0)
        words_add(out, limit_names, COUNT(limit_names));
    else if (strcmp(list, "compared") == 0)
        words_add(out, compared_names, COUNT(compared_names));
    else if (strcmp(list, "sweep") == 0)
        words_add(out, sweep_names, COUNT(sweep_names));
    else if (strcmp(list, "log_result") == 0)
        words_add(out, log_results, COUNT(log_results));
    for (size_t i = 0; i < COUNT(own_words); i++)
        if (strcmp(own_words[i][0], list) == 0)
            words_add(out, &own_words[i][1], 1);
    if (json_array_size(out) == 0)
        schema_stop(list, "", "no such list of words");
    return out;
}

/* --------------------------------------------------------------- meanings */

/* Adds the text with {chip} and {leg} filled in. */
static void filled(char *out, size_t size, const char *text, const char *chip)
{
    size_t n = 0;
    while (*text != '\0' && n + 1 < size) {
        if (strncmp(text, "{chip}", 6) == 0) {
            n += (size_t)snprintf(out + n, size - n, "%s", chip);
            text += 6;
        } else {
            out[n++] = *text++;
        }
    }
    out[n < size ? n : size - 1] = '\0';
}

static const struct quantity *quantity_find(const char *path, const char **chip)
{
    static const char *const chips[][2] = { { "igbt", "IGBT" }, { "diode", "diode" } };
    char own[256];
    for (size_t i = 0; i < COUNT(quantities); i++)
        for (size_t k = 0; k < COUNT(chips); k++) {
            filled(own, sizeof own, quantities[i].path, chips[k][0]);
            if (strcmp(own, path) == 0) {
                *chip = chips[k][1];
                return &quantities[i];
            }
        }
    return NULL;
}

static const char *suffix_unit(const char *name)
{
    const char *unit = "";
    size_t longest = 0;
    for (size_t i = 0; i < COUNT(suffixes); i++) {
        const size_t n = strlen(suffixes[i].end), length = strlen(name);
        if (n > longest && length > n && strcmp(name + length - n, suffixes[i].end) == 0) {
            unit = suffixes[i].unit;
            longest = n;
        }
    }
    return unit;
}

struct said schema_said(const struct row *object, const struct row *key)
{
    struct said said = { "", "" };
    char path[128];
    const char *chip = "";
    const bool number = key->type == TYPE_NUMBER || key->type == TYPE_INTEGER;
    (void)snprintf(path, sizeof path, "%s.%s", object->null, key->name);
    const struct quantity *quantity =
        number && object->null[0] != '\0' ? quantity_find(path, &chip) : NULL;
    if (quantity && key->meaning[0] != '\0')
        schema_stop(object->name, key->name, "its meaning stands in quantities.def already");
    if (number && object->null[0] != '\0' && !quantity)
        schema_stop(object->name, key->name, "no such path in quantities.def");
    filled(said.meaning, sizeof said.meaning, quantity ? quantity->meaning : key->meaning, chip);
    if (number || key->type == TYPE_NUMBERS)
        (void)snprintf(said.unit, sizeof said.unit, "%s",
                       quantity ? quantity->unit : suffix_unit(key->name));
    if (quantity && suffix_unit(key->name)[0] != '\0' &&
        strcmp(suffix_unit(key->name), quantity->unit) != 0)
        schema_stop(object->name, key->name, "suffixes.def and quantities.def differ in its unit");
    return said;
}

/* ----------------------------------------------------------------- walks */

void schema_keys(const struct row *object, key_visitor *visit, void *context)
{
    if (object->of[0] != '\0')
        schema_keys(schema_object(object->of), visit, context);
    for (const struct row *key = object + 1;
         key < schema_rows + COUNT(schema_rows) && !key->is_object; key++)
        visit(context, object, key);
}

static void reach(void *context, const struct row *object, const struct row *key)
{
    bool *reached = context;
    (void)object;
    if (key->type == TYPE_OBJECT || key->type == TYPE_OBJECTS) {
        const struct row *of = schema_object(key->of);
        if (!reached[of - schema_rows]) {
            reached[of - schema_rows] = true;
            schema_keys(of, reach, context);
        }
    }
}

void schema_reach(const struct document *document, bool *reached)
{
    const struct row *object = schema_object(document->object);
    reached[object - schema_rows] = true;
    schema_keys(object, reach, reached);
}

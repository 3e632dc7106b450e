/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "report/candidate.h"

#include "report/words.h"
#include "swapmargin/quantity.h"

#include <string.h>

/* Keys and units of the columns, by their id. */
enum column {
#define COLUMN(id, key, unit, ...) COLUMN_##id,
#include "swapmargin/candidate_columns.def"
#undef COLUMN
    COLUMN_COUNT
};

static const char *const keys[COLUMN_COUNT] = {
#define COLUMN(id, key, unit, ...) [COLUMN_##id] = key,
#include "swapmargin/candidate_columns.def"
#undef COLUMN
};

static const char *const units[COLUMN_COUNT] = {
#define COLUMN(id, key, unit, ...) [COLUMN_##id] = unit,
#include "swapmargin/candidate_columns.def"
#undef COLUMN
};

static const enum type {
    INTEGER,
    NUMBER,
    OBJECTS,
    TEXT,
    TEXTS,
    WORD
} types[COLUMN_COUNT] = {
#define COLUMN(id, key, unit, type, ...) [COLUMN_##id] = type,
#include "swapmargin/candidate_columns.def"
#undef COLUMN
};

/* Of a count; more is no row that the program wrote. */
#define COUNT_MOST 1000000
#define TYPED_AS(number) #number
#define TYPED(macro) TYPED_AS(macro)

/* -------------------------------------------------------------- writing */

static json_t *margins_json(struct json_writer *writer, const struct sm_candidate *numbers)
{
    json_t *list = json_array();
    for (size_t i = 0; i < numbers->n_points; i++) {
        json_t *row = json_object();
        json_put(writer, row, "output_hz", json_number(writer, numbers->points[i].output_hz));
        json_put(writer, row, "margin_k", json_optional(writer, numbers->points[i].margin, "K"));
        json_append(writer, list, row);
    }
    return list;
}

static json_t *reasons_json(struct json_writer *writer, const struct candidate *candidate)
{
    json_t *list = json_array();
    for (size_t i = 0; i < candidate->n_reasons; i++)
        json_append(writer, list, json_words(writer, candidate->reasons[i]));
    return list;
}

static json_t *column_json(struct json_writer *writer, const struct candidate *candidate,
                           enum column column)
{
    const struct sm_candidate *n = &candidate->numbers;
    const char *unit = units[column];
    switch (column) {
    case COLUMN_DRIVE:
        return json_words(writer, candidate->drive);
    case COLUMN_DRIVE_FILE:
        return json_words(writer, candidate->drive_file);
    case COLUMN_PART:
        return json_words(writer, candidate->part);
    case COLUMN_FILE:
        return json_words(writer, candidate->file);
    case COLUMN_SHA256:
        return json_words(writer, candidate->sha256[0] != '\0' ? candidate->sha256 : NULL);
    case COLUMN_VERDICT:
        return json_words(writer, word_standing(n->standing));
    case COLUMN_MARGIN:
        return json_optional(writer, n->margin, unit);
    case COLUMN_MARGINS:
        return margins_json(writer, n);
    case COLUMN_WORST_HZ:
        return n->n_points > 0 ? json_number(writer, n->worst_hz) : json_null();
    case COLUMN_WORST_CHIP:
        return n->margin.given ? json_words(writer, word_chip(n->worst_chip)) : json_null();
    case COLUMN_LOSSES:
        return json_optional(writer, n->losses, unit);
    case COLUMN_PRICE:
        return json_optional(writer, n->price, unit);
    case COLUMN_PRICE_SET:
        return json_optional(writer, n->price_set, unit);
    case COLUMN_PRICE_PER_KELVIN:
        return json_optional(writer, n->price_per_kelvin, unit);
    case COLUMN_LEAD_TIME:
        return json_optional(writer, n->lead_time, unit);
    case COLUMN_CONDITIONS:
        return json_integer((json_int_t)n->conditions);
    case COLUMN_CONDITION:
        return json_words(writer, candidate->condition);
    case COLUMN_REASONS:
        return reasons_json(writer, candidate);
    case COLUMN_RANK:
    case COLUMN_COUNT:
        break;
    }
    return json_null();
}

json_t *candidate_json(struct json_writer *writer, const struct candidate *candidate)
{
    json_t *row = json_object();
    for (int column = COLUMN_RANK + 1; column < COLUMN_COUNT; column++)
        json_put(writer, row, keys[column], column_json(writer, candidate, (enum column)column));
    return row;
}

/* -------------------------------------------------------------- reading */

static bool number_or_null(const json_t *value)
{
    return !value || json_is_null(value) || json_is_number(value);
}

/* What the column's number should be; NULL where it is so. */
static const char *number_expected(const json_t *value, enum column column)
{
    const json_int_t count = json_integer_value(value);
    if (types[column] == NUMBER)
        return number_or_null(value) ? NULL : "a number or null";
    if (types[column] == INTEGER && (!json_is_integer(value) || count < 0 || count > COUNT_MOST))
        return "a whole number from 0 to " TYPED(COUNT_MOST);
    return NULL;
}

static bool numbers_are_right(const json_t *object, struct candidate_slip *slip)
{
    for (int column = COLUMN_RANK + 1; column < COLUMN_COUNT; column++) {
        const json_t *value = json_object_get(object, keys[column]);
        const char *expected = number_expected(value, (enum column)column);
        if (expected) {
            *slip = (struct candidate_slip){ keys[column], expected, value };
            return false;
        }
    }
    return true;
}

/* A number in the column's unit; every unit here is a multiple of the SI one. */
static struct sm_optional optional_from(const json_t *object, enum column column)
{
    const json_t *value = json_object_get(object, keys[column]);
    double per_si = 1.0;
    if (!json_is_number(value))
        return (struct sm_optional){ .given = false };
    if (units[column][0] != '\0')
        (void)sm_quantity_to_unit(1.0, units[column], &per_si);
    return (struct sm_optional){ .given = true, .value = json_number_value(value) / per_si };
}

static const char *words_from(const json_t *object, enum column column)
{
    const char *words = json_string_value(json_object_get(object, keys[column]));
    return words ? words : "";
}

static bool standing_from(const json_t *object, enum sm_standing *standing)
{
    const char *word = words_from(object, COLUMN_VERDICT);
    for (int s = 0; s < SM_STANDING_COUNT; s++)
        if (strcmp(word, word_standing((enum sm_standing)s)) == 0) {
            *standing = (enum sm_standing)s;
            return true;
        }
    return false;
}

static bool margins_from(const json_t *object, struct sm_candidate *numbers)
{
    const json_t *list = json_object_get(object, keys[COLUMN_MARGINS]);
    numbers->n_points = json_array_size(list);
    if (!json_is_array(list) || numbers->n_points > SM_CANDIDATE_POINTS)
        return false;
    for (size_t i = 0; i < numbers->n_points; i++) {
        const json_t *row = json_array_get(list, i), *hz = json_object_get(row, "output_hz");
        if (!json_is_number(hz) || !number_or_null(json_object_get(row, keys[COLUMN_MARGIN])))
            return false;
        numbers->points[i].output_hz = json_number_value(hz);
        numbers->points[i].margin = optional_from(row, COLUMN_MARGIN);
    }
    return true;
}

static void numbers_from(const json_t *object, struct sm_candidate *numbers)
{
    const char *chip = words_from(object, COLUMN_WORST_CHIP);
    numbers->margin = optional_from(object, COLUMN_MARGIN);
    numbers->worst_hz = optional_from(object, COLUMN_WORST_HZ).value;
    numbers->worst_chip = strcmp(chip, word_chip(SM_DIODE)) == 0 ? SM_DIODE : SM_IGBT;
    numbers->losses = optional_from(object, COLUMN_LOSSES);
    numbers->price = optional_from(object, COLUMN_PRICE);
    numbers->price_set = optional_from(object, COLUMN_PRICE_SET);
    numbers->price_per_kelvin = optional_from(object, COLUMN_PRICE_PER_KELVIN);
    numbers->lead_time = optional_from(object, COLUMN_LEAD_TIME);
    numbers->conditions =
        (size_t)json_integer_value(json_object_get(object, keys[COLUMN_CONDITIONS]));
}

bool candidate_from_json(const json_t *object, struct candidate *candidate,
                         struct candidate_slip *slip)
{
    *slip = (struct candidate_slip){ .key = NULL };
    const json_t *reasons = json_object_get(object, keys[COLUMN_REASONS]);
    if (!json_is_array(reasons) || !json_is_string(json_object_get(object, keys[COLUMN_FILE])) ||
        !standing_from(object, &candidate->numbers.standing) ||
        !margins_from(object, &candidate->numbers) || !numbers_are_right(object, slip))
        return false;
    numbers_from(object, &candidate->numbers);
    candidate->drive = candidate_copy(candidate, words_from(object, COLUMN_DRIVE));
    candidate->drive_file = candidate_copy(candidate, words_from(object, COLUMN_DRIVE_FILE));
    candidate->part = candidate_copy(candidate, words_from(object, COLUMN_PART));
    candidate->file = candidate_copy(candidate, words_from(object, COLUMN_FILE));
    candidate->sha256 = candidate_copy(candidate, words_from(object, COLUMN_SHA256));
    candidate->condition = candidate_copy(candidate, words_from(object, COLUMN_CONDITION));
    if (candidate_reasons(candidate, json_array_size(reasons)))
        for (size_t i = 0; i < candidate->n_reasons; i++) {
            const char *words = json_string_value(json_array_get(reasons, i));
            candidate->reasons[i] = candidate_copy(candidate, words);
        }
    return true;
}

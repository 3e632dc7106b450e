/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "support/explained.h"

#include <criterion/criterion.h>
#include <jansson.h>
#include <stdlib.h>
#include <string.h>

static const char *words(json_t *object, const char *key)
{
    return json_string_value(json_object_get(object, key));
}

static void *room(size_t n, size_t size)
{
    void *bytes = calloc(n + 1, size);
    cr_assert_not_null(bytes);
    return bytes;
}

size_t explained_find(const struct explained *explained, const char *name)
{
    size_t i = 0;
    while (i < explained->n_steps && strcmp(explained->steps[i].name, name) != 0)
        i++;
    return i;
}

struct told *explained_step(const struct explained *explained, const char *name)
{
    const size_t i = explained_find(explained, name);
    cr_assert_lt(i, explained->n_steps, "no step '%s'", name);
    return &explained->steps[i];
}

static int column_index(const struct told *step, const char *symbol)
{
    for (size_t i = 0; i < step->n_columns; i++)
        if (strcmp(step->columns[i].symbol, symbol) == 0)
            return (int)i;
    cr_assert_fail("no column '%s' in '%s'", symbol, step->name);
    abort();
}

struct series *explained_column(struct told *step, const char *symbol)
{
    return &step->columns[column_index(step, symbol)];
}

/* --------------------------------------------------------------- one step */

static void read_text(struct line *line, json_t *object)
{
    line->text = words(object, "formula");
    if (line->text)
        line->tree = formula_parse(line->text);
}

static void read_table(struct told *step, json_t *table)
{
    json_t *columns = json_object_get(table, "columns"), *rows = json_object_get(table, "rows");
    step->n_columns = json_array_size(columns);
    step->n_rows = json_array_size(rows);
    step->worked_row = (size_t)json_integer_value(json_object_get(table, "worked_row"));
    step->columns = room(step->n_columns, sizeof *step->columns);
    for (size_t i = 0; i < step->n_columns; i++) {
        struct series *column = &step->columns[i];
        json_t *object = json_array_get(columns, i);
        column->symbol = words(object, "symbol");
        column->unit = words(object, "unit");
        column->worked = words(object, "worked");
        column->printed = room(step->n_rows, sizeof *column->printed);
        column->now = room(step->n_rows, sizeof *column->now);
        read_text(&column->line, object);
        for (size_t j = 0; j < step->n_rows; j++)
            column->printed[j] = json_number_value(json_array_get(json_array_get(rows, j), i));
    }
}

static void read_step(struct told *step, json_t *object, const char *name)
{
    json_t *value = json_object_get(object, "value");
    step->name = words(object, name);
    step->kind = words(object, "kind");
    step->unit = words(object, "unit");
    step->symbol = words(object, "symbol");
    step->numbers = words(object, "numbers");
    step->worked = words(object, "worked");
    step->key = words(json_object_get(object, "origin"), "key");
    step->given = json_is_number(value);
    step->printed = json_number_value(value);
    step->head = formula_parse(step->symbol);
    read_text(&step->line, object);
    read_table(step, json_object_get(object, "table"));
}

/* ------------------------------------------------------------------ links */

static void read_uses(const struct explained *explained, struct line *line, json_t *object)
{
    json_t *inputs = json_object_get(object, "inputs");
    line->n_uses = json_array_size(inputs);
    line->uses = room(line->n_uses, sizeof *line->uses);
    for (size_t i = 0; i < line->n_uses; i++) {
        json_t *input = json_array_get(inputs, i);
        struct use *use = &line->uses[i];
        const char *column = words(input, "column");
        use->symbol = words(input, "symbol");
        use->step = explained_find(explained, words(input, "of"));
        cr_assert_lt(use->step, explained->n_steps);
        use->column = column ? column_index(&explained->steps[use->step], column) : -1;
    }
}

static void link_step(const struct explained *explained, struct told *step, json_t *object)
{
    json_t *columns = json_object_get(json_object_get(object, "table"), "columns");
    read_uses(explained, &step->line, object);
    for (size_t i = 0; i < step->n_columns; i++)
        read_uses(explained, &step->columns[i].line, json_array_get(columns, i));
}

void explained_read(struct explained *explained, const char *json)
{
    json_error_t error;
    json_t *root = json_loads(json, JSON_REJECT_DUPLICATES, &error);
    cr_assert_not_null(root, "line %d: %s", error.line, error.text);
    json_t *steps = json_object_get(root, "steps");
    *explained =
        (struct explained){ .root = root,
                            .n_steps = 1 + json_array_size(steps),
                            .loop = json_is_number(json_object_get(root, "settled_within_k")) };
    explained->steps = room(explained->n_steps, sizeof *explained->steps);
    for (size_t i = 0; i < explained->n_steps; i++)
        read_step(&explained->steps[i], i == 0 ? root : json_array_get(steps, i - 1),
                  i == 0 ? "what" : "name");
    for (size_t i = 0; i < explained->n_steps; i++)
        link_step(explained, &explained->steps[i], i == 0 ? root : json_array_get(steps, i - 1));
}

void explained_release(struct explained *explained)
{
    for (size_t i = 0; i < explained->n_steps; i++) {
        struct told *step = &explained->steps[i];
        for (size_t k = 0; k < step->n_columns; k++) {
            formula_release(step->columns[k].line.tree);
            free(step->columns[k].line.uses);
            free(step->columns[k].printed);
            free(step->columns[k].now);
        }
        formula_release(step->head);
        formula_release(step->line.tree);
        free(step->line.uses);
        free(step->columns);
    }
    free(explained->steps);
    json_decref(explained->root);
    *explained = (struct explained){ .n_steps = 0 };
}

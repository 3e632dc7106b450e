/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "report/json_value.h"
#include "report/report_explain.h"
#include "report/words.h"

#define COUNT(array) (sizeof(array) / sizeof(array)[0])

static const char *kind_word(enum sm_step_kind kind)
{
    static const char *const words[] = { "value", "input", "constant", "function", "table" };
    return (unsigned)kind < COUNT(words) ? words[kind] : "";
}

static json_t *links_json(struct json_writer *writer, const struct sm_explanation *e,
                          const struct sm_step_formula *formula)
{
    json_t *array = json_array();
    for (size_t i = 0; i < formula->n_links; i++) {
        const struct sm_step_link *link = &formula->links[i];
        json_t *row = json_object();
        json_put(writer, row, "symbol", json_words(writer, link->symbol));
        json_put(writer, row, "of", json_words(writer, e->steps[link->step].name));
        json_put(writer, row, "column", json_words(writer, link->column));
        json_append(writer, array, row);
    }
    return array;
}

static void formula_put(struct json_writer *writer, json_t *object, const struct sm_explanation *e,
                        const struct sm_step_formula *formula)
{
    json_put(writer, object, "formula", json_words(writer, formula->text));
    json_put(writer, object, "numbers", json_words(writer, formula->numbers));
    json_put(writer, object, "source", json_words(writer, formula->source));
    json_put(writer, object, "inputs", links_json(writer, e, formula));
}

/* What was read: how it got there, file, line and key; null for what was not read. */
static json_t *origin_json(struct json_writer *writer, const struct sm_origin *origin,
                           const char *key)
{
    if (!key) {
        return json_null();
    }
    json_t *out = json_object();
    json_put(writer, out, "kind", json_words(writer, word_origin(origin->kind)));
    json_put(writer, out, "file", json_words(writer, origin->file));
    json_put(writer, out, "line", origin->line > 0 ? json_integer(origin->line) : json_null());
    json_put(writer, out, "key", json_words(writer, key));
    return out;
}

static json_t *columns_json(struct json_writer *writer, const struct sm_explanation *e,
                            const struct sm_step *step)
{
    json_t *array = json_array();
    for (size_t i = 0; i < step->n_columns; i++) {
        const struct sm_step_column *column = &step->columns[i];
        json_t *row = json_object();
        json_put(writer, row, "symbol", json_words(writer, column->symbol));
        json_put(writer, row, "unit", json_words(writer, column->unit));
        json_put(writer, row, "meaning", json_words(writer, column->meaning));
        json_put(writer, row, "origin", origin_json(writer, &column->origin, column->key));
        formula_put(writer, row, e, &column->formula);
        json_put(writer, row, "worked", json_words(writer, column->worked));
        json_append(writer, array, row);
    }
    return array;
}

static json_t *rows_json(struct json_writer *writer, const struct sm_step *step)
{
    json_t *rows = json_array();
    for (size_t j = 0; j < step->n_rows; j++) {
        json_t *row = json_array();
        for (size_t i = 0; i < step->n_columns; i++) {
            json_append(writer, row, json_number(writer, step->columns[i].values[j]));
        }
        json_append(writer, rows, row);
    }
    return rows;
}

static json_t *table_json(struct json_writer *writer, const struct sm_explanation *e,
                          const struct sm_step *step)
{
    if (step->n_columns == 0) {
        return json_null();
    }
    json_t *table = json_object();
    json_put(writer, table, "columns", columns_json(writer, e, step));
    json_put(writer, table, "rows", rows_json(writer, step));
    json_put(writer, table, "worked_row",
             step->worked_row < step->n_rows ? json_integer((json_int_t)step->worked_row)
                                             : json_null());
    return table;
}

/* Why there is no value: of a check, its own sentence. */
static json_t *why_json(struct json_writer *writer, const struct sm_step *step)
{
    if (!step->given && step->sentence) {
        return json_note(writer, step->sentence);
    }
    return json_words(writer, step->why);
}

/* name: the key that the step's path stands under. */
static json_t *step_json(struct json_writer *writer, const struct sm_explanation *e,
                         const struct sm_step *step, const char *name)
{
    json_t *out = json_object();
    json_put(writer, out, name, json_words(writer, step->name));
    json_put(writer, out, "kind", json_words(writer, kind_word(step->kind)));
    json_put(writer, out, "value", step->given ? json_number(writer, step->value) : json_null());
    json_put(writer, out, "why", why_json(writer, step));
    json_put(writer, out, "unit", json_words(writer, step->unit));
    json_put(writer, out, "symbol", json_words(writer, step->symbol));
    json_put(writer, out, "meaning", json_words(writer, step->meaning));
    json_put(writer, out, "note", json_words(writer, step->note));
    json_put(writer, out, "result",
             step->sentence ? json_note(writer, step->sentence) : json_null());
    json_put(writer, out, "origin", origin_json(writer, &step->origin, step->key));
    formula_put(writer, out, e, &step->formula);
    json_put(writer, out, "worked", json_words(writer, step->worked));
    json_put(writer, out, "table", table_json(writer, e, step));
    return out;
}

static json_t *steps_json(struct json_writer *writer, const struct sm_explanation *e)
{
    json_t *steps = json_array();
    for (size_t i = 1; i < e->n_steps; i++) {
        json_append(writer, steps, step_json(writer, e, &e->steps[i], "name"));
    }
    return steps;
}

static json_t *words_json(struct json_writer *writer, const struct sm_explanation *e)
{
    json_t *array = json_array();
    for (size_t i = 0; i < e->n_words; i++) {
        json_t *row = json_object();
        json_put(writer, row, "name", json_words(writer, e->words[i].name));
        json_put(writer, row, "meaning", json_words(writer, e->words[i].meaning));
        json_append(writer, array, row);
    }
    return array;
}

enum sm_status explain_json(const struct sm_explanation *e, struct sm_text *out,
                            struct sm_faults *faults)
{
    struct json_writer writer = { .status = SM_OK };
    json_t *root = step_json(&writer, e, &e->steps[0], "what");
    json_put(&writer, root, "settled_within_k",
             e->settled ? json_number(&writer, e->residual) : json_null());
    json_put(&writer, root, "steps", steps_json(&writer, e));
    json_put(&writer, root, "words", words_json(&writer, e));
    return json_deliver(&writer, root, json_text, out, faults);
}

enum sm_status askables_json(const struct sm_askables *askables, struct sm_text *out,
                             struct sm_faults *faults)
{
    struct json_writer writer = { .status = SM_OK };
    json_t *root = json_object(), *array = json_array();
    for (size_t i = 0; i < askables->n; i++) {
        const struct sm_askable *askable = &askables->list[i];
        json_t *row = json_object();
        json_put(&writer, row, "what", json_words(&writer, askable->path));
        json_put(&writer, row, "unit", json_words(&writer, askable->unit));
        json_put(&writer, row, "meaning", json_words(&writer, askable->meaning));
        json_put(&writer, row, "result", json_boolean(askable->result));
        json_append(&writer, array, row);
    }
    json_put(&writer, root, "askable", array);
    return json_deliver(&writer, root, json_text, out, faults);
}

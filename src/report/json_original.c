/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "report/comparison_words.h"
#include "report/json_value.h"
#include "report/report_json.h"
#include "report/words.h"

static json_t *side_json(struct json_writer *writer, const struct sm_side *side, const char *unit)
{
    if (side->state != SM_SIDE_GIVEN) {
        return json_null();
    }
    return side->text ? json_words(writer, side->text) : json_quantity(writer, side->value, unit);
}

/* Why there is no difference, or NULL. */
static const char *row_why(const struct sm_compared *row)
{
    const struct sm_side *a = &row->candidate, *b = &row->original;
    if (row->comparable) {
        return row->candidate.text ? "texts have no difference" : NULL;
    }
    if (a->state == SM_SIDE_RUNAWAY || b->state == SM_SIDE_RUNAWAY) {
        return a->state == b->state          ? "thermal runaway of both parts"
               : a->state == SM_SIDE_RUNAWAY ? "thermal runaway of the candidate"
                                             : "thermal runaway of the original";
    }
    return a->state == b->state        ? "not given in either file"
           : a->state == SM_SIDE_GIVEN ? "not given in the original's file"
                                       : "not given in the candidate's file";
}

static json_t *row_json(struct json_writer *writer, const struct sm_compared *row)
{
    const struct word_compared *words = word_compared(row->id);
    const bool number = row->comparable && !row->candidate.text;
    const struct sm_optional hz = { .given = row->output_hz > 0.0, .value = row->output_hz };
    const struct sm_optional difference = { .given = number, .value = row->difference };
    json_t *out = json_object();
    json_put(writer, out, "name", json_words(writer, words->name));
    json_put(writer, out, "unit", json_words(writer, words->unit));
    json_put(writer, out, "output_hz", json_optional(writer, hz, "Hz"));
    json_put(writer, out, "candidate", side_json(writer, &row->candidate, words->unit));
    json_put(writer, out, "original", side_json(writer, &row->original, words->unit));
    json_put(writer, out, "difference", json_optional(writer, difference, words->difference));
    json_put(writer, out, "difference_unit", json_words(writer, words->difference));
    json_put(writer, out, "same", row->comparable ? json_boolean(row->same) : json_null());
    json_put(writer, out, "worse", json_boolean(row->worse));
    json_put(writer, out, "why", json_words(writer, row_why(row)));
    return out;
}

static json_t *disadvantages_json(struct json_writer *writer,
                                  const struct sm_comparison *comparison)
{
    json_t *array = json_array();
    for (int id = 0; id < SM_COMPARED_COUNT; id++) {
        const struct sm_compared *row = comparison_worst(comparison, (enum sm_compared_id)id);
        if (row) {
            struct sm_text text;
            sm_text_init(&text);
            comparison_sentence(&text, row);
            json_append(writer, array, json_taken(writer, &text));
        }
    }
    return array;
}

json_t *json_original(struct json_writer *writer, const struct sm_case *c,
                      const struct sm_result *result)
{
    const struct sm_comparison *comparison = &result->comparison;
    const struct sm_result *original = comparison->original;
    if (!original || !c->original) {
        return json_null();
    }
    const struct sm_case own = { .drive = c->drive, .module = c->original };
    const struct sm_optional margin = { .given = !original->runaway, .value = original->margin };
    json_t *rows = json_array();
    for (size_t i = 0; i < comparison->n_rows; i++) {
        json_append(writer, rows, row_json(writer, &comparison->rows[i]));
    }
    json_t *out = json_module(writer, &own, original);
    json_put(writer, out, "verdict", json_words(writer, word_verdict(original->verdict)));
    json_put(writer, out, "margin_k", json_optional(writer, margin, "K"));
    json_put(writer, out, "why", json_words(writer, original->runaway ? word_runaway() : NULL));
    json_put(writer, out, "reasons", json_notes(writer, &original->reasons));
    json_put(writer, out, "points", json_points(writer, original));
    json_put(writer, out, "comparison", rows);
    json_put(writer, out, "disadvantages", disadvantages_json(writer, comparison));
    return out;
}

/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "report/csv.h"
#include "report/deliver.h"
#include "report/made_from.h"
#include "report/sheet_sweep.h"
#include "report/sweep_words.h"
#include "report/words.h"
#include "swapmargin/report.h"

#define COUNT(array) (sizeof(array) / sizeof(array)[0])

/* ------------------------------------------------------------------- JSON */

static json_t *number_or_null(struct json_writer *writer, bool told, double si, const char *unit)
{
    return told ? json_quantity(writer, si, unit) : json_null();
}

static json_t *state_json(struct json_writer *writer, bool runaway, double margin, double required)
{
    return json_words(writer, word_margin_state(margin_state(runaway, margin, required)));
}

static json_t *point_json(struct json_writer *writer, const struct sm_point *point, double required)
{
    const bool told = !point->runaway;
    const struct sm_chip_result *igbt = &point->chip[SM_IGBT], *diode = &point->chip[SM_DIODE];
    const struct {
        const char *name;
        double si;
        const char *unit;
    } values[] = {
        { "igbt_tvj_max_c", igbt->tvj_max, "degC" }, { "diode_tvj_max_c", diode->tvj_max, "degC" },
        { "sink_c", point->t_sink, "degC" },         { "case_igbt_c", igbt->t_case, "degC" },
        { "case_diode_c", diode->t_case, "degC" },   { "margin_k", point->margin, "K" },
    };
    json_t *out = json_object();
    json_put(writer, out, "output_hz", json_number(writer, point->output_hz));
    for (size_t i = 0; i < COUNT(values); i++) {
        json_put(writer, out, values[i].name,
                 number_or_null(writer, told, values[i].si, values[i].unit));
    }
    json_put(writer, out, "worst_chip", json_words(writer, told ? word_chip(point->worst) : NULL));
    json_put(writer, out, "runaway", json_boolean(point->runaway));
    json_put(writer, out, "why", json_words(writer, told ? NULL : word_runaway()));
    json_put(writer, out, "state", state_json(writer, point->runaway, point->margin, required));
    return out;
}

static json_t *row_json(struct json_writer *writer, const struct sm_sweep *sweep, size_t index)
{
    const struct sm_sweep_row *row = &sweep->rows[index];
    const struct sm_point *worst = &row->points[row->worst];
    const bool told = !row->runaway;
    json_t *points = json_array();
    for (size_t i = 0; i < sweep->n_points; i++) {
        json_append(writer, points, point_json(writer, &row->points[i], sweep->required_margin));
    }
    json_t *out = json_object();
    json_put(writer, out, "value",
             json_quantity(writer, row->value, sm_sweep_quantity(sweep->plan.over)->unit));
    json_put(writer, out, "points", points);
    json_put(writer, out, "margin_k", number_or_null(writer, told, row->margin, "K"));
    json_put(writer, out, "worst_hz", number_or_null(writer, told, worst->output_hz, "Hz"));
    json_put(writer, out, "worst_chip", json_words(writer, told ? word_chip(worst->worst) : NULL));
    json_put(writer, out, "why", json_words(writer, told ? NULL : word_runaway()));
    json_put(writer, out, "state",
             state_json(writer, row->runaway, row->margin, sweep->required_margin));
    return out;
}

static json_t *crossing_json(struct json_writer *writer, const struct sm_sweep *sweep,
                             const struct sm_sweep_crossing *crossing)
{
    const char *unit = sm_sweep_quantity(sweep->plan.over)->unit;
    const struct sm_sweep_row *row = &sweep->rows[crossing->before];
    json_t *out = json_object();
    json_put(writer, out, "value", number_or_null(writer, crossing->found, crossing->value, unit));
    json_put(writer, out, "from", json_quantity(writer, row[0].value, unit));
    json_put(writer, out, "to", json_quantity(writer, row[1].value, unit));
    json_put(writer, out, "falls", json_boolean(crossing->falls));
    json_put(writer, out, "why",
             json_words(writer, crossing->found ? "on the straight line between the two rows"
                                                : "one of the two rows has no equilibrium"));
    return out;
}

static json_t *notes_json(struct json_writer *writer, const struct sm_sweep *sweep,
                          enum sm_note_kind kind)
{
    struct sheet words; /* keeps the sentences */
    sheet_init(&words);
    json_t *array = json_array();
    for (size_t i = 0; i < sweep->n_notes; i++) {
        if (sm_note_kind(sweep->notes[i].note.id) == kind) {
            json_append(writer, array,
                        json_words(writer, sweep_note(&words, sweep, &sweep->notes[i])));
        }
    }
    if (words.out_of_memory) {
        writer->status = SM_ERR_MEMORY;
    }
    sheet_release(&words);
    return array;
}

static json_t *lists_json(struct json_writer *writer, json_t *root, const struct sm_sweep *sweep)
{
    json_t *rows = json_array(), *crossings = json_array(), *unchecked = json_array();
    for (size_t i = 0; i < sweep->n_rows; i++) {
        json_append(writer, rows, row_json(writer, sweep, i));
    }
    for (size_t i = 0; i < sweep->n_crossings; i++) {
        json_append(writer, crossings, crossing_json(writer, sweep, &sweep->crossings[i]));
    }
    for (size_t i = 0; i < SM_CHECK_COUNT; i++) {
        json_append(writer, unchecked, json_words(writer, word_check((enum sm_check_id)i)->name));
    }
    json_put(writer, root, "rows", rows);
    json_put(writer, root, "crossings", crossings);
    json_put(writer, root, "not_checked", unchecked);
    json_put(writer, root, "conditions", notes_json(writer, sweep, SM_KIND_CONDITION));
    json_put(writer, root, "notes", notes_json(writer, sweep, SM_KIND_NOTE));
    json_put(writer, root, "cautions", json_cautions(writer));
    return root;
}

static json_t *sweep_root(struct json_writer *writer, const struct sm_case *c,
                          const struct sm_sweep *sweep)
{
    const struct sm_sweep_quantity *quantity = sm_sweep_quantity(sweep->plan.over);
    json_t *drive = json_object(), *module = json_object(), *root = json_object();
    json_put(writer, drive, "name", json_words(writer, c->drive->name ? c->drive->name : ""));
    json_put(writer, drive, "file", json_words(writer, c->drive->file));
    json_put(writer, module, "part", json_words(writer, c->module->part));
    json_put(writer, module, "file", json_words(writer, c->module->file));
    json_put(writer, root, "drive", drive);
    json_put(writer, root, "module", module);
    json_put(writer, root, "over", json_words(writer, quantity->name));
    json_put(writer, root, "unit", json_words(writer, quantity->unit));
    json_put(writer, root, "spacing", json_words(writer, sweep->plan.logarithmic ? "log" : "even"));
    json_put(writer, root, "required_margin_k", json_number(writer, sweep->required_margin));
    json_put(writer, root, "tvj_op_max_c", json_quantity(writer, c->module->tvj_op_max, "degC"));
    root = lists_json(writer, root, sweep);
    made_from_json(writer, root, c);
    return root;
}

/* -------------------------------------------------------------------- CSV */

/* The columns, and where in the JSON each is found. */
static const struct {
    const char *name;
    enum { OF_SWEEP, OF_ROW, OF_POINT } level;
    const char *key;
} columns[] = {
    { "value", OF_ROW, "value" },
    { "unit", OF_SWEEP, "unit" },
    { "output_hz", OF_POINT, "output_hz" },
    { "igbt_tvj_max_c", OF_POINT, "igbt_tvj_max_c" },
    { "diode_tvj_max_c", OF_POINT, "diode_tvj_max_c" },
    { "sink_c", OF_POINT, "sink_c" },
    { "case_igbt_c", OF_POINT, "case_igbt_c" },
    { "case_diode_c", OF_POINT, "case_diode_c" },
    { "margin_k", OF_POINT, "margin_k" },
    { "worst_chip", OF_POINT, "worst_chip" },
    { "state", OF_POINT, "state" },
    { "row_margin_k", OF_ROW, "margin_k" },
    { "row_worst_hz", OF_ROW, "worst_hz" },
    { "row_worst_chip", OF_ROW, "worst_chip" },
    { "row_state", OF_ROW, "state" },
};

static void line_add(struct csv *csv, const json_t *root, const json_t *row, const json_t *point)
{
    for (size_t i = 0; i < COUNT(columns); i++) {
        const json_t *object = columns[i].level == OF_SWEEP ? root
                               : columns[i].level == OF_ROW ? row
                                                            : point;
        const json_t *value = json_object_get(object, columns[i].key);
        if (json_is_string(value)) {
            csv_text(csv, json_string_value(value));
        } else {
            csv_json(csv, value);
        }
    }
    csv_end(csv);
}

/* One line a value and frequency, made from the JSON: a spreadsheet plots and filters that. */
static void sweep_csv(struct sm_text *out, json_t *root)
{
    struct csv csv = { .out = out };
    const json_t *rows = json_object_get(root, "rows");
    for (size_t i = 0; i < COUNT(columns); i++) {
        csv_text(&csv, columns[i].name);
    }
    csv_end(&csv);
    for (size_t i = 0; i < json_array_size(rows); i++) {
        const json_t *row = json_array_get(rows, i);
        const json_t *points = json_object_get(row, "points");
        for (size_t k = 0; k < json_array_size(points); k++) {
            line_add(&csv, root, row, json_array_get(points, k));
        }
    }
}

/* ---------------------------------------------------------------- formats */

enum sm_status sm_report_sweep(const struct sm_case *c, const struct sm_sweep *sweep,
                               enum sm_format format, const struct sm_style *style,
                               struct sm_text *out, struct sm_faults *faults)
{
    if (deliver_wants_sheet(format)) {
        struct sheet sheet;
        sheet_init(&sheet);
        sheet_sweep(&sheet, c, sweep);
        return deliver_sheet(&sheet, format, style, out, faults);
    }
    struct json_writer writer = { .status = SM_OK };
    json_t *root = sweep_root(&writer, c, sweep);
    return deliver_document(&writer, root, format, sweep_csv, out, faults);
}

/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "report/report_json.h"

#include "report/inputs.h"
#include "report/json_value.h"
#include "report/known.h"
#include "report/made_from.h"
#include "report/phrase.h"
#include "report/words.h"

/* A quantity that means nothing when there is no equilibrium. */
static void put_or_null(struct json_writer *writer, json_t *object, const char *key,
                        const struct sm_optional *value, const char *unit)
{
    json_put(writer, object, key, json_optional(writer, *value, unit));
}

static struct sm_optional known(bool given, double value)
{
    return (struct sm_optional){ .given = given, .value = value };
}

json_t *json_drive(struct json_writer *writer, const struct sm_case *c,
                   const struct sm_result *result)
{
    json_t *drive = json_object();
    const struct sm_cooling *cooling = &c->drive->cooling;
    const struct sm_optional bus =
        known(result->n_points > 0, result->n_points > 0 ? result->points[0].v_dc : 0.0);
    json_put(writer, drive, "name", json_words(writer, c->drive->name ? c->drive->name : ""));
    json_put(writer, drive, "file", json_words(writer, c->drive->file));
    put_or_null(writer, drive, "dc_bus_v", &bus, "V");
    json_put(writer, drive, "modulation",
             json_words(writer, word_modulation((enum sm_modulation)c->drive->rating.modulation)));
    json_put(writer, drive, "ambient_c", json_quantity(writer, cooling->ambient, "degC"));
    json_put(writer, drive, "rth_sa_k_per_w", json_number(writer, result->rth_sa));
    json_put(writer, drive, "required_margin_k",
             json_number(writer, c->drive->test.required_margin));
    return drive;
}

json_t *json_module(struct json_writer *writer, const struct sm_case *c,
                    const struct sm_result *result)
{
    json_t *module = json_object();
    json_put(writer, module, "part", json_words(writer, c->module->part ? c->module->part : ""));
    json_put(writer, module, "maker", json_words(writer, c->module->maker ? c->module->maker : ""));
    json_put(writer, module, "file", json_words(writer, c->module->file));
    json_put(writer, module, "circuit",
             json_words(writer, word_circuit((enum sm_circuit)c->module->circuit)));
    json_put(writer, module, "count", json_integer(result->module_count));
    json_put(writer, module, "tvj_op_max_c", json_quantity(writer, c->module->tvj_op_max, "degC"));
    return module;
}

static json_t *drops_json(struct json_writer *writer, const struct sm_result *result)
{
    json_t *drops = json_array();
    for (size_t i = 0; i < result->n_points; i++) {
        const struct sm_point *point = &result->points[i];
        const struct sm_optional drop =
            known(!point->runaway, point->runaway ? 0.0 : point_joint_drop(point));
        json_t *row = json_object();
        json_put(writer, row, "output_hz", json_number(writer, point->output_hz));
        put_or_null(writer, row, "value", &drop, "K");
        json_put(writer, row, "why", json_words(writer, point->runaway ? word_runaway() : NULL));
        json_append(writer, drops, row);
    }
    return drops;
}

/* Why something of the joint is null; a resistance of the other form always is. */
static json_t *joint_why(struct json_writer *writer, const struct sm_joint_result *joint)
{
    struct sm_text why;
    sm_text_init(&why);
    sm_text_add(
        &why, "%s",
        joint->form == SM_JOINT_MODULE
            ? "the joint is the module's: one resistance for IGBT and diode"
            : "the joint is given per switch: one resistance for the IGBT, one for the diode");
    if (!joint->thickness.given) {
        sm_text_add(&why, "; no layer thickness is known");
    }
    if (!joint->conductivity.given) {
        sm_text_add(&why, "; no compound is known");
    }
    return json_taken(writer, &why);
}

json_t *json_joint(struct json_writer *writer, const struct sm_result *result)
{
    const struct sm_joint_result *joint = &result->joint;
    const bool whole = joint->form == SM_JOINT_MODULE;
    const struct sm_optional module = known(whole, joint->rth_module);
    const struct sm_optional igbt = known(!whole, joint->rth_switch[SM_IGBT]);
    const struct sm_optional diode = known(!whole, joint->rth_switch[SM_DIODE]);
    json_t *out = json_object();
    put_or_null(writer, out, "rth_k_per_w", &module, "K/W");
    put_or_null(writer, out, "rth_igbt_k_per_w", &igbt, "K/W");
    put_or_null(writer, out, "rth_diode_k_per_w", &diode, "K/W");
    put_or_null(writer, out, "thickness_um", &joint->thickness, "um");
    put_or_null(writer, out, "conductivity_w_per_mk", &joint->conductivity, "");
    json_put(writer, out, "coverage", json_number(writer, joint->coverage));
    json_put(writer, out, "layer_used", json_boolean(joint->layer_used));
    json_put(writer, out, "why", joint_why(writer, joint));
    json_put(writer, out, "drop_k", drops_json(writer, result));
    return out;
}

static json_t *chip_json(struct json_writer *writer, const struct sm_point *point,
                         enum sm_chip_kind kind)
{
    const struct sm_chip_result *chip = &point->chip[kind];
    const struct {
        const char *key;
        double value;
        const char *unit;
        bool igbt, diode;
    } rows[] = {
        { "conduction_w", chip->conduction, "W", true, true },
        { "turn_on_w", chip->turn_on, "W", true, false },
        { "turn_off_w", chip->turn_off, "W", true, false },
        { "recovery_w", chip->recovery, "W", false, true },
        { "total_w", chip->total, "W", true, true },
        { "tvj_mean_c", chip->tvj_mean, "degC", true, true },
        { "tvj_min_c", chip->tvj_min, "degC", true, true },
        { "tvj_max_c", chip->tvj_max, "degC", true, true },
        { "margin_k", chip->margin, "K", true, true },
    };
    json_t *out = json_object();
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        if (kind == SM_IGBT ? rows[i].igbt : rows[i].diode) {
            const struct sm_optional value = known(!point->runaway, rows[i].value);
            put_or_null(writer, out, rows[i].key, &value, rows[i].unit);
        }
    }
    return out;
}

static void point_heat_json(struct json_writer *writer, json_t *out, const struct sm_point *point)
{
    const struct {
        const char *key;
        double value;
        const char *unit;
    } rows[] = {
        { "lead_w", point->lead, "W" },
        { "module_w", point->module_heat, "W" },
        { "sink_heat_w", point->sink_heat, "W" },
        { "case_igbt_c", point->chip[SM_IGBT].t_case, "degC" },
        { "case_diode_c", point->chip[SM_DIODE].t_case, "degC" },
        { "sink_c", point->t_sink, "degC" },
        { "margin_k", point->margin, "K" },
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        const struct sm_optional value = known(!point->runaway, rows[i].value);
        put_or_null(writer, out, rows[i].key, &value, rows[i].unit);
    }
}

static json_t *point_json(struct json_writer *writer, const struct sm_point *point)
{
    json_t *out = json_object();
    json_put(writer, out, "output_hz", json_number(writer, point->output_hz));
    json_put(writer, out, "current_a", json_number(writer, point->i_module));
    json_put(writer, out, "drive_current_a", json_number(writer, point->i_drive));
    json_put(writer, out, "bus_v", json_number(writer, point->v_dc));
    json_put(writer, out, "output_v", json_number(writer, point->v_out));
    json_put(writer, out, "modulation_index", json_number(writer, point->modulation_index));
    json_put(writer, out, "modulation_requested", json_number(writer, point->modulation_requested));
    json_put(writer, out, "power_factor", json_number(writer, point->power_factor));
    json_put(writer, out, "runaway", json_boolean(point->runaway));
    json_put(writer, out, "why", json_words(writer, point->runaway ? word_runaway() : NULL));
    json_put(writer, out, "hold_governs", json_boolean(!point->runaway && point->hold_governs));
    json_put(writer, out, "igbt", chip_json(writer, point, SM_IGBT));
    json_put(writer, out, "diode", chip_json(writer, point, SM_DIODE));
    point_heat_json(writer, out, point);
    json_put(writer, out, "set_by",
             point->runaway ? json_null() : json_words(writer, word_chip(point->worst)));
    return out;
}

json_t *json_points(struct json_writer *writer, const struct sm_result *result)
{
    json_t *array = json_array();
    for (size_t i = 0; i < result->n_points; i++) {
        json_append(writer, array, point_json(writer, &result->points[i]));
    }
    return array;
}

/* Why something of the row is null. */
static const char *overload_why(const struct sm_overload *overload)
{
    if (overload->runaway) {
        return word_runaway();
    }
    if (overload->allowed_time.given) {
        return NULL;
    }
    return overload->margin < 0.0 ? "how long it may last is not known without sink_capacity"
                                  : "it lasts as long as asked";
}

static json_t *overloads_json(struct json_writer *writer, const struct sm_result *result)
{
    json_t *array = json_array();
    for (size_t i = 0; i < result->n_overload; i++) {
        const struct sm_overload *overload = &result->overload[i];
        const bool told = !overload->runaway;
        const struct sm_optional tvj = known(told, overload->tvj_max);
        const struct sm_optional sink = known(told, overload->t_sink);
        const struct sm_optional margin = known(told, overload->margin);
        json_t *row = json_object();
        json_put(writer, row, "output_hz", json_number(writer, overload->output_hz));
        json_put(writer, row, "drive_current_a", json_number(writer, overload->i_drive));
        put_or_null(writer, row, "tvj_max_c", &tvj, "degC");
        put_or_null(writer, row, "sink_c", &sink, "degC");
        put_or_null(writer, row, "margin_k", &margin, "K");
        put_or_null(writer, row, "allowed_s", &overload->allowed_time, "s");
        json_put(writer, row, "set_by",
                 told ? json_words(writer, word_chip(overload->worst)) : json_null());
        json_put(writer, row, "sink_settled", json_boolean(overload->sink_settled));
        json_put(writer, row, "why", json_words(writer, overload_why(overload)));
        json_append(writer, array, row);
    }
    return array;
}

/* Why something of the hold is null. */
static json_t *hold_why(struct json_writer *writer, const struct sm_result *result)
{
    struct sm_text why;
    sm_text_init(&why);
    if (!result_has_hold(result)) {
        sm_text_add(&why, "not computed");
    } else if (result->hold.runaway) {
        sm_text_add(&why, "%s", word_runaway());
    } else if (!result->hold.allowed_current.given) {
        sm_text_add(&why, "no current from ");
        phrase_quantity(&why, SM_HOLD_LEAST, "%", true);
        sm_text_add(&why, " to ");
        phrase_quantity(&why, SM_HOLD_MOST, "%", true);
        sm_text_add(&why, " of output_current leads to the highest operating junction");
    }
    return json_taken(writer, &why);
}

static json_t *hold_json(struct json_writer *writer, const struct sm_result *result)
{
    const struct sm_hold *hold = &result->hold;
    const bool told = result_has_hold(result) && !hold->runaway;
    const struct sm_optional igbt = known(told, hold->tvj[SM_IGBT]);
    const struct sm_optional diode = known(told, hold->tvj[SM_DIODE]);
    const struct sm_optional margin = known(told, hold->margin);
    json_t *out = json_object();
    put_or_null(writer, out, "igbt_tvj_c", &igbt, "degC");
    put_or_null(writer, out, "diode_tvj_c", &diode, "degC");
    put_or_null(writer, out, "margin_k", &margin, "K");
    put_or_null(writer, out, "allowed_current_a", &hold->allowed_current, "A");
    json_put(writer, out, "why", hold_why(writer, result));
    return out;
}

static json_t *limit_json(struct json_writer *writer, enum sm_limit_id id,
                          const struct sm_limit *limit)
{
    const struct word_row *words = word_limit(id);
    const bool found = limit->state == SM_LIMIT_FOUND;
    const struct sm_optional value = known(found, limit->value);
    const struct sm_optional by = known(found, limit->set_by_hz);
    struct sm_text why;
    sm_text_init(&why);
    if (!found) {
        phrase_no_limit(&why, id, limit, true);
    }
    json_t *row = json_object();
    json_put(writer, row, "name", json_words(writer, words->name));
    put_or_null(writer, row, "value", &value, words->unit);
    put_or_null(writer, row, "set_by_hz", &by, "");
    json_put(writer, row, "set_by",
             found ? json_words(writer, word_chip(limit->set_by)) : json_null());
    json_put(writer, row, "runaway_beyond", json_boolean(found && limit->runaway_beyond));
    json_put(writer, row, "why", json_taken(writer, &why));
    return row;
}

static json_t *limits_json(struct json_writer *writer, const struct sm_result *result)
{
    json_t *array = json_array();
    for (size_t i = 0; i < SM_LIMIT_COUNT; i++) {
        json_append(writer, array, limit_json(writer, (enum sm_limit_id)i, &result->limits[i]));
    }
    return array;
}

static json_t *check_json(struct json_writer *writer, const struct sm_check *check,
                          enum sm_check_id id)
{
    const struct word_row *words = word_check(id);
    json_t *row = json_object();
    json_put(writer, row, "name", json_words(writer, words->name));
    json_put(writer, row, "result", json_words(writer, word_check_result(check->result)));
    put_or_null(writer, row, "value", &check->value, words->unit);
    put_or_null(writer, row, "limit", &check->limit, words->unit);
    json_put(writer, row, "unit", json_words(writer, words->unit));
    json_put(writer, row, "rule", json_words(writer, words->rule));
    json_put(writer, row, "why", json_note(writer, &check->why));
    return row;
}

static json_t *checks_json(struct json_writer *writer, const struct sm_result *result)
{
    json_t *array = json_array();
    for (size_t i = 0; i < SM_CHECK_COUNT; i++) {
        json_append(writer, array, check_json(writer, &result->checks[i], (enum sm_check_id)i));
    }
    return array;
}

json_t *json_warnings(struct json_writer *writer, const struct sm_warnings *warnings)
{
    json_t *array = json_array();
    for (size_t i = 0; i < warnings->count; i++) {
        const struct sm_warning *warning = &warnings->list[i];
        const struct word_key *key = word_module_key(warning->key);
        struct sm_text text;
        sm_text_init(&text);
        phrase_warning(&text, warning, true);
        json_t *row = json_object();
        json_put(writer, row, "file", json_words(writer, warning->file));
        json_put(writer, row, "line",
                 warning->line > 0 ? json_integer(warning->line) : json_null());
        json_put(writer, row, "section", json_words(writer, key->section));
        json_put(writer, row, "key", json_words(writer, key->key));
        json_put(writer, row, "text", json_taken(writer, &text));
        json_append(writer, array, row);
    }
    return array;
}

json_t *json_check(struct json_writer *writer, const struct sm_case *c,
                   const struct sm_result *result)
{
    const struct sm_optional margin = known(!result->runaway, result->margin);
    json_t *root = json_object();
    json_put(writer, root, "drive", json_drive(writer, c, result));
    json_put(writer, root, "module", json_module(writer, c, result));
    json_put(writer, root, "joint", json_joint(writer, result));
    json_put(writer, root, "points", json_points(writer, result));
    put_or_null(writer, root, "margin_k", &margin, "K");
    json_put(writer, root, "why", json_words(writer, result->runaway ? word_runaway() : NULL));
    json_put(writer, root, "overload", overloads_json(writer, result));
    json_put(writer, root, "hold", hold_json(writer, result));
    json_put(writer, root, "limits", limits_json(writer, result));
    json_put(writer, root, "checks", checks_json(writer, result));
    json_put(writer, root, "verdict", json_words(writer, word_verdict(result->verdict)));
    json_put(writer, root, "reasons", json_notes(writer, &result->reasons));
    json_put(writer, root, "conditions", json_notes(writer, &result->conditions));
    json_put(writer, root, "notes", json_notes(writer, &result->notes));
    json_put(writer, root, "warnings", json_warnings(writer, &result->warnings));
    json_put(writer, root, "cautions", json_cautions(writer));
    json_put(writer, root, "original", json_original(writer, c, result));
    json_put(writer, root, "original_why",
             json_words(writer, result->comparison.original ? NULL : "no original part was named"));
    json_put(writer, root, "inputs", inputs_json(writer, c));
    made_from_json(writer, root, c);
    return root;
}

/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "report/report_joint.h"

#include "report/deliver.h"
#include "report/made_from.h"
#include "report/report_csv.h"
#include "report/report_json.h"
#include "report/words.h"

static json_t *margin_json(struct json_writer *writer, const struct sm_joint_margin *margin)
{
    return margin->runaway ? json_null() : json_number(writer, margin->margin);
}

static json_t *times_json(struct json_writer *writer, struct sm_optional value, double factor)
{
    return value.given ? json_number(writer, value.value * factor) : json_null();
}

static void put_why(struct json_writer *writer, json_t *object, const char *key, const char *why)
{
    json_put(writer, object, key, json_words(writer, why));
}

/* The joint as every report tells it, and what this one adds. */
static json_t *layer_json(struct json_writer *writer, const struct joint_page *page)
{
    const struct sm_joint_study *s = page->study;
    json_t *joint = json_joint(writer, &s->result);
    struct sm_text why;
    sm_text_init(&why);
    json_put(writer, joint, "max_thickness_um", json_optional(writer, s->max_thickness, "um"));
    json_put(writer, joint, "min_coverage", json_optional(writer, s->min_coverage, ""));
    json_put(writer, joint, "min_conductivity_w_per_mk",
             json_optional(writer, s->min_conductivity, "W/(m.K)"));
    joint_why_no_bounds(&why, page);
    json_put(writer, joint, "bounds_why", json_taken(writer, &why));
    json_put(writer, joint, "bare_rth_k_per_w", json_optional(writer, s->bare_rth, "K/W"));
    json_put(writer, joint, "gaping_rth_k_per_w", json_optional(writer, s->gaping_rth, "K/W"));
    put_why(writer, joint, "bare_why", joint_why_no_bare(page));
    json_put(writer, joint, "compound_cm3", times_json(writer, s->compound_volume, CM3_PER_M3));
    json_put(writer, joint, "compound_g", times_json(writer, s->compound_mass, GRAM_PER_KG));
    put_why(writer, joint, "compound_why", joint_why_no_amount(page));
    return joint;
}

static json_t *pressing_json(struct json_writer *writer, const struct joint_page *page)
{
    const struct sm_joint_study *s = page->study;
    json_t *out = json_object();
    json_put(writer, out, "pressure_mpa", json_optional(writer, s->pressure, "MPa"));
    json_put(writer, out, "of_screws", json_boolean(s->pressure_of_screws));
    json_put(writer, out, "expected_thickness_um",
             json_optional(writer, s->expected_thickness, "um"));
    json_put(writer, out, "soft_compound_um", json_optional(writer, s->expected_thin, "um"));
    json_put(writer, out, "stiff_compound_um", json_optional(writer, s->expected_thick, "um"));
    put_why(writer, out, "why", joint_why_no_pressing(page));
    return out;
}

static json_t *by_coverage_json(struct json_writer *writer, const struct joint_page *page)
{
    json_t *list = json_array();
    for (size_t i = 0; i < SM_JOINT_COVERAGES && page->study->by_compound; i++) {
        json_t *row = json_object();
        json_put(writer, row, "coverage", json_number(writer, page->study->coverage[i]));
        json_put(writer, row, "margin_k", margin_json(writer, &page->study->by_coverage[i]));
        json_append(writer, list, row);
    }
    return list;
}

static json_t *by_compound_json(struct json_writer *writer, const struct joint_page *page)
{
    json_t *list = json_array();
    for (size_t i = 0; i < page->study->n_compounds; i++)
        for (size_t k = 0; k < SM_JOINT_THICKNESSES; k++) {
            const struct sm_joint_margin *margin =
                &page->study->by_compound[i * SM_JOINT_THICKNESSES + k];
            json_t *row = json_object();
            json_put(writer, row, "compound", json_words(writer, page->compounds[i].name));
            json_put(writer, row, "conductivity_w_per_mk",
                     json_number(writer, page->compounds[i].conductivity));
            json_put(writer, row, "thickness_um",
                     json_quantity(writer, page->study->thickness[k], "um"));
            json_put(writer, row, "margin_k", margin_json(writer, margin));
            json_append(writer, list, row);
        }
    return list;
}

static json_t *steps_json(struct json_writer *writer, const struct joint_page *page)
{
    json_t *list = json_array();
    for (size_t i = 0; i < joint_step_count(); i++) {
        const char *step = joint_step(page, i);
        if (step)
            json_append(writer, list, json_words(writer, step));
    }
    return list;
}

static json_t *joint_root(struct json_writer *writer, const struct joint_page *page)
{
    const struct sm_result *result = &page->study->result;
    const struct sm_optional margin = { .given = !result->runaway, .value = result->margin };
    json_t *root = json_object(), *drive = json_object(), *module = json_object();
    json_put(writer, drive, "name", json_words(writer, page->c->drive->name));
    json_put(writer, drive, "file", json_words(writer, page->c->drive->file));
    json_put(writer, module, "part", json_words(writer, page->c->module->part));
    json_put(writer, module, "file", json_words(writer, page->c->module->file));
    json_put(writer, module, "count", json_integer(result->module_count));
    json_put(writer, root, "drive", drive);
    json_put(writer, root, "module", module);
    json_put(writer, root, "joint", layer_json(writer, page));
    json_put(writer, root, "margin_k", json_optional(writer, margin, "K"));
    json_put(writer, root, "required_margin_k",
             json_number(writer, page->c->drive->test.required_margin));
    json_put(writer, root, "kept", json_boolean(joint_keeps(page)));
    json_put(writer, root, "pressing", pressing_json(writer, page));
    json_put(writer, root, "by_coverage", by_coverage_json(writer, page));
    json_put(writer, root, "by_compound", by_compound_json(writer, page));
    json_put(writer, root, "conditions", json_notes(writer, &result->conditions));
    json_put(writer, root, "notes", json_notes(writer, &result->notes));
    json_put(writer, root, "steps", steps_json(writer, page));
    json_put(writer, root, "cautions", json_cautions(writer));
    made_from_json(writer, root, page->c);
    return root;
}

enum sm_status report_joint(const struct joint_page *page, enum sm_format format,
                            const struct sm_style *style, struct sm_text *out,
                            struct sm_faults *faults)
{
    if (deliver_wants_sheet(format)) {
        struct sheet sheet;
        sheet_init(&sheet);
        sheet_joint(&sheet, page);
        return deliver_sheet(&sheet, format, style, out, faults);
    }
    struct json_writer writer = { .status = SM_OK };
    json_t *root = joint_root(&writer, page);
    return deliver_document(&writer, root, format, report_csv, out, faults);
}

/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The CSV of a check against its JSON, read by a reader of its own: the same values at the same
 * paths, no more and no fewer. */
#include <criterion/criterion.h>

#include "report/report_csv.h"
#include "support/csv_read.h"
#include "support/near.h"
#include "support/sample.h"
#include "swapmargin/quantity.h"

#include <jansson.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static struct sm_text written(const struct sample *s, enum sm_format format)
{
    struct sm_text text;
    sm_text_init(&text);
    cr_assert_eq(sm_report_check(&s->c, &s->result, format, NULL, &text, NULL), SM_OK);
    cr_assert_not_null(text.data);
    return text;
}

static json_t *json_of(const struct sample *s)
{
    struct sm_text text = written(s, SM_FORMAT_JSON);
    json_t *root = json_loads(text.data, JSON_REJECT_DUPLICATES, NULL);
    cr_assert_not_null(root);
    sm_text_release(&text);
    return root;
}

static struct csv_table csv_of(const struct sample *s)
{
    struct sm_text text = written(s, SM_FORMAT_CSV);
    struct csv_table table = csv_read(text.data);
    sm_text_release(&text);
    return table;
}

/* The value at "a.b[0].c". */
static json_t *at(json_t *root, const char *path)
{
    json_t *value = root;
    while (value && *path != '\0') {
        if (*path == '[') {
            char *end = NULL;
            value = json_array_get(value, strtoul(path + 1, &end, 10));
            cr_assert_eq(*end, ']');
            path = end + 1;
        } else {
            char key[64] = "";
            path += *path == '.' ? 1 : 0;
            const size_t length = strcspn(path, ".[");
            (void)snprintf(key, sizeof key, "%.*s", (int)length, path);
            value = json_object_get(value, key);
            path += length;
        }
    }
    return value;
}

/* Values that are neither list nor object. */
static size_t leaves(json_t *value)
{
    size_t n = 0, i = 0;
    const char *key = NULL;
    json_t *part = NULL;
    if (json_is_object(value)) {
        json_object_foreach(value, key, part) n += leaves(part);
        return n;
    }
    if (json_is_array(value)) {
        json_array_foreach(value, i, part) n += leaves(part);
        return n;
    }
    return 1;
}

static void row_equals(const struct csv_table *table, size_t row, json_t *root)
{
    const char *path = csv_cell(table, row, "path"), *value = csv_cell(table, row, "value");
    const char *text = csv_cell(table, row, "text");
    json_t *leaf = at(root, path);
    cr_assert_not_null(leaf, "%s is not in the JSON", path);
    if (json_is_number(leaf)) {
        char *end = NULL;
        NEAR(strtod(value, &end), json_number_value(leaf), 0.0);
        cr_expect(*end == '\0' && end != value, "%s: %s", path, value);
        cr_expect_str_eq(text, "");
        return;
    }
    const char *expected = json_is_true(leaf)    ? "true"
                           : json_is_false(leaf) ? "false"
                           : json_is_null(leaf)  ? ""
                                                 : json_string_value(leaf);
    cr_expect_str_eq(value, "", "%s", path);
    cr_expect_str_eq(csv_cell(table, row, "unit"), "", "%s", path);
    cr_expect_str_eq(text, expected, "%s", path);
}

static void equals(const struct sample *s)
{
    json_t *root = json_of(s);
    struct csv_table table = csv_of(s);
    cr_expect_eq(table.rows - 1, leaves(root));
    for (size_t row = 0; row + 1 < table.rows; row++) {
        row_equals(&table, row, root);
    }
    csv_release(&table);
    json_decref(root);
}

Test(report_csv, holds_every_value_of_the_json_at_its_path_with_or_without_equilibrium)
{
    struct sample s;
    sample_make(&s);
    equals(&s);
    sample_run_away(&s);
    equals(&s);
}

static size_t row_of(const struct csv_table *table, const char *path)
{
    for (size_t row = 0; row + 1 < table->rows; row++) {
        if (strcmp(csv_cell(table, row, "path"), path) == 0) {
            return row;
        }
    }
    cr_assert_fail("no %s", path);
    return 0;
}

/* Units: what the published names of JSON say (_w watts, _c degrees Celsius, ...). */
Test(report_csv, each_number_has_the_unit_that_its_name_promises)
{
    static const struct {
        const char *path, *unit;
    } rows[] = {
        { "drive.dc_bus_v", "V" },
        { "joint.rth_k_per_w", "K/W" },
        { "joint.thickness_um", "um" },
        { "joint.conductivity_w_per_mk", "W/(m.K)" },
        { "joint.drop_k[1].value", "K" },
        { "joint.drop_k[1].output_hz", "Hz" },
        { "points[0].igbt.tvj_max_c", "degC" },
        { "points[1].module_w", "W" },
        { "points[1].current_a", "A" },
        { "points[1].power_factor", "" },
        { "limits[1].value", "degC" },
        { "limits[4].value", "K/W" },
        { "checks[0].value", "V" },
        { "checks[0].limit", "V" },
        { "overload[0].allowed_s", "s" },
    };
    struct sample s;
    sample_make(&s);
    for (size_t i = 0; i < SM_LIMIT_COUNT; i++) {
        s.result.limits[i] = (struct sm_limit){ .state = SM_LIMIT_FOUND, .value = 300.0 };
    }
    s.overload[0] = (struct sm_overload){ .tvj_max = 400.0, .allowed_time = { true, 12.0 } };
    s.result.overload = s.overload;
    s.result.n_overload = 1;
    struct csv_table table = csv_of(&s);
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        cr_expect_str_eq(csv_cell(&table, row_of(&table, rows[i].path), "unit"), rows[i].unit, "%s",
                         rows[i].path);
    }
    csv_release(&table);
}

Test(report_csv, only_pure_numbers_have_no_unit_and_every_unit_is_one_of_the_unit_table)
{
    static const char *const pure[] = {
        "count", "coverage", "modulation_index", "modulation_requested", "power_factor", "line"
    };
    struct sample s;
    sample_make(&s);
    struct csv_table table = csv_of(&s);
    for (size_t row = 0; row + 1 < table.rows; row++) {
        const char *path = csv_cell(&table, row, "path"), *unit = csv_cell(&table, row, "unit");
        const char *dot = strrchr(path, '.');
        const char *name = dot ? dot + 1 : path;
        double shown = 0.0;
        bool bare = csv_cell(&table, row, "value")[0] == '\0';
        for (size_t i = 0; i < sizeof pure / sizeof pure[0]; i++) {
            bare = bare || strcmp(name, pure[i]) == 0;
        }
        cr_expect_eq(unit[0] == '\0', bare, "%s: '%s'", path, unit);
        cr_expect(sm_quantity_to_unit(1.0, unit, &shown), "%s: %s", path, unit);
    }
    csv_release(&table);
}

Test(report_csv, a_name_from_a_file_cannot_become_a_formula)
{
    struct sample s;
    sample_make(&s);
    (void)snprintf(s.name, sizeof s.name, "=HYPERLINK(\"x\")");
    struct csv_table table = csv_of(&s);
    cr_expect_str_eq(csv_cell(&table, row_of(&table, "drive.name"), "text"), "'=HYPERLINK(\"x\")");
    csv_release(&table);
}

Test(report_csv, a_number_that_is_not_finite_is_refused)
{
    struct sample s;
    sample_make(&s);
    s.points[1].lead = 1e308 * 10.0;
    struct sm_text text;
    sm_text_init(&text);
    cr_expect_eq(sm_report_check(&s.c, &s.result, SM_FORMAT_CSV, NULL, &text, NULL), SM_ERR_DOMAIN);
    cr_expect_eq(text.length, 0, "nothing is written");
    sm_text_release(&text);
}

/* By hand: of each rule one number. */
Test(report_csv, a_unit_may_stand_beside_its_number)
{
    static const char *const units[] = { "degC", "K", "", "W", "A", "K", "" };
    json_t *root = json_loads("{\"candidate\":1,\"difference\":2,\"difference_unit\":\"K\","
                              "\"unit\":\"degC\",\"b\":{\"count\":3,\"lead_w\":4,"
                              "\"name\":\"x_a\",\"value\":5,\"drop_k\":[6],\"plain\":[7]}}",
                              0, NULL);
    struct sm_text text;
    sm_text_init(&text);
    cr_assert_not_null(root);
    report_csv(&text, root);
    struct csv_table table = csv_read(text.data);
    size_t n = 0;
    for (size_t row = 0; row + 1 < table.rows; row++) {
        if (csv_cell(&table, row, "value")[0] != '\0') {
            cr_expect_str_eq(csv_cell(&table, row, "unit"), units[n], "%s",
                             csv_cell(&table, row, "path"));
            n++;
        }
    }
    cr_expect_eq(n, 7);
    csv_release(&table);
    sm_text_release(&text);
    json_decref(root);
}

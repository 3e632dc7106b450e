/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The keys are those of the published format; numbers are compared with the sample that they came
 * from. */
#include <criterion/criterion.h>

#include "report/words.h"
#include "support/near.h"
#include "support/sample.h"

#include <jansson.h>
#include <stdio.h>
#include <string.h>

/* Nine significant digits are promised; half a unit of the tenth is what is written. */
#define DIGITS 5e-10

static json_t *json_of(const struct sample *s)
{
    struct sm_text text;
    json_error_t error;
    const struct sm_style style = { .utf8 = false, .width = 80 };
    sm_text_init(&text);
    cr_assert_eq(sm_report_check(&s->c, &s->result, SM_FORMAT_JSON, &style, &text, NULL), SM_OK);
    cr_assert_not_null(text.data);
    json_t *root = json_loads(text.data, JSON_REJECT_DUPLICATES, &error);
    cr_assert_not_null(root, "line %d: %s", error.line, error.text);
    cr_expect_eq(text.data[text.length - 1], '\n');
    sm_text_release(&text);
    return root;
}

/* The value at "a.b.0.c". */
static json_t *at(json_t *root, const char *path)
{
    json_t *value = root;
    while (value && *path != '\0') {
        char key[64] = "";
        const size_t length = strcspn(path, ".");
        (void)snprintf(key, sizeof key, "%.*s", (int)length, path);
        const bool index = key[strspn(key, "0123456789")] == '\0';
        value = index ? json_array_get(value, (size_t)(key[0] - '0')) : json_object_get(value, key);
        path += length + (path[length] == '.' ? 1 : 0);
    }
    return value;
}

static void number_is(json_t *root, const char *path, double expected)
{
    json_t *value = at(root, path);
    cr_assert(json_is_number(value), "%s is no number", path);
    NEAR_REL(json_number_value(value), expected, DIGITS);
}

static void null_at(json_t *root, const char *path)
{
    json_t *value = at(root, path);
    cr_assert_not_null(value, "%s is missing", path);
    cr_expect(json_is_null(value), "%s is not null", path);
}

static void words_are(json_t *root, const char *path, const char *expected)
{
    json_t *value = at(root, path);
    cr_assert(json_is_string(value), "%s is no text", path);
    cr_expect_str_eq(json_string_value(value), expected);
}

static const char *const promised[] = {
    "drive.name",
    "drive.dc_bus_v",
    "module.part",
    "module.count",
    "joint.rth_k_per_w",
    "joint.thickness_um",
    "joint.drop_k.0.output_hz",
    "joint.drop_k.0.value",
    "points.0.output_hz",
    "points.0.current_a",
    "points.0.drive_current_a",
    "points.0.modulation_index",
    "points.0.power_factor",
    "points.0.runaway",
    "points.0.igbt.conduction_w",
    "points.0.igbt.turn_on_w",
    "points.0.igbt.turn_off_w",
    "points.0.igbt.total_w",
    "points.0.igbt.tvj_mean_c",
    "points.0.igbt.tvj_min_c",
    "points.0.igbt.tvj_max_c",
    "points.0.igbt.margin_k",
    "points.0.diode.conduction_w",
    "points.0.diode.recovery_w",
    "points.0.diode.total_w",
    "points.0.diode.tvj_mean_c",
    "points.0.diode.tvj_min_c",
    "points.0.diode.tvj_max_c",
    "points.0.diode.margin_k",
    "points.0.lead_w",
    "points.0.module_w",
    "points.0.sink_heat_w",
    "points.0.case_igbt_c",
    "points.0.case_diode_c",
    "points.0.sink_c",
    "points.0.margin_k",
    "margin_k",
    "overload",
    "hold.igbt_tvj_c",
    "hold.diode_tvj_c",
    "hold.margin_k",
    "hold.allowed_current_a",
    "limits.0.name",
    "limits.0.value",
    "limits.0.set_by_hz",
    "limits.0.set_by",
    "checks.0.name",
    "checks.0.result",
    "checks.0.value",
    "checks.0.limit",
    "checks.0.unit",
    "checks.0.why",
    "verdict",
    "reasons",
    "conditions",
    "notes",
    "cautions",
    "warnings",
    "original",
    "original_why",
};

static void every_key_is_there(json_t *root)
{
    for (size_t i = 0; i < sizeof promised / sizeof promised[0]; i++) {
        cr_expect_not_null(at(root, promised[i]), "%s is missing", promised[i]);
    }
}

Test(report_json, every_promised_key_is_there_also_without_equilibrium)
{
    struct sample s;
    sample_make(&s);
    json_t *settled = json_of(&s);
    every_key_is_there(settled);
    sample_run_away(&s);
    json_t *runaway = json_of(&s);
    every_key_is_there(runaway);
    json_decref(settled);
    json_decref(runaway);
}

Test(report_json, numbers_equal_the_results_to_nine_digits)
{
    struct sample s;
    sample_make(&s);
    json_t *root = json_of(&s);
    for (int i = 0; i < 2; i++) {
        char path[64];
        const struct sm_point *point = &s.points[i];
        const struct {
            const char *key;
            double expected;
        } rows[] = {
            { "output_hz", point->output_hz },
            { "current_a", point->i_module },
            { "drive_current_a", point->i_drive },
            { "modulation_index", point->modulation_index },
            { "igbt.conduction_w", point->chip[SM_IGBT].conduction },
            { "igbt.turn_on_w", point->chip[SM_IGBT].turn_on },
            { "igbt.turn_off_w", point->chip[SM_IGBT].turn_off },
            { "igbt.total_w", point->chip[SM_IGBT].total },
            { "diode.recovery_w", point->chip[SM_DIODE].recovery },
            { "lead_w", point->lead },
            { "module_w", point->module_heat },
            { "sink_heat_w", point->sink_heat },
            { "margin_k", point->margin },
            /* kelvin to degC: 273.15 (SI brochure) */
            { "igbt.tvj_max_c", point->chip[SM_IGBT].tvj_max - 273.15 },
            { "diode.tvj_min_c", point->chip[SM_DIODE].tvj_min - 273.15 },
            { "case_diode_c", point->chip[SM_DIODE].t_case - 273.15 },
            { "sink_c", point->t_sink - 273.15 },
        };
        for (size_t k = 0; k < sizeof rows / sizeof rows[0]; k++) {
            (void)snprintf(path, sizeof path, "points.%d.%s", i, rows[k].key);
            number_is(root, path, rows[k].expected);
        }
    }
    number_is(root, "drive.dc_bus_v", 648.25);
    number_is(root, "module.count", 3.0);
    number_is(root, "margin_k", 37.4);
    words_are(root, "verdict", "conditional");
    json_decref(root);
}

Test(report_json, whole_numbers_are_written_whole)
{
    struct sample s;
    sample_make(&s);
    json_t *root = json_of(&s);
    cr_expect(json_is_integer(at(root, "points.0.output_hz")));
    json_decref(root);
}

Test(report_json, the_joint_of_a_module_has_its_drop_at_each_frequency)
{
    struct sample s;
    sample_make(&s);
    json_t *root = json_of(&s);
    number_is(root, "joint.rth_k_per_w", 0.0277);
    number_is(root, "joint.thickness_um", 100.0);
    /* the larger of 76.0 and 77.5 degC at the cases, over 68.3 degC at the sink */
    number_is(root, "joint.drop_k.1.value", 9.2);
    null_at(root, "joint.rth_igbt_k_per_w");
    json_decref(root);
}

Test(report_json, a_joint_per_switch_has_no_single_resistance_and_says_why)
{
    struct sample s;
    sample_make(&s);
    s.result.joint = (struct sm_joint_result){ .form = SM_JOINT_PER_SWITCH,
                                               .rth_switch = { 0.11, 0.19 },
                                               .coverage = 1.0 };
    json_t *root = json_of(&s);
    null_at(root, "joint.rth_k_per_w");
    null_at(root, "joint.thickness_um");
    cr_expect(json_is_string(at(root, "joint.why")));
    number_is(root, "joint.rth_igbt_k_per_w", 0.11);
    number_is(root, "joint.rth_diode_k_per_w", 0.19);
    json_decref(root);
}

/* The range is that of the constants: 1 % and 1000 % as they are. */
Test(report_json, a_hold_that_no_current_settles_tells_the_range_that_was_searched)
{
    struct sample s;
    sample_make(&s);
    s.result.hold = (struct sm_hold){ .t_sink = 330.0 }; /* computed, none allowed */
    char expected[120];
    (void)snprintf(expected, sizeof expected,
                   "no current from %.10g %% to %.10g %% of output_current leads to the highest "
                   "operating junction",
                   100.0 * SM_HOLD_LEAST, 100.0 * SM_HOLD_MOST);
    json_t *root = json_of(&s);
    words_are(root, "hold.why", expected);
    json_decref(root);
}

static void joint_why_is(const struct sm_joint_result *joint, const char *expected)
{
    struct sample s;
    sample_make(&s);
    s.result.joint = *joint;
    json_t *root = json_of(&s);
    words_are(root, "joint.why", expected);
    json_decref(root);
}

/* Each null has its reason, as docs/json.md gives it, also where several are null at once. */
Test(report_json, whatever_is_null_of_a_joint_has_its_reason)
{
#define MODULE "the joint is the module's: one resistance for IGBT and diode"
#define SWITCH "the joint is given per switch: one resistance for the IGBT, one for the diode"
    const struct sm_optional given = { .given = true, .value = 1.0 };
    struct sm_joint_result joint = { .form = SM_JOINT_MODULE };
    joint.thickness = joint.conductivity = given;
    joint_why_is(&joint, MODULE);
    joint.conductivity.given = false;
    joint_why_is(&joint, MODULE "; no compound is known");
    joint.form = SM_JOINT_PER_SWITCH;
    joint_why_is(&joint, SWITCH "; no compound is known");
    joint.thickness.given = false;
    joint_why_is(&joint, SWITCH "; no layer thickness is known; no compound is known");
#undef MODULE
#undef SWITCH
}

Test(report_json, without_equilibrium_the_point_is_null_and_the_reason_says_so)
{
    struct sample s;
    sample_make(&s);
    sample_run_away(&s);
    json_t *root = json_of(&s);
    cr_expect(json_is_true(at(root, "points.0.runaway")));
    null_at(root, "points.0.igbt.conduction_w");
    null_at(root, "points.0.diode.tvj_max_c");
    null_at(root, "points.0.module_w");
    null_at(root, "points.0.sink_c");
    null_at(root, "points.0.margin_k");
    null_at(root, "margin_k");
    null_at(root, "joint.drop_k.0.value");
    null_at(root, "hold.margin_k");
    cr_expect(json_is_string(at(root, "points.0.why")));
    cr_expect(json_is_string(at(root, "hold.why")));
    number_is(root, "points.0.current_a", 38.5);
    number_is(root, "points.1.margin_k", 37.4);
    words_are(root, "verdict", "reject");
    cr_expect_not_null(strstr(json_string_value(at(root, "reasons.0")), "thermal runaway"));
    json_decref(root);
}

Test(report_json, checks_and_limits_stand_in_the_order_of_their_tables)
{
    struct sample s;
    sample_make(&s);
    json_t *root = json_of(&s);
    cr_assert_eq(json_array_size(at(root, "checks")), SM_CHECK_COUNT);
    for (size_t i = 0; i < SM_CHECK_COUNT; i++) {
        json_t *name = json_object_get(json_array_get(at(root, "checks"), i), "name");
        cr_expect_str_eq(json_string_value(name), word_check((enum sm_check_id)i)->name);
    }
    cr_assert_eq(json_array_size(at(root, "limits")), SM_LIMIT_COUNT);
    words_are(root, "checks.0.result", "pass");
    number_is(root, "checks.0.value", 712.4);
    words_are(root, "checks.1.result", "not checked");
    null_at(root, "checks.1.value");
    null_at(root, "limits.0.value");
    words_are(root, "limits.0.why", "not computed");
    json_decref(root);
}

Test(report_json, limits_hold_and_overload_have_their_numbers_once_computed)
{
    struct sample s;
    sample_make(&s);
    s.result.limits[SM_LIMIT_JOINT_THICKNESS] = (struct sm_limit){
        .state = SM_LIMIT_FOUND, .value = 312.5e-6, .set_by_hz = 60.0, .set_by = SM_DIODE
    };
    s.result.limits[SM_LIMIT_AMBIENT] =
        (struct sm_limit){ .state = SM_LIMIT_KEPT, .low = 213.15, .high = 423.15 };
    s.result.hold = (struct sm_hold){ .tvj = { 410.0, 390.0 },
                                      .t_sink = 350.0,
                                      .margin = 13.15,
                                      .allowed_current = { .given = true, .value = 88.5 } };
    s.overload[0] = (struct sm_overload){
        .output_hz = 30.0, .tvj_max = 400.0, .t_sink = 345.0, .margin = 23.15
    };
    s.result.overload = s.overload;
    s.result.n_overload = 1;
    json_t *root = json_of(&s);
    number_is(root, "limits.3.value", 312.5);
    number_is(root, "limits.3.set_by_hz", 60.0);
    words_are(root, "limits.3.set_by", "diode");
    null_at(root, "limits.1.value");
    cr_expect_not_null(strstr(json_string_value(at(root, "limits.1.why")), "none within"));
    number_is(root, "hold.igbt_tvj_c", 410.0 - 273.15);
    number_is(root, "hold.allowed_current_a", 88.5);
    null_at(root, "hold.why");
    number_is(root, "overload.0.tvj_max_c", 400.0 - 273.15);
    number_is(root, "overload.0.margin_k", 23.15);
    json_decref(root);
}

Test(report_json, sentences_are_utf8_and_broken_bytes_are_repaired)
{
    struct sample s;
    sample_make(&s);
    (void)snprintf(s.name, sizeof s.name, "S\u00e4ge \xff end");
    json_t *root = json_of(&s);
    words_are(root, "drive.name", "S\u00e4ge \uFFFD end");
    cr_expect_eq(json_array_size(at(root, "conditions")), 3);
    cr_expect_eq(json_array_size(at(root, "cautions")), word_caution_count());
    json_decref(root);
}

Test(report_json, a_number_that_is_not_finite_is_refused)
{
    struct sample s;
    sample_make(&s);
    s.points[1].lead = 1e308 * 10.0;
    struct sm_text text;
    struct sm_faults faults;
    const struct sm_style style = { .utf8 = false, .width = 80 };
    sm_text_init(&text);
    sm_faults_init(&faults);
    cr_expect_eq(sm_report_check(&s.c, &s.result, SM_FORMAT_JSON, &style, &text, &faults),
                 SM_ERR_DOMAIN);
    cr_expect_eq(faults.count, 1);
    cr_expect_eq(text.length, 0, "nothing is written");
    sm_faults_release(&faults);
    sm_text_release(&text);
}

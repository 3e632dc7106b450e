/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "support/sample.h"

#include <criterion/criterion.h>

#include <stdio.h>
#include <string.h>

#define CELSIUS 273.15 /* K  0 degC, BIPM SI brochure */

static char drive_file[] = "bench/drive.ini";
static char module_file[] = "bench/module.ini";
static char maker[] = "Examplia";

static void fill_point(struct sm_point *point, double n)
{
    *point = (struct sm_point){ .output_hz = 30.0 * n,
                                .i_module = 38.5,
                                .i_drive = 77.0,
                                .v_dc = 648.25,
                                .v_out = 230.0 * n,
                                .modulation_requested = 0.58 * n,
                                .modulation_index = n > 1.0 ? 1.1547 : 0.58,
                                .power_factor = 0.83,
                                .lead = 2.25,
                                .module_heat = 283.75,
                                .sink_heat = 971.25,
                                .t_sink = CELSIUS + 68.3,
                                .margin = 37.4,
                                .worst = SM_IGBT };
    point->chip[SM_IGBT] = (struct sm_chip_result){ .conduction = 61.123456789012,
                                                    .turn_on = 22.1,
                                                    .turn_off = 18.4,
                                                    .total = 101.623456789012,
                                                    .t_case = CELSIUS + 76.0,
                                                    .tvj_mean = CELSIUS + 99.4,
                                                    .tvj_min = CELSIUS + 92.0,
                                                    .tvj_max = CELSIUS + 112.6,
                                                    .margin = 37.4 };
    point->chip[SM_DIODE] = (struct sm_chip_result){ .conduction = 23.7,
                                                     .recovery = 12.4,
                                                     .total = 36.1,
                                                     .t_case = CELSIUS + 77.5,
                                                     .tvj_mean = CELSIUS + 89.5,
                                                     .tvj_min = CELSIUS + 82.25,
                                                     .tvj_max = CELSIUS + 99.6,
                                                     .margin = 50.4 };
}

static void fill_case(struct sample *s)
{
    (void)snprintf(s->part, sizeof s->part, "HB-150-12");
    (void)snprintf(s->name, sizeof s->name, "Roller table 4");
    s->drive.file = drive_file;
    s->drive.name = s->name;
    s->drive.rating.switching_frequency = 4000.0;
    s->drive.rating.modulation = SM_MOD_SPACE_VECTOR;
    s->drive.cooling = (struct sm_cooling){ .ambient = CELSIUS + 40.0, .other_heat = 120.0 };
    s->drive.test.required_margin = 15.0;
    s->module.file = module_file;
    s->module.part = s->part;
    s->module.maker = maker;
    s->module.circuit = SM_CIRCUIT_HALF_BRIDGE;
    s->module.tvj_op_max = CELSIUS + 150.0;
    s->c = (struct sm_case){ .drive = &s->drive, .module = &s->module };
}

static void fill_checks(struct sm_check checks[SM_CHECK_COUNT])
{
    for (size_t i = 0; i < SM_CHECK_COUNT; i++) {
        checks[i].id = (enum sm_check_id)i;
        checks[i].result = SM_CHECK_NOT_CHECKED;
        checks[i].why.id = SM_NOTE_NOT_CHECKED;
        checks[i].why.text = "a sample";
    }
    struct sm_check *bus = &checks[SM_CHECK_BUS_VOLTAGE];
    bus->result = SM_CHECK_PASS;
    bus->value = (struct sm_optional){ .given = true, .value = 712.4 };
    bus->limit = (struct sm_optional){ .given = true, .value = 780.0 };
    bus->why = (struct sm_note){ .id = SM_NOTE_BUS_VOLTAGE_PASS,
                                 .value = { 712.4, 712.4 / 1200.0, 1200.0, 0.65 } };
    struct sm_check *dead = &checks[SM_CHECK_DEAD_TIME];
    dead->result = SM_CHECK_WARN;
    dead->value = (struct sm_optional){ .given = true, .value = 3e-6 };
    dead->limit = (struct sm_optional){ .given = true, .value = 2.5e-6 };
    dead->why = (struct sm_note){ .id = SM_NOTE_DEAD_TIME_WARN, .value = { 3e-6, 2.5e-6 } };
}

void sample_points(struct sample *s, size_t n)
{
    for (size_t i = 0; i < n; i++) {
        fill_point(&s->points[i], (double)(i + 1));
    }
    s->result.points = s->points;
    s->result.n_points = n;
}

void sample_make(struct sample *s)
{
    memset(s, 0, sizeof *s);
    fill_case(s);
    sample_points(s, 2);
    struct sm_result *r = &s->result;
    r->joint = (struct sm_joint_result){ .form = SM_JOINT_MODULE,
                                         .rth_module = 0.0277,
                                         .layer_used = true,
                                         .thickness = { .given = true, .value = 1e-4 },
                                         .conductivity = { .given = true, .value = 1.2 },
                                         .coverage = 0.9 };
    r->rth_sa = 0.029;
    r->module_count = 3;
    r->margin = 37.4;
    r->verdict = SM_CONDITIONAL;
    fill_checks(r->checks);
    s->conditions[0] = (struct sm_note){ .id = SM_NOTE_BRAKING_BUS };
    s->conditions[1] = (struct sm_note){ .id = SM_NOTE_JOINT_COVERAGE, .value = { 0.9 } };
    static const struct sm_key_name isolation = { "module", "module", "isolation_voltage" };
    s->conditions[2] = (struct sm_note){ .id = SM_NOTE_NOT_CHECKED,
                                         .text = "isolation test voltage",
                                         .key = { &isolation } };
    s->notes[0] =
        (struct sm_note){ .id = SM_NOTE_OVERMODULATION, .value = { 60.0, 460.0, 437.25 } };
    r->conditions = (struct sm_notes){ .list = s->conditions, .count = 3 };
    r->notes = (struct sm_notes){ .list = s->notes, .count = 1 };
}

void sample_run_away(struct sample *s)
{
    s->points[0].runaway = true;
    s->result.runaway = true;
    s->result.margin = 0.0;
    s->result.hold.runaway = true;
    s->result.verdict = SM_REJECT;
    s->reasons[0] = (struct sm_note){ .id = SM_NOTE_REASON_RUNAWAY, .value = { 30.0 } };
    s->result.reasons = (struct sm_notes){ .list = s->reasons, .count = 1 };
}

struct sm_text sample_sheet(const struct sample *s, bool utf8)
{
    struct sm_text text;
    const struct sm_style style = { .utf8 = utf8, .width = 80 };
    sm_text_init(&text);
    cr_assert_eq(sm_report_check(&s->c, &s->result, SM_FORMAT_TEXT, &style, &text, NULL), SM_OK);
    cr_assert_not_null(text.data);
    return text;
}

void text_contains(const struct sm_text *text, const char *expected)
{
    cr_expect_not_null(strstr(text->data, expected), "'%s' is not in:\n%s", expected, text->data);
}

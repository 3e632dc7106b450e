/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * A sweep filled by hand (its numbers are no physics) and what the reports make of it. */
#include <criterion/criterion.h>

#include "report/glyph.h"
#include "report/words.h"
#include "support/ascii.h"
#include "support/csv_read.h"
#include "support/near.h"
#include "support/sample.h"

#include <jansson.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define CELSIUS 273.15 /* K  0 degC, BIPM SI brochure */

enum { ROWS = 4, POINTS = 2 };

/* Ambient 20, 25, 30 and 35 degC at 30 and 60 Hz: margins 20.5, 17.26 and 12 K, then none. */
struct swept {
    struct sample sample;
    struct sm_sweep sweep;
    struct sm_sweep_row rows[ROWS];
    struct sm_point points[ROWS * POINTS];
    struct sm_sweep_crossing crossings[2];
    struct sm_sweep_note notes[3];
};

static void fill_rows(struct swept *s)
{
    static const double margins[ROWS] = { 20.5, 17.26, 12.0, 0.0 };
    for (size_t i = 0; i < ROWS; i++) {
        struct sm_point *points = &s->points[i * POINTS];
        for (size_t k = 0; k < POINTS; k++) {
            points[k] = s->sample.points[k];
            points[k].margin = margins[i] + (k == 0 ? 3.5 : 0.0);
            points[k].worst = SM_DIODE;
        }
        points[1].runaway = i == 3;
        s->rows[i] = (struct sm_sweep_row){ .value = CELSIUS + 20.0 + 5.0 * (double)i,
                                            .points = points,
                                            .runaway = i == 3,
                                            .margin = margins[i],
                                            .worst = 1 };
    }
}

static void make(struct swept *s)
{
    memset(s, 0, sizeof *s);
    sample_make(&s->sample);
    fill_rows(s);
    s->crossings[0] = (struct sm_sweep_crossing){ 1, true, true, CELSIUS + 27.143 };
    s->notes[0] = (struct sm_sweep_note){
        { .id = SM_NOTE_JOINT_COVERAGE, .value = { 0.9 } }, ROWS, 0, ROWS - 1, true
    };
    s->notes[1] = (struct sm_sweep_note){
        { .id = SM_NOTE_TEN_PERCENT, .value = { 4.5, 60.0 } }, 3, 0, 2, false
    };
    s->notes[2] = (struct sm_sweep_note){ { .id = SM_NOTE_HOLD_RUNAWAY }, 1, 3, 3, true };
    s->sweep = (struct sm_sweep){ .plan = { SM_SWEEP_AMBIENT, CELSIUS + 20.0, CELSIUS + 35.0, ROWS,
                                            false },
                                  .required_margin = 15.0,
                                  .rows = s->rows,
                                  .n_rows = ROWS,
                                  .points = s->points,
                                  .n_points = POINTS,
                                  .crossings = s->crossings,
                                  .n_crossings = 1,
                                  .notes = s->notes,
                                  .n_notes = 3 };
}

static struct sm_text written(const struct swept *s, enum sm_format format, bool utf8)
{
    const struct sm_style style = { .utf8 = utf8, .width = 80 };
    struct sm_text text;
    sm_text_init(&text);
    cr_assert_eq(sm_report_sweep(&s->sample.c, &s->sweep, format, &style, &text, NULL), SM_OK);
    cr_assert_not_null(text.data);
    return text;
}

static void contains(const struct sm_text *text, const char *expected)
{
    cr_expect_not_null(strstr(text->data, expected), "'%s' is not in:\n%s", expected, text->data);
}

static void lines_fit(const char *text)
{
    while (*text != '\0') {
        char line[1024];
        const size_t length = strcspn(text, "\n");
        (void)snprintf(line, sizeof line, "%.*s", (int)length, text);
        cr_expect_leq(glyph_text_columns(line), 80, "too wide: %s", line);
        cr_expect(length == 0 || line[length - 1] != ' ', "blank at the end: '%s'", line);
        text += length + (text[length] == '\n' ? 1 : 0);
    }
}

Test(report_sweep, text_tells_each_margin_and_where_it_passes_the_required_one)
{
    struct swept s;
    make(&s);
    struct sm_text text = written(&s, SM_FORMAT_TEXT, false);
    contains(&text, " 20 degC to 35 degC in\n             4 rows\n");
    /* zero to 20.5 K over 30 columns: 15 K stands at 21.95, 17.26 K at 25.2, 12 K at 17.6 */
    contains(&text, "       20    20.5  diode   60 Hz  kept     ######################|#######\n");
    contains(&text, "       25    17.3  diode   60 Hz  kept     ######################|##\n");
    contains(&text, "       30    12.0  diode   60 Hz  SHORT    ##################    |\n");
    contains(&text, "       35       -  -       60 Hz  runaway                        |\n");
    /* the diode's case is the hotter one, 77.5 degC against 76.0 degC */
    contains(&text, "       20  112.6   99.6  77.5  68.3    24.0  ");
    contains(&text, "The margin falls below the required 15 K at about 27.1 degC, "
                    "interpolated\n  between the rows at 25 degC and 30 degC.");
    sm_text_release(&text);
}

Test(report_sweep, text_names_what_a_sweep_does_not_check_and_carries_the_cautions)
{
    struct swept s;
    make(&s);
    struct sm_text text = written(&s, SM_FORMAT_TEXT, false);
    contains(&text, "short-circuit withstand time");
    for (size_t i = 0; i < word_caution_count(); i++) {
        char start[24];
        (void)snprintf(start, sizeof start, "  - %.16s", word_caution(i));
        contains(&text, start);
    }
    sm_text_release(&text);
}

Test(report_sweep, a_note_says_in_which_rows_it_stands)
{
    struct swept s;
    make(&s);
    struct sm_text text = written(&s, SM_FORMAT_TEXT, false);
    contains(&text, "\n  - coverage is 90 %");
    contains(&text, "\n  - from 20 degC to 30 degC, with the numbers of the first: 10 % more");
    contains(&text, "\n  - at 35 degC: held at zero speed");
    s.notes[1].last = 3;
    s.notes[1].same = true;
    struct sm_text gaps = written(&s, SM_FORMAT_TEXT, false);
    contains(&gaps, "\n  - in some rows from 20 degC to 35 degC: 10 % more");
    sm_text_release(&text);
    sm_text_release(&gaps);
}

Test(report_sweep, without_a_crossing_the_text_says_that_too)
{
    struct swept s;
    make(&s);
    s.sweep.n_crossings = 0;
    s.sweep.n_rows = 2;
    struct sm_text kept = written(&s, SM_FORMAT_TEXT, false);
    contains(&kept, "The margin stays at or above the required 15 K in every row.");
    s.sweep.required_margin = 30.0;
    struct sm_text lacking = written(&s, SM_FORMAT_TEXT, false);
    contains(&lacking, "The margin is short of the required 30 K in every row.");
    sm_text_release(&kept);
    sm_text_release(&lacking);
}

Test(report_sweep, next_to_a_row_without_equilibrium_nothing_is_interpolated)
{
    struct swept s;
    make(&s);
    s.crossings[0] = (struct sm_sweep_crossing){ 1, true, true, CELSIUS + 27.143 };
    s.crossings[1] = (struct sm_sweep_crossing){ 2, false, false, 0.0 };
    s.sweep.n_crossings = 2;
    struct sm_text text = written(&s, SM_FORMAT_TEXT, false);
    contains(&text, "; rises to it between 30 degC and");
    contains(&text, "no equilibrium");
    sm_text_release(&text);
}

Test(report_sweep, no_line_is_wider_than_the_page_and_ascii_stays_ascii)
{
    struct swept s;
    make(&s);
    struct sm_text ascii = written(&s, SM_FORMAT_TEXT, false);
    struct sm_text utf8 = written(&s, SM_FORMAT_TEXT, true);
    lines_fit(ascii.data);
    lines_fit(utf8.data);
    cr_expect(is_ascii(ascii.data));
    contains(&utf8, "\u2588|");
    sm_text_release(&ascii);
    sm_text_release(&utf8);
}

Test(report_sweep, rows_that_lie_close_are_told_apart)
{
    struct swept s;
    make(&s);
    for (size_t i = 0; i < ROWS; i++) {
        s.rows[i].value = CELSIUS + 20.0 + 0.002 * (double)i;
    }
    struct sm_text text = written(&s, SM_FORMAT_TEXT, false);
    contains(&text, "\n   20.000    20.5");
    contains(&text, "\n   20.002    17.3");
    lines_fit(text.data);
    sm_text_release(&text);
}

static json_t *json_of(const struct swept *s)
{
    struct sm_text text = written(s, SM_FORMAT_JSON, false);
    json_t *root = json_loads(text.data, JSON_REJECT_DUPLICATES, NULL);
    cr_assert_not_null(root);
    sm_text_release(&text);
    return root;
}

static void number_is(json_t *object, const char *key, double expected)
{
    json_t *value = json_object_get(object, key);
    cr_assert(json_is_number(value), "%s is no number", key);
    NEAR(json_number_value(value), expected, 1e-8); /* ten digits are written */
}

static void words_are(json_t *object, const char *key, const char *expected)
{
    cr_expect_str_eq(json_string_value(json_object_get(object, key)), expected, "%s", key);
}

Test(report_sweep, json_has_every_row_and_point_in_the_units_named)
{
    struct swept s;
    make(&s);
    json_t *root = json_of(&s);
    words_are(root, "over", "ambient");
    words_are(root, "unit", "degC");
    words_are(root, "spacing", "even");
    number_is(root, "required_margin_k", 15.0);
    json_t *rows = json_object_get(root, "rows");
    cr_assert_eq(json_array_size(rows), ROWS);
    json_t *row = json_array_get(rows, 1);
    number_is(row, "value", 25.0);
    number_is(row, "margin_k", 17.26);
    number_is(row, "worst_hz", 60.0);
    words_are(row, "worst_chip", "diode");
    words_are(row, "state", "kept");
    json_t *point = json_array_get(json_object_get(row, "points"), 0);
    number_is(point, "output_hz", 30.0);
    number_is(point, "igbt_tvj_max_c", 112.6); /* of support/sample.c */
    number_is(point, "diode_tvj_max_c", 99.6);
    number_is(point, "sink_c", 68.3);
    number_is(point, "case_igbt_c", 76.0);
    number_is(point, "case_diode_c", 77.5);
    number_is(point, "margin_k", 20.76);
    cr_expect(json_is_false(json_object_get(point, "runaway")));
    json_t *crossing = json_array_get(json_object_get(root, "crossings"), 0);
    number_is(crossing, "value", 27.143);
    number_is(crossing, "from", 25.0);
    number_is(crossing, "to", 30.0);
    cr_expect_eq(json_array_size(json_object_get(root, "cautions")), word_caution_count());
    cr_expect_eq(json_array_size(json_object_get(root, "not_checked")), SM_CHECK_COUNT);
    cr_expect_eq(json_array_size(json_object_get(root, "notes")), 1);
    cr_expect_eq(json_array_size(json_object_get(root, "conditions")), 2);
    json_decref(root);
}

Test(report_sweep, json_of_a_row_without_equilibrium_is_null_and_says_why)
{
    struct swept s;
    make(&s);
    s.crossings[0] = (struct sm_sweep_crossing){ 2, true, false, 0.0 };
    json_t *root = json_of(&s);
    json_t *row = json_array_get(json_object_get(root, "rows"), 3);
    json_t *point = json_array_get(json_object_get(row, "points"), 1);
    cr_expect(json_is_null(json_object_get(row, "margin_k")));
    cr_expect(json_is_null(json_object_get(row, "worst_hz")));
    cr_expect(json_is_null(json_object_get(row, "worst_chip")));
    words_are(row, "why", "thermal runaway: no equilibrium");
    words_are(row, "state", "runaway");
    cr_expect(json_is_true(json_object_get(point, "runaway")));
    cr_expect(json_is_null(json_object_get(point, "sink_c")));
    number_is(json_array_get(json_object_get(row, "points"), 0), "margin_k", 3.5);
    json_t *crossing = json_array_get(json_object_get(root, "crossings"), 0);
    cr_expect(json_is_null(json_object_get(crossing, "value")));
    cr_expect(json_is_string(json_object_get(crossing, "why")));
    json_decref(root);
}

Test(report_sweep, csv_has_one_line_a_value_and_frequency)
{
    struct swept s;
    make(&s);
    struct sm_text text = written(&s, SM_FORMAT_CSV, false);
    struct csv_table table = csv_read(text.data);
    cr_assert_eq(table.rows, 1 + ROWS * POINTS);
    cr_expect_str_eq(csv_cell(&table, 2, "value"), "25");
    cr_expect_str_eq(csv_cell(&table, 2, "unit"), "degC");
    cr_expect_str_eq(csv_cell(&table, 2, "output_hz"), "30");
    cr_expect_str_eq(csv_cell(&table, 2, "margin_k"), "20.76");
    cr_expect_str_eq(csv_cell(&table, 2, "worst_chip"), "diode");
    cr_expect_str_eq(csv_cell(&table, 2, "state"), "kept");
    cr_expect_str_eq(csv_cell(&table, 2, "row_margin_k"), "17.26");
    cr_expect_str_eq(csv_cell(&table, 2, "row_worst_hz"), "60");
    cr_expect_str_eq(csv_cell(&table, 5, "state"), "short");
    cr_expect_str_eq(csv_cell(&table, 7, "state"), "runaway");
    cr_expect_str_eq(csv_cell(&table, 7, "margin_k"), "");
    cr_expect_str_eq(csv_cell(&table, 7, "row_margin_k"), "");
    cr_expect_str_eq(csv_cell(&table, 6, "state"), "short", "3.5 K at 30 Hz");
    cr_expect_str_eq(csv_cell(&table, 6, "row_state"), "runaway");
    csv_release(&table);
    sm_text_release(&text);
}

Test(report_sweep, a_number_that_is_not_finite_and_a_format_that_is_not_there_are_refused)
{
    static const enum sm_format formats[] = { SM_FORMAT_TEXT, SM_FORMAT_JSON, SM_FORMAT_CSV,
                                              SM_FORMAT_HTML };
    const struct sm_style style = { .utf8 = false, .width = 80 };
    struct swept s;
    make(&s);
    s.points[0].t_sink = 1e308 * 10.0;
    for (size_t i = 0; i < sizeof formats / sizeof formats[0]; i++) {
        struct sm_text text;
        sm_text_init(&text);
        cr_expect_eq(sm_report_sweep(&s.sample.c, &s.sweep, formats[i], &style, &text, NULL),
                     SM_ERR_DOMAIN);
        cr_expect_eq(text.length, 0);
        sm_text_release(&text);
    }
}

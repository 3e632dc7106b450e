/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Expected texts follow from the numbers of support/sample.c and the rules of the sheet. */
#include <criterion/criterion.h>

#include "report/glyph.h"
#include "report/report_text.h"
#include "report/text_layout.h"
#include "report/words.h"
#include "support/ascii.h"
#include "support/sample.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static void lines_fit(const char *text, int width)
{
    while (*text != '\0') {
        char line[1024];
        const size_t length = strcspn(text, "\n");
        (void)snprintf(line, sizeof line, "%.*s", (int)length, text);
        cr_expect_leq(glyph_text_columns(line), width, "too wide: %s", line);
        cr_expect(length == 0 || line[length - 1] != ' ', "blank at the end: '%s'", line);
        text += length + (text[length] == '\n' ? 1 : 0);
    }
}

Test(report_text, the_verdict_stands_first_with_the_part_and_the_drive)
{
    struct sample s;
    sample_make(&s);
    struct sm_text text = sample_sheet(&s, false);
    cr_expect_eq(strncmp(text.data, "CONDITIONAL ", 12), 0);
    const char *end = strchr(text.data, '\n');
    cr_expect_not_null(strstr(text.data, "HB-150-12 for Roller table 4\n"));
    cr_expect_eq(end - text.data, 80, "the first line fills the width");
    text_contains(&text,
                  "the smallest margin is 37.4 K at 30 Hz, set by\n  the IGBT; 15 K must be left");
    sm_text_release(&text);
}

Test(report_text, a_verdict_longer_than_a_line_is_wrapped)
{
    static const struct sm_style style = { .width = 80 };
    struct sheet sheet;
    struct sm_text text;
    sheet_init(&sheet);
    sm_text_init(&text);
    (void)sheet_add(&sheet, SHEET_HEADLINE,
                    "LOAD RUN: STOP THE RUN, REJECT, JOINT HIGH, HEATSINK HIGH, PHASES FAIL, BUS "
                    "FAIL, RIPPLE FAIL",
                    "ND 100-12 L for a roller table");
    report_text(&text, &sheet, &style);
    lines_fit(text.data, 80);
    text_contains(&text, "RIPPLE FAIL\nND 100-12 L for a roller table\n====");
    sm_text_release(&text);
    sheet_release(&sheet);
}

Test(report_text, a_conditional_sheet_counts_and_lists_what_a_person_must_settle)
{
    struct sample s;
    sample_make(&s);
    struct sm_text text = sample_sheet(&s, false);
    text_contains(&text, "3 points have to be settled by a person first");
    text_contains(&text, "\n  [ ] bus voltage while braking");
    text_contains(&text, "\n  [ ] coverage is 90 %");
    sm_text_release(&text);
}

Test(report_text, no_line_is_wider_than_the_page_in_either_spelling)
{
    struct sample s;
    sample_make(&s);
    struct sm_text ascii = sample_sheet(&s, false);
    struct sm_text utf8 = sample_sheet(&s, true);
    lines_fit(ascii.data, 80);
    lines_fit(utf8.data, 80);
    cr_expect(is_ascii(ascii.data));
    text_contains(&utf8, "\u00b0C");
    text_contains(&ascii, "degC");
    sm_text_release(&ascii);
    sm_text_release(&utf8);
}

Test(report_text, sixteen_frequencies_and_long_names_still_fit)
{
    struct sample s;
    sample_make(&s);
    sample_points(&s, SAMPLE_POINTS);
    memset(s.part, 'x', sizeof s.part - 1);
    memset(s.name, 'y', sizeof s.name - 1);
    struct sm_text text = sample_sheet(&s, false);
    lines_fit(text.data, 80);
    text_contains(&text, " 480 Hz ");
    sm_text_release(&text);
}

/* A heading may name a part: of any length, with or without room for the line behind it. */
Test(report_text, a_heading_of_any_length_fits)
{
    char title[201] = "";
    for (size_t n = 1; n < sizeof title; n++) {
        struct sheet sheet;
        struct sm_text text;
        const struct sm_style style = { .utf8 = n % 2 == 0, .width = 80 };
        title[n - 1] = n % 90 == 20 ? ' ' : 'x';
        sheet_init(&sheet);
        sm_text_init(&text);
        (void)sheet_add(&sheet, SHEET_HEADING, title, "");
        report_text(&text, &sheet, &style);
        lines_fit(text.data, 80);
        sm_text_release(&text);
        sheet_release(&sheet);
    }
}

Test(report_text, foreign_letters_and_wide_scripts_keep_the_page)
{
    struct sample s;
    sample_make(&s);
    (void)snprintf(s.name, sizeof s.name, "S\u00e4ge \u5de5\u5834 e\u0301 \u4e00\u4e8c\u4e09");
    struct sm_text utf8 = sample_sheet(&s, true);
    struct sm_text ascii = sample_sheet(&s, false);
    lines_fit(utf8.data, 80);
    cr_expect(is_ascii(ascii.data));
    text_contains(&ascii, "Saege ?? e ???");
    sm_text_release(&utf8);
    sm_text_release(&ascii);
}

Test(report_text, the_kelvins_stand_as_numbers_and_as_a_bar)
{
    struct sample s;
    sample_make(&s);
    struct sm_text text = sample_sheet(&s, false);
    /* from the sample: sink 68.3 - 40, joint 76 - 68.3, mean 99.4 - 76, peak 112.6 - 99.4 */
    text_contains(&text, "30  IGBT      40.0  28.3    7.7      23.4     13.2     112.6  150.0\n");
    text_contains(&text, "30  diode     40.0  28.3    9.2      12.0     10.1      99.6  150.0\n");
    text_contains(&text, "sink over ambient        28.3 K  |#");
    text_contains(&text, "margin left              37.4 K  |");
    text_contains(&text, "margin required          15.0 K  |");
    sm_text_release(&text);
}

/* The bars of one frequency tile the scale: each begins where the one above ends. */
Test(report_text, the_bars_tile_the_way_from_ambient_to_the_limit)
{
    struct sample s;
    sample_make(&s);
    struct sm_text text = sample_sheet(&s, false);
    const char *p = strstr(text.data, "sink over ambient");
    cr_assert_not_null(p);
    size_t reached = 0;
    for (int i = 0; i < 5; i++) { /* sink, joint, mean, peak, margin left */
        const char *bar = strchr(p, '|') + 1;
        const size_t room = strcspn(bar, "|");
        const size_t begin = strspn(bar, " ");
        cr_expect_eq(begin, reached, "bar %d begins at %zu, the one above ends at %zu", i, begin,
                     reached);
        reached = begin + strspn(bar + begin, "#.");
        cr_expect(i < 4 || reached == room, "the last bar ends at the limit");
        p = strchr(p, '\n') + 1;
    }
    sm_text_release(&text);
}

Test(report_text, a_junction_over_the_limit_is_shown_as_such)
{
    struct sample s;
    sample_make(&s);
    struct sm_point *point = &s.points[0];
    point->chip[SM_IGBT].tvj_max = 273.15 + 156.5;
    point->chip[SM_IGBT].margin = point->margin = -6.5;
    s.result.margin = -6.5;
    struct sm_text text = sample_sheet(&s, false);
    text_contains(&text, "OVER THE LIMIT            6.5 K  |");
    text_contains(&text, "!");
    text_contains(&text, "-6.5      15.0  IGBT    SHORT");
    sm_text_release(&text);
}

Test(report_text, losses_are_told_per_switch_module_and_drive)
{
    struct sample s;
    sample_make(&s);
    struct sm_text text = sample_sheet(&s, false);
    /* half-bridge: 2 switches; 3 modules: 61.12 W, 122.2 W, 366.7 W */
    text_contains(&text, "IGBT conduction       61.1   122.2  366.7");
    text_contains(&text, "diode recovery        12.4    24.8   74.4");
    text_contains(&text, "others on the sink       -       -  120.0");
    text_contains(&text, "283.8  971.2");
    sm_text_release(&text);
}

Test(report_text, runaway_has_no_temperatures_and_says_so)
{
    struct sample s;
    sample_make(&s);
    sample_run_away(&s);
    struct sm_text text = sample_sheet(&s, false);
    cr_expect_eq(strncmp(text.data, "REJECT ", 7), 0);
    text_contains(&text, "Rejected: thermal runaway at 30 Hz");
    text_contains(&text, "runaway\n");
    cr_expect_null(strstr(text.data, "30 Hz, IGBT"), "no bars where nothing settled");
    text_contains(&text, "60 Hz, IGBT");
    lines_fit(text.data, 80);
    sm_text_release(&text);
}

Test(report_text, the_reason_that_weighs_most_stands_first_and_each_stands_once)
{
    struct sample s;
    sample_make(&s);
    s.reasons[0] = (struct sm_note){ .id = SM_NOTE_REASON_MARGIN,
                                     .value = { 12.0, 30.0, 15.0, 400.0 },
                                     .text = "IGBT" };
    s.reasons[1] = (struct sm_note){ .id = SM_NOTE_REASON_MARGIN,
                                     .value = { 7.0, 60.0, 15.0, 410.0 },
                                     .text = "diode" };
    s.result.reasons = (struct sm_notes){ .list = s.reasons, .count = 2 };
    s.result.verdict = SM_REJECT;
    struct sm_text text = sample_sheet(&s, false);
    text_contains(&text, "Rejected: margin 7 K at 60 Hz");
    text_contains(&text, "\n  - margin 12 K at 30 Hz");
    sm_text_release(&text);
    s.reasons[1] = (struct sm_note){ .id = SM_NOTE_REASON_RUNAWAY, .value = { 60.0 } };
    text = sample_sheet(&s, false);
    text_contains(&text, "Rejected: thermal runaway at 60 Hz");
    sm_text_release(&text);
}

Test(report_text, every_caution_and_a_place_to_sign_are_on_the_sheet)
{
    struct sample s;
    sample_make(&s);
    struct sm_text text = sample_sheet(&s, false);
    for (size_t i = 0; i < word_caution_count(); i++) {
        char start[24];
        (void)snprintf(start, sizeof start, "  - %.16s", word_caution(i));
        text_contains(&text, start);
    }
    text_contains(&text, "Name ____");
    text_contains(&text, "Date ____");
    sm_text_release(&text);
}

Test(report_text, overload_hold_and_limits_are_told_once_they_are_computed)
{
    struct sample s;
    sample_make(&s);
    struct sm_text before = sample_sheet(&s, false);
    cr_expect_null(strstr(before.data, "zero-speed hold"));
    s.result.hold = (struct sm_hold){
        .current = 108.9, .tvj = { 273.15 + 130.0, 273.15 + 121.0 }, .t_sink = 340.0, .margin = 20.0
    };
    s.overload[0] = (struct sm_overload){ .output_hz = 30.0, .runaway = true };
    s.result.overload = s.overload;
    s.result.n_overload = 1;
    s.result.limits[SM_LIMIT_AMBIENT] =
        (struct sm_limit){ .state = SM_LIMIT_FOUND, .value = 273.15 + 61.556, .set_by_hz = 30.0 };
    s.result.limits[SM_LIMIT_RTH_SA] =
        (struct sm_limit){ .state = SM_LIMIT_SHORT, .low = 1e-5, .high = 100.0 };
    struct sm_text after = sample_sheet(&s, false);
    text_contains(&after, "zero-speed hold, 108.9 A peak");
    text_contains(&after, "130.0     20.0  IGBT  up to T_vj,op\n");
    text_contains(&after, "overload at 30 Hz");
    text_contains(&after, "61.55 degC  30 Hz, IGBT\n");
    text_contains(&after, "overload, standstill");
    text_contains(&after, "none within 1e-05 K/W");
    lines_fit(after.data, 80);
    sm_text_release(&before);
    sm_text_release(&after);
}

Test(report_text, a_result_that_is_not_finite_is_refused)
{
    struct sample s;
    sample_make(&s);
    s.points[1].chip[SM_DIODE].tvj_max = 1e308 * 10.0;
    struct sm_text text;
    struct sm_faults faults;
    const struct sm_style style = { .utf8 = false, .width = 80 };
    sm_text_init(&text);
    sm_faults_init(&faults);
    cr_expect_eq(sm_report_check(&s.c, &s.result, SM_FORMAT_TEXT, &style, &text, &faults),
                 SM_ERR_DOMAIN);
    cr_expect_eq(faults.count, 1);
    sm_faults_release(&faults);
    sm_text_release(&text);
}

Test(report_text, a_format_that_is_not_there_is_refused)
{
    struct sample s;
    sample_make(&s);
    struct sm_text text;
    const struct sm_style style = { .utf8 = false, .width = 80 };
    sm_text_init(&text);
    cr_expect_eq(sm_report_check(&s.c, &s.result, SM_FORMAT_JSONL, &style, &text, NULL),
                 SM_ERR_DOMAIN);
    cr_expect_eq(text.length, 0);
    sm_text_release(&text);
}

static void wrapped_is(const char *words, int width, const char *first, const char *expected)
{
    struct sm_text text;
    const struct sm_style style = { .utf8 = true, .width = width };
    sm_text_init(&text);
    layout_wrap(&text, words, &(struct layout){ &style, first });
    cr_expect_str_eq(text.data, expected);
    sm_text_release(&text);
}

Test(report_text, wrapping_keeps_a_number_with_its_unit)
{
    wrapped_is("a margin of 15 K is kept", 14, "", "a margin of\n15 K is kept\n");
}

Test(report_text, wrapping_cuts_a_word_longer_than_the_line)
{
    wrapped_is("/a/very/long/path x", 10, "- ", "- /a/very/\n  long/\n  path x\n");
    wrapped_is("zinc-oxide-non-silicone", 12, "", "zinc-oxide-\nnon-silicone\n");
    wrapped_is("unbreakables", 8, "", "unbreaka\nbles\n");
}

Test(report_text, wrapping_keeps_lines_of_its_own_and_an_empty_text)
{
    wrapped_is("one\ntwo", 20, "> ", "> one\n  two\n");
    wrapped_is("", 20, "> ", ">\n");
}

Test(report_text, a_fault_is_one_line_with_its_place)
{
    struct sm_faults faults;
    struct sm_text text;
    const struct sm_place place = { "a.ini", 7, "drive", "line_voltage" };
    const struct sm_place section = { "a.ini", 0, "load", NULL };
    sm_faults_init(&faults);
    sm_text_init(&text);
    (void)sm_fault_add(&faults, SM_ERR_VALUE, &place, "'4x' found; expected a number");
    (void)sm_fault_add(&faults, SM_ERR_KEY, &section, "missing");
    (void)sm_fault_add(&faults, SM_ERR_MEMORY, NULL, "out of memory");
    for (size_t i = 0; i < faults.count; i++) {
        sm_report_fault(&faults.list[i], &text);
    }
    cr_expect_str_eq(text.data, "a.ini:7: [drive] line_voltage: '4x' found; expected a number\n"
                                "a.ini: [load] missing\n"
                                "out of memory\n");
    sm_text_release(&text);
    sm_faults_release(&faults);
}

Test(report_text, a_file_name_cannot_steer_the_terminal)
{
    struct sm_faults faults;
    struct sm_text text;
    const struct sm_place place = { .file = "a\033[2J\xff\n.ini" };
    sm_faults_init(&faults);
    sm_text_init(&text);
    (void)sm_fault_add(&faults, SM_ERR_FILE, &place, "is not there");
    sm_report_fault(&faults.list[0], &text);
    cr_expect_str_eq(text.data, "a\uFFFD[2J\uFFFD\uFFFD.ini: is not there\n");
    sm_text_release(&text);
    sm_faults_release(&faults);
}

/* A result of which no test frequency was computed: a caller's, as it is after its init. */
Test(report_text, a_result_without_a_point_says_so_and_has_no_tables_of_points)
{
    struct sample s;
    sample_make(&s);
    sample_points(&s, 0);
    s.result.notes.count = 0;
    struct sm_text text = sample_sheet(&s, false);
    text_contains(&text, "No test frequency was computed.");
    cr_expect_null(strstr(text.data, "Losses by mechanism"));
    cr_expect_null(strstr(text.data, "Assumptions and notes"));
    sm_text_release(&text);
    cr_assert_eq(sm_report_check(&s.c, &s.result, SM_FORMAT_JSON, NULL, &text, NULL), SM_OK);
    text_contains(&text, "\"points\": []");
    text_contains(&text, "\"dc_bus_v\": null");
    sm_text_release(&text);
}

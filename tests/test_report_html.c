/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The page of a check.  Expected: HTML's own rules, and the numbers of the result behind it. */
#include "report/report_html.h"

#include "report/deliver.h"
#include "support/sample.h"
#include "swapmargin/report.h"

#include <criterion/criterion.h>

#include <ctype.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static void page_of(const struct sample *s, struct sm_text *out)
{
    sm_text_init(out);
    cr_assert_eq(sm_report_check(&s->c, &s->result, SM_FORMAT_HTML, NULL, out, NULL), SM_OK);
}

static void has(const struct sm_text *page, const char *piece)
{
    cr_expect(strstr(page->data, piece) != NULL, "%s is not in the page", piece);
}

static void has_not(const struct sm_text *page, const char *piece)
{
    cr_expect(strstr(page->data, piece) == NULL, "%s is in the page", piece);
}

static size_t count(const char *text, const char *piece)
{
    size_t n = 0;
    for (const char *at = text; (at = strstr(at, piece)) != NULL; at += strlen(piece)) {
        n++;
    }
    return n;
}

Test(report_html, the_document_stands_in_its_order)
{
    static const char *const order[] = {
        "<!DOCTYPE html>",  "<header>",      "CONDITIONAL",   "<main>",          "id=\"settle\"",
        "id=\"kelvins\"",   "id=\"margin\"", "id=\"losses\"", "id=\"cautions\"", "id=\"sign\"",
        "id=\"made-from\"", "</main>",       "<nav",          "<footer>",        "</html>",
    };
    struct sample s;
    struct sm_text page;
    sample_make(&s);
    page_of(&s, &page);
    const char *at = page.data;
    for (size_t i = 0; i < sizeof order / sizeof order[0]; i++) {
        at = strstr(at, order[i]);
        cr_assert(at != NULL, "%s is not there, or not in its place", order[i]);
    }
    sm_text_release(&page);
}

Test(report_html, every_condition_has_a_box_and_every_caution_is_there)
{
    struct sample s;
    struct sm_text page;
    sample_make(&s);
    page_of(&s, &page);
    cr_expect_eq(count(page.data, "type=\"checkbox\""), s.result.conditions.count);
    has(&page, "The bus capacitors hold a lethal charge");
    has(&page, "below 50 V");
    has(&page, "licensed practitioner");
    sm_text_release(&page);
}

Test(report_html, a_cell_shows_its_number_rounded_and_keeps_more_digits)
{
    struct sample s;
    struct sm_text page;
    char cell[80];
    sample_make(&s);
    page_of(&s, &page);
    (void)snprintf(cell, sizeof cell, " data-v=\"%.10g\">%.1f</td>", s.result.points[0].margin,
                   s.result.points[0].margin);
    has(&page, cell);
    sm_text_release(&page);
}

Test(report_html, nothing_is_fetched_and_nothing_is_run)
{
    static const char *const never[] = { "http:",  "https:",  "src=",       "url(",  "@import",
                                         "style=", "onload",  "onclick",    "<link", "<iframe",
                                         "<img",   "<script", "javascript:" };
    struct sample s;
    struct sm_text page;
    sample_make(&s);
    page_of(&s, &page);
    for (size_t i = 0; i < sizeof never / sizeof never[0]; i++) {
        has_not(&page, never[i]);
    }
    has(&page, "default-src 'none'");
    sm_text_release(&page);
}

Test(report_html, text_from_the_files_stays_text)
{
    struct sample s;
    struct sm_text page;
    sample_make(&s);
    (void)snprintf(s.part, sizeof s.part, "<script>x</script>\" onload=\"y");
    (void)snprintf(s.name, sizeof s.name, "a\u202Eb</title>&amp;\u05D0\u05D1 7");
    page_of(&s, &page);
    has_not(&page, "<script");
    has_not(&page, " onload=\"");
    has_not(&page, "\u202E");
    has(&page, "&#60;script&#62;x&#60;/script&#62;&#34; onload=&#34;y");
    has(&page, "a\uFFFDb&#60;/title&#62;&#38;amp;\u2068\u05D0\u05D1\u2069 7");
    cr_expect_eq(count(page.data, "</title>"), count(page.data, "<title>"));
    sm_text_release(&page);
}

Test(report_html, ids_are_unique)
{
    struct sample s;
    struct sm_text page;
    sample_make(&s);
    page_of(&s, &page);
    for (const char *at = page.data; (at = strstr(at, " id=\"")) != NULL; at++) {
        char id[80];
        const size_t length = strcspn(at + 5, "\"") + 6;
        cr_assert_lt(length, sizeof id);
        memcpy(id, at, length);
        id[length] = '\0';
        cr_expect_eq(count(page.data, id), (size_t)1, "%s is there twice", id);
    }
    sm_text_release(&page);
}

Test(report_html, every_table_has_a_caption_and_every_head_its_scope)
{
    struct sample s;
    struct sm_text page;
    sample_make(&s);
    page_of(&s, &page);
    cr_expect_gt(count(page.data, "<table"), (size_t)3);
    cr_expect_eq(count(page.data, "<table"), count(page.data, "<caption>"));
    has_not(&page, "<caption></caption>");
    cr_expect_eq(count(page.data, "<th>"), (size_t)0);
    cr_expect_eq(count(page.data, "<th "), count(page.data, "<th scope="));
    sm_text_release(&page);
}

Test(report_html, every_picture_says_what_it_shows)
{
    struct sample s;
    struct sm_text page;
    sample_make(&s);
    page_of(&s, &page);
    cr_expect_gt(count(page.data, "<svg "), (size_t)2);
    cr_expect_eq(count(page.data, "<svg "), count(page.data, "role=\"img\" aria-label=\""));
    cr_expect_eq(count(page.data, "<svg "), count(page.data, "</desc>"));
    has_not(&page, "aria-label=\"\"");
    has_not(&page, "-shows\"></desc>");
    sm_text_release(&page);
}

Test(report_html, a_result_without_equilibrium_has_words_in_place_of_numbers)
{
    struct sample s;
    struct sm_text page;
    sample_make(&s);
    sample_run_away(&s);
    page_of(&s, &page);
    has(&page, "class=\"verdict REJECT\"");
    has(&page, "thermal runaway");
    has(&page, "<strong class=\"bad\">runaway</strong>");
    has_not(&page, "nan");
    has_not(&page, "inf<");
    sm_text_release(&page);
}

Test(report_html, a_number_that_is_not_finite_is_told_and_nothing_is_written)
{
    struct sheet sheet;
    struct sm_text out;
    struct sm_faults faults;
    sheet_init(&sheet);
    sm_text_init(&out);
    sm_faults_init(&faults);
    struct sheet_block *plot = sheet_add(&sheet, SHEET_PLOT, "p", "");
    const double nothing = 0.0;
    sheet_level(&sheet, plot, &(struct plot_level){ "l", nothing / nothing, false });
    cr_expect_eq(deliver_sheet(&sheet, SM_FORMAT_HTML, NULL, &out, &faults), SM_ERR_DOMAIN);
    cr_expect_eq(faults.count, (size_t)1);
    cr_expect_eq(out.length, (size_t)0);
    sm_faults_release(&faults);
    sm_text_release(&out);
}

/* ----------------------------------------------------------------- pictures */

static void plot_page(struct sheet *sheet, struct sm_text *out)
{
    sm_text_init(out);
    report_html(out, sheet);
    cr_assert(out->data != NULL);
    cr_expect_not(out->out_of_memory);
    cr_expect(strstr(out->data, "nan") == NULL);
    sheet_release(sheet);
}

Test(report_html, a_plot_of_one_point_or_of_nothing_is_drawn)
{
    struct sheet sheet;
    struct sm_text out;
    sheet_init(&sheet);
    (void)sheet_add(&sheet, SHEET_HEADING, "h", "");
    for (int logarithmic = 0; logarithmic < 2; logarithmic++) {
        const struct plot_axis x = { "x", "Hz", logarithmic == 1, true, 0.0, 0.0 };
        const struct plot_axis y = { "y", "K", false, false, 0.0, 0.0 };
        struct sheet_block *block = sheet_add(&sheet, SHEET_PLOT, "nothing", "");
        block->plot.x = x;
        block->plot.y = y;
        block = sheet_add(&sheet, SHEET_PLOT, "one", ""); /* the one before may have moved */
        block->plot.x = x;
        block->plot.y = y;
        struct plot_place place = { 5.0, 5.0 };
        sheet_curve(&sheet, block, &(struct plot_curve){ "c", 0, &place, 1, true });
        sheet_mark(&sheet, block, &(struct plot_mark){ "m", "tip", place, PLOT_FULL });
    }
    plot_page(&sheet, &out);
    cr_expect_eq(count(out.data, "<svg "), (size_t)4);
    sm_text_release(&out);
}

/* The field's ends are what ticks_widen() and the picture's size make of them; two points of a
 * curve keep the order and direction of their values. */
Test(report_html, a_curve_rises_where_its_values_rise)
{
    struct sheet sheet;
    struct sm_text out;
    sheet_init(&sheet);
    (void)sheet_add(&sheet, SHEET_HEADING, "h", "");
    struct sheet_block *plot = sheet_add(&sheet, SHEET_PLOT, "p", "");
    plot->plot.x = (struct plot_axis){ "x", "", false, false, 0.0, 0.0 };
    plot->plot.y = (struct plot_axis){ "y", "", false, false, 0.0, 0.0 };
    struct plot_place places[] = { { 0.0, 0.0 }, { 10.0, 10.0 } };
    sheet_curve(&sheet, plot, &(struct plot_curve){ "", 0, places, 2, false });
    plot_page(&sheet, &out);
    const char *path = strstr(out.data, "<path class=\"pen0\" d=\"M");
    cr_assert(path != NULL);
    double x0 = 0.0, y0 = 0.0, x1 = 0.0, y1 = 0.0;
    cr_assert_eq(sscanf(path, "<path class=\"pen0\" d=\"M%lf %lfL%lf %lf", &x0, &y0, &x1, &y1), 4);
    cr_expect_gt(x1, x0 + 200.0);
    cr_expect_lt(y1, y0 - 50.0); /* upwards is towards the picture's upper edge */
    sm_text_release(&out);
}

Test(report_html, a_script_is_there_only_for_a_table_that_can_be_sorted)
{
    for (int sortable = 0; sortable < 2; sortable++) {
        struct sheet sheet;
        struct sm_text out;
        sheet_init(&sheet);
        (void)sheet_add(&sheet, SHEET_HEADING, "h", "");
        struct sheet_block *table = sheet_add(&sheet, SHEET_TABLE, "t", "");
        const struct sheet_column column = { "", "a", "", SHEET_LEFT, false, false };
        sheet_columns(&sheet, table, &column, 1);
        sheet_text(&sheet, table, "x");
        table->sortable = sortable == 1;
        plot_page(&sheet, &out);
        cr_expect_eq(count(out.data, "<script>"), (size_t)sortable);
        cr_expect_eq(count(out.data, "script-src 'sha256-"), (size_t)sortable);
        sm_text_release(&out);
    }
}

Test(report_html, a_table_without_rows_is_left_out)
{
    struct sheet sheet;
    struct sm_text out;
    sheet_init(&sheet);
    (void)sheet_add(&sheet, SHEET_HEADING, "h", "");
    struct sheet_block *table = sheet_add(&sheet, SHEET_TABLE, "t", "");
    const struct sheet_column column = { "", "a", "", SHEET_LEFT, false, false };
    sheet_columns(&sheet, table, &column, 1);
    plot_page(&sheet, &out);
    cr_expect_eq(count(out.data, "<table"), (size_t)0);
    sm_text_release(&out);
}

/* A line to write on is a field on a page; a bar made of characters is for text. */
Test(report_html, blanks_are_fields_and_drawn_columns_are_left_out)
{
    static const struct sheet_column columns[] = { { "", "a", "", SHEET_LEFT, false, true },
                                                   { "", "bar", "", SHEET_DRAWN, false, false },
                                                   { "", "read", "", SHEET_LEFT, false, false } };
    struct sheet sheet;
    struct sm_text out;
    sheet_init(&sheet);
    (void)sheet_add(&sheet, SHEET_HEADING, "h", "");
    struct sheet_block *table = sheet_add(&sheet, SHEET_TABLE, "t", "");
    sheet_columns(&sheet, table, columns, 3);
    sheet_text(&sheet, table, "x");
    sheet_text(&sheet, table, "####");
    sheet_text(&sheet, table, "______");
    plot_page(&sheet, &out);
    cr_expect_eq(count(out.data, "####"), (size_t)0);
    cr_expect_eq(count(out.data, "<input type=\"text\" class=\"blank\""), (size_t)1);
    cr_expect_eq(count(out.data, "<th scope=\"col\""), (size_t)2);
    sm_text_release(&out);
}

/* Two points: along the lower line and back along the upper one. */
Test(report_html, a_band_goes_there_and_back)
{
    struct sheet sheet;
    struct sm_text out;
    struct plot_place low[] = { { 0.0, 1.0 }, { 10.0, 1.0 } };
    struct plot_place high[] = { { 0.0, 9.0 }, { 10.0, 9.0 } };
    double x[4] = { 0.0 }, y[4] = { 0.0 };
    sheet_init(&sheet);
    (void)sheet_add(&sheet, SHEET_HEADING, "h", "");
    struct sheet_block *plot = sheet_add(&sheet, SHEET_PLOT, "p", "");
    plot->plot.x = (struct plot_axis){ "x", "", false, false, 0.0, 0.0 };
    plot->plot.y = plot->plot.x;
    sheet_curve(&sheet, plot, &(struct plot_curve){ "", 0, low, 2, false });
    sheet_band(&sheet, plot, &(struct plot_band){ 1, low, high, 2 });
    plot_page(&sheet, &out);
    const char *path = strstr(out.data, "<path class=\"band1\" d=\"");
    cr_assert(path != NULL);
    cr_assert_eq(sscanf(path, "<path class=\"band1\" d=\"M%lf %lfL%lf %lfL%lf %lfL%lf %lfZ\"",
                        &x[0], &y[0], &x[1], &y[1], &x[2], &y[2], &x[3], &y[3]),
                 8);
    cr_expect_gt(x[1], x[0]);
    cr_expect_float_eq(x[2], x[1], 1e-9);
    cr_expect_float_eq(x[3], x[0], 1e-9);
    cr_expect_float_eq(y[1], y[0], 1e-9);
    cr_expect_lt(y[2], y[1]); /* upwards is towards the picture's upper edge */
    sm_text_release(&out);
}

/* Readings by the dozen are not read out one by one; a point that counts is. */
Test(report_html, small_points_are_drawn_and_not_told)
{
    struct sheet sheet;
    struct sm_text out;
    sheet_init(&sheet);
    (void)sheet_add(&sheet, SHEET_HEADING, "h", "");
    struct sheet_block *plot = sheet_add(&sheet, SHEET_PLOT, "p", "");
    plot->plot.x = (struct plot_axis){ "x", "", false, false, 0.0, 0.0 };
    plot->plot.y = plot->plot.x;
    sheet_mark(&sheet, plot, &(struct plot_mark){ "", "one", { 1.0, 1.0 }, PLOT_DOT });
    sheet_mark(&sheet, plot, &(struct plot_mark){ "", "two", { 2.0, 2.0 }, PLOT_RING });
    sheet_mark(&sheet, plot, &(struct plot_mark){ "", "three", { 3.0, 3.0 }, PLOT_CROSS });
    plot_page(&sheet, &out);
    cr_expect_eq(count(out.data, "<title>one</title>"), (size_t)1);
    cr_expect_eq(count(out.data, "class=\"mark open\""), (size_t)1);
    cr_expect_eq(count(out.data, "class=\"cross\""), (size_t)2);
    cr_expect_eq(count(out.data, "Point: "), (size_t)1);
    cr_expect_eq(count(out.data, "Point: three."), (size_t)1);
    sm_text_release(&out);
}

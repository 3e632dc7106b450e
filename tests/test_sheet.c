/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Expected: the rules of sheet.h, and conversions by hand. */
#include "report/sheet.h"

#include "base/text.h"
#include "report/deliver.h"

#include <criterion/criterion.h>
#include <math.h>
#include <string.h>

#define NOTHING ((double)NAN)

static const struct sheet_column one_column[] = {
    { "", "loss", "kW", SHEET_NUMBER, false, false },
};

static void number(struct sheet *sheet)
{
    struct sheet_block *block = sheet_add(sheet, SHEET_TABLE, "", "");
    sheet_columns(sheet, block, one_column, 1);
    sheet_number(sheet, block, NOTHING);
}

static void bar(struct sheet *sheet, struct sheet_bar bar)
{
    sheet_bar(sheet, sheet_add(sheet, SHEET_BARS, "", ""), &bar);
}

static void bar_value(struct sheet *sheet)
{
    bar(sheet, (struct sheet_bar){ .label = "", .value = NOTHING });
}

static void bar_from(struct sheet *sheet)
{
    bar(sheet, (struct sheet_bar){ .label = "", .from = (double)INFINITY });
}

static void bar_to(struct sheet *sheet)
{
    bar(sheet, (struct sheet_bar){ .label = "", .to = NOTHING });
}

static void curve(struct sheet *sheet)
{
    struct plot_place places[] = { { 0.0, 1.0 }, { 1.0, NOTHING } };
    sheet_curve(sheet, sheet_add(sheet, SHEET_PLOT, "", ""),
                &(struct plot_curve){ .label = "", .points = places, .n = 2 });
}

static void curve_across(struct sheet *sheet)
{
    struct plot_place places[] = { { NOTHING, 1.0 } };
    sheet_curve(sheet, sheet_add(sheet, SHEET_PLOT, "", ""),
                &(struct plot_curve){ .label = "", .points = places, .n = 1 });
}

static void band(struct sheet *sheet)
{
    struct plot_place low[] = { { 0.0, 1.0 } }, high[] = { { 0.0, NOTHING } };
    sheet_band(sheet, sheet_add(sheet, SHEET_PLOT, "", ""), &(struct plot_band){ 0, low, high, 1 });
}

static void level(struct sheet *sheet)
{
    sheet_level(sheet, sheet_add(sheet, SHEET_PLOT, "", ""),
                &(struct plot_level){ .label = "", .y = NOTHING });
}

static void mark(struct sheet *sheet, struct plot_place at)
{
    sheet_mark(sheet, sheet_add(sheet, SHEET_PLOT, "", ""),
               &(struct plot_mark){ .label = "", .tip = "", .at = at });
}

static void mark_across(struct sheet *sheet)
{
    mark(sheet, (struct plot_place){ NOTHING, 0.0 });
}

static void mark_up(struct sheet *sheet)
{
    mark(sheet, (struct plot_place){ 0.0, NOTHING });
}

/* Each part that holds a number, as text and as a page: told as a fault, and nothing is written. */
Test(sheet, a_number_that_is_not_finite_never_goes_out)
{
    static void (*const makes[])(struct sheet *) = { number,      bar_value,    bar_from, bar_to,
                                                     curve,       curve_across, band,     level,
                                                     mark_across, mark_up };
    const struct sm_style style = { .utf8 = true, .width = 80 };
    for (size_t i = 0; i < 2 * (sizeof makes / sizeof makes[0]); i++) {
        struct sheet sheet;
        struct sm_faults faults;
        struct sm_text out;
        sheet_init(&sheet);
        sm_faults_init(&faults);
        sm_text_init(&out);
        makes[i / 2](&sheet);
        /* what comes after it does not make it good again */
        bar(&sheet, (struct sheet_bar){ .label = "" });
        cr_expect_eq(deliver_sheet(&sheet, i % 2 == 0 ? SM_FORMAT_TEXT : SM_FORMAT_HTML, &style,
                                   &out, &faults),
                     SM_ERR_DOMAIN, "%zu", i);
        cr_assert_eq(faults.count, 1, "%zu", i);
        cr_expect_str_eq(faults.list[0].message, "a number of the result is not finite");
        cr_expect_str_eq(text_words(&out), "", "%zu", i);
        sm_faults_release(&faults);
    }
}

Test(sheet, cells_take_the_unit_of_their_column_in_turn)
{
    static const struct sheet_column columns[] = {
        { "", "loss", "kW", SHEET_NUMBER, false, false },
        { "", "junction", "degC", SHEET_NUMBER, false, false },
        { "", "factor", "", SHEET_NUMBER, false, false },
    };
    struct sheet sheet;
    sheet_init(&sheet);
    struct sheet_block *block = sheet_add(&sheet, SHEET_TABLE, "", "");
    cr_expect_eq(sheet_rows(block), 0); /* no columns yet */
    sheet_columns(&sheet, block, columns, 3);
    for (int row = 0; row < 2; row++) {
        sheet_number(&sheet, block, 1250.0);
        sheet_number(&sheet, block, 398.15);
        sheet_number(&sheet, block, 0.85);
    }
    cr_expect_eq(sheet_rows(block), 2);
    cr_expect_float_eq(block->cells[3].number, 1.25, 1e-12);
    cr_expect_float_eq(block->cells[4].number, 125.0, 1e-12);
    cr_expect_float_eq(block->cells[5].number, 0.85, 0.0);
    sheet_release(&sheet);
    sheet_release(&sheet);
}

/* A column's decimals: by its largest number, a tenth for temperatures, none for whole numbers. */
Test(sheet, decimals_follow_the_largest_number_of_a_column)
{
    static const struct {
        const char *unit;
        double number;
        int decimals;
    } rows[] = {
        { "W", 12345.6, 0 }, { "W", 9999.5, 1 }, { "W", 10.5, 1 },    { "W", 9.99, 2 },
        { "W", 1.5, 2 },     { "W", 0.95, 3 },   { "W", 0.05, 4 },    { "W", 0.0051, 5 },
        { "W", 250.0, 0 },   { "W", 0.0, 0 },    { "K", 12345.6, 1 }, { "degC", 300.15, 1 },
        { "W", -12.5, 1 },
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        const struct sheet_column column = { "", "", rows[i].unit, SHEET_NUMBER, false, false };
        struct sheet sheet;
        sheet_init(&sheet);
        struct sheet_block *block = sheet_add(&sheet, SHEET_TABLE, "", "");
        sheet_columns(&sheet, block, &column, 1);
        sheet_text(&sheet, block, "-");
        sheet_number(&sheet, block, rows[i].number);
        cr_expect_eq(sheet_decimals(block, 0), rows[i].decimals, "%g %s", rows[i].number,
                     rows[i].unit);
        sheet_release(&sheet);
    }
}

/* Numbers without a unit: each with its three digits, by hand; four decimals are the most. */
Test(sheet, a_column_without_a_unit_shows_the_digits_of_its_smallest_number)
{
    static const struct {
        double a, b;
        int decimals;
    } rows[] = {
        { 60.0, 0.12, 2 },  { 14.0, 0.46, 2 },  { 2.5, 0.8, 1 },        { 0.573, 1.147, 3 },
        { 80.0, 0.125, 3 }, { 3.0, 0.0, 0 },    { 0.0, 0.0, 0 },        { 1.0, -0.25, 2 },
        { 7.0, 1e-7, 4 },   { 0.9996, 1.0, 0 }, { 12345.6, 1000.4, 0 },
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        const struct sheet_column column = { "", "", "", SHEET_NUMBER, false, false };
        struct sheet sheet;
        sheet_init(&sheet);
        struct sheet_block *block = sheet_add(&sheet, SHEET_TABLE, "", "");
        sheet_columns(&sheet, block, &column, 1);
        sheet_number(&sheet, block, rows[i].a);
        sheet_number(&sheet, block, rows[i].b);
        cr_expect_eq(sheet_decimals(block, 0), rows[i].decimals, "%g %g", rows[i].a, rows[i].b);
        sheet_release(&sheet);
    }
}

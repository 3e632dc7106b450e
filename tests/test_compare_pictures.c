/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * What a comparison draws.  Expected: the numbers of the rows, and the rules of the pictures. */
#include "report/compare_pictures.h"

#include <criterion/criterion.h>

#include <string.h>

enum { ROWS = 20 };

struct rows {
    struct ranked row[ROWS];
    struct sm_drive drive;
    struct comparison about;
    struct sheet sheet;
};

/* Margins 5, 10 ... K, verdicts in turn, a price for the first two only. */
static void rows_make(struct rows *r, size_t n)
{
    static char part[] = "part";
    static const enum sm_standing standings[] = { SM_STANDING_APPROVE, SM_STANDING_CONDITIONAL,
                                                  SM_STANDING_REJECT };
    memset(r, 0, sizeof *r);
    r->drive.test.required_margin = 15.0;
    r->about.drive = &r->drive;
    for (size_t i = 0; i < n; i++) {
        struct sm_candidate *numbers = &r->row[i].candidate.numbers;
        r->row[i].candidate.part = part;
        r->row[i].name = part;
        r->row[i].rank = i + 1;
        numbers->standing = standings[i % 3];
        numbers->margin = (struct sm_optional){ true, 5.0 * (double)(i + 1) };
        numbers->price_set = (struct sm_optional){ i < 2, 100.0 + (double)i };
    }
    sheet_init(&r->sheet);
}

Test(compare_pictures, each_margin_is_a_bar_from_zero_and_a_rejected_one_is_hatched)
{
    struct rows r;
    rows_make(&r, 3);
    r.row[1].candidate.numbers.margin.value = -4.0;
    pictures_compare(&r.sheet, &r.about, r.row, 3);
    const struct sheet_block *bars = &r.sheet.blocks[0];
    cr_assert_eq(bars->kind, SHEET_BARS);
    cr_assert_eq(bars->n_bars, (size_t)3);
    cr_expect(bars->pages_only);
    cr_expect_float_eq(bars->bars[1].from, -4.0, 1e-12);
    cr_expect_float_eq(bars->bars[1].to, 0.0, 1e-12);
    cr_expect_eq(bars->bars[0].fill, SHEET_FILL_FREE);
    cr_expect_eq(bars->bars[2].fill, SHEET_FILL_OVER);
    cr_expect_float_eq(bars->scale.low, -4.0, 1e-12);
    cr_expect_float_eq(bars->scale.high, 15.0, 1e-12); /* the required margin is on it */
    cr_expect_float_eq(bars->scale.mark_at, 15.0, 1e-12);
    sheet_release(&r.sheet);
}

Test(compare_pictures, the_verdict_is_a_shape_beside_price_and_margin)
{
    struct rows r;
    rows_make(&r, 3);
    r.row[2].candidate.numbers.price_set = (struct sm_optional){ true, 50.0 };
    pictures_compare(&r.sheet, &r.about, r.row, 3);
    const struct sheet_plot *plot = &r.sheet.blocks[1].plot;
    cr_assert_eq(plot->n_marks, (size_t)3);
    cr_expect_eq(plot->marks[0].shape, PLOT_FULL);
    cr_expect_eq(plot->marks[1].shape, PLOT_OPEN);
    cr_expect_eq(plot->marks[2].shape, PLOT_CROSS);
    cr_expect_float_eq(plot->marks[2].at.x, 50.0, 1e-12);
    cr_expect_float_eq(plot->marks[2].at.y, 15.0, 1e-12);
    sheet_release(&r.sheet);
}

Test(compare_pictures, one_price_alone_is_no_picture)
{
    struct rows r;
    rows_make(&r, 3);
    r.row[1].candidate.numbers.price_set.given = false;
    pictures_compare(&r.sheet, &r.about, r.row, 3);
    cr_expect_eq(r.sheet.count, (size_t)1);
    sheet_release(&r.sheet);
}

Test(compare_pictures, without_any_margin_nothing_is_drawn)
{
    struct rows r;
    rows_make(&r, 2);
    r.row[0].candidate.numbers.margin.given = false;
    r.row[1].candidate.numbers.margin.given = false;
    pictures_compare(&r.sheet, &r.about, r.row, 2);
    cr_expect_eq(r.sheet.count, (size_t)0);
    sheet_release(&r.sheet);
}

Test(compare_pictures, of_many_candidates_the_first_are_shown_and_it_is_said)
{
    struct rows r;
    rows_make(&r, ROWS);
    pictures_compare(&r.sheet, &r.about, r.row, ROWS);
    cr_expect_eq(r.sheet.blocks[0].n_bars, (size_t)COMPARE_PICTURED);
    cr_expect_str_eq(r.sheet.blocks[0].title, "Smallest margin of each, the first 16 of 20");
    sheet_release(&r.sheet);
}

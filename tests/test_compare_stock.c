/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Expected outcomes: the order in compare_stock.h, worked by hand. */
#include "cmd/compare_stock.h"

#include <criterion/criterion.h>

enum { MODULES = 4, DRIVES = 2 };

static struct matrix_cell cell(enum sm_standing standing, double margin, double price)
{
    return (struct matrix_cell){ .standing = standing,
                                 .margin = sm_given(margin),
                                 .price_set = price > 0.0
                                                  ? sm_given(price)
                                                  : (struct sm_optional){ .given = false } };
}

/* Which part of m0, m1, ... comes first when each covers both drives. */
static const char *first_of(const struct matrix_cell *cells, size_t n_modules, bool strict,
                            size_t *n)
{
    static char names[MODULES][3] = { "m0", "m1", "m2", "m3" };
    static char *parts[MODULES] = { names[0], names[1], names[2], names[3] };
    struct file_list files = { .path = parts, .n = n_modules };
    struct stock_row rows[MODULES];
    struct sm_faults faults;
    sm_faults_init(&faults);
    const struct stock_matrix matrix = { cells, parts, &files, DRIVES, strict };
    cr_assert_eq(compare_stock(&matrix, rows, n, &faults), SM_OK);
    sm_faults_release(&faults);
    return *n > 0 ? rows[0].part : "none";
}

Test(compare_stock, of_modules_that_cover_as_much_the_cheapest_set_is_taken)
{
    const struct matrix_cell c[MODULES * DRIVES] = {
        cell(SM_STANDING_APPROVE, 60.0, 264.0),     cell(SM_STANDING_APPROVE, 60.0, 264.0),
        cell(SM_STANDING_APPROVE, 60.0, 0.0),       cell(SM_STANDING_APPROVE, 60.0, 0.0),
        cell(SM_STANDING_CONDITIONAL, 20.0, 162.0), cell(SM_STANDING_CONDITIONAL, 20.0, 162.0),
        cell(SM_STANDING_REJECT, -5.0, 10.0),       cell(SM_STANDING_REJECT, -5.0, 10.0),
    };
    size_t n = 0;
    cr_expect_str_eq(first_of(c, MODULES, false, &n), "m2");
    cr_expect_eq(n, 1); /* it covers all */
    cr_expect_str_eq(first_of(c, MODULES, true, &n), "m0");
    cr_expect_str_eq(first_of(c, 2, false, &n), "m0"); /* none given comes last */
    cr_expect_str_eq(first_of(c, 0, false, &n), "none");
}

Test(compare_stock, at_the_same_price_the_larger_margin_is_taken_and_then_the_first_name)
{
    const struct matrix_cell c[MODULES * DRIVES] = {
        cell(SM_STANDING_APPROVE, 30.0, 90.0), cell(SM_STANDING_APPROVE, 20.0, 90.0),
        cell(SM_STANDING_APPROVE, 35.0, 90.0), cell(SM_STANDING_APPROVE, 20.0, 90.0),
        cell(SM_STANDING_APPROVE, 35.0, 90.0), cell(SM_STANDING_APPROVE, 20.0, 90.0),
        cell(SM_STANDING_APPROVE, 50.0, 0.0),  cell(SM_STANDING_APPROVE, 50.0, 0.0),
    };
    size_t n = 0;
    cr_expect_str_eq(first_of(c, MODULES, false, &n), "m1");
}

/* What is refused in a drive says nothing about the module where it is used. */
Test(compare_stock, price_and_margin_are_those_of_drives_that_are_covered)
{
    const struct matrix_cell c[MODULES * DRIVES] = {
        cell(SM_STANDING_APPROVE, 30.0, 90.0), cell(SM_STANDING_REJECT, 99.0, 10.0),
        cell(SM_STANDING_APPROVE, 30.0, 80.0), cell(SM_STANDING_REJECT, 1.0, 80.0),
        cell(SM_STANDING_APPROVE, 31.0, 80.0), cell(SM_STANDING_REJECT, 1.0, 80.0),
        cell(SM_STANDING_APPROVE, 29.0, 85.0), cell(SM_STANDING_REJECT, 99.0, 80.0),
    };
    size_t n = 0;
    cr_expect_str_eq(first_of(c, MODULES, false, &n), "m2");
    cr_expect_eq(n, 1);
}

Test(compare_stock, more_drives_count_before_any_price)
{
    const struct matrix_cell c[MODULES * DRIVES] = {
        cell(SM_STANDING_APPROVE, 30.0, 10.0),
        cell(SM_STANDING_REJECT, -1.0, 10.0),
        cell(SM_STANDING_APPROVE, 30.0, 500.0),
        cell(SM_STANDING_APPROVE, 30.0, 500.0),
    };
    size_t n = 0;
    cr_expect_str_eq(first_of(c, 2, false, &n), "m1");
    cr_expect_eq(n, 1);
}

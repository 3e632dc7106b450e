/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Expected bytes: RFC 4180, section 2, and the house's rule for texts that look like a formula. */
#include <criterion/criterion.h>

#include "report/csv.h"

#include <string.h>

static void cell_is(const char *text, const char *expected)
{
    struct sm_text out;
    sm_text_init(&out);
    struct csv csv = { .out = &out };
    csv_text(&csv, text);
    cr_expect_str_eq(out.data ? out.data : "", expected);
    sm_text_release(&out);
}

Test(csv, cells_with_a_comma_a_quote_or_a_line_end_are_quoted_as_a_whole)
{
    cell_is("plain words", "plain words");
    cell_is("", "");
    cell_is(NULL, "");
    cell_is("a, b", "\"a, b\"");
    cell_is("6\" pipe", "\"6\"\" pipe\"");
    cell_is("one\r\ntwo", "\"one\r\ntwo\"");
    cell_is("a;b", "\"a;b\"");
    cell_is("\u00b0C", "\u00b0C");
}

Test(csv, a_text_that_a_spreadsheet_would_take_for_a_formula_is_disarmed)
{
    cell_is("=1+1", "'=1+1");
    cell_is("+49 1", "'+49 1");
    cell_is("-10 V", "'-10 V");
    cell_is("@SUM(A1)", "'@SUM(A1)");
    cell_is("\t=1", "\"'\t=1\"");
    cell_is(" =1", "' =1");
    cell_is("=HYPERLINK(\"x\",\"y\")", "\"'=HYPERLINK(\"\"x\"\",\"\"y\"\")\"");
    cell_is("a=1", "a=1");
    cell_is("'quoted", "'quoted");
}

Test(csv, numbers_stay_numbers_and_lines_end_with_cr_lf)
{
    struct sm_text out;
    sm_text_init(&out);
    struct csv csv = { .out = &out };
    const char *const names[] = { "a", "b,c" };
    csv_header(&csv, names, 2);
    csv_number(&csv, "-12.5");
    csv_number(&csv, "");
    csv_end(&csv);
    csv_text(&csv, "x");
    csv_end(&csv);
    cr_expect_str_eq(out.data, "a,\"b,c\"\r\n-12.5,\r\nx\r\n");
    sm_text_release(&out);
}

Test(csv, a_json_number_has_the_digits_of_json)
{
    struct sm_text out;
    sm_text_init(&out);
    struct csv csv = { .out = &out };
    /* ten significant digits, whole numbers whole */
    json_t *values[] = { json_real(-0.12345678901234), json_integer(60), json_null() };
    for (size_t i = 0; i < 3; i++) {
        csv_json(&csv, values[i]);
        json_decref(values[i]);
    }
    cr_expect_str_eq(out.data, "-0.123456789,60,");
    sm_text_release(&out);
}

/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Tables of a page.  Expected: the cells that went in, and the rules of html_parts.h. */
#include "report/html_parts.h"

#include <criterion/criterion.h>

#include <stdio.h>
#include <string.h>

static size_t count(const char *text, const char *piece)
{
    size_t n = 0;
    for (const char *at = text; (at = strstr(at, piece)) != NULL; at += strlen(piece)) {
        n++;
    }
    return n;
}

/* A key column, then four groups of three; the cell of row r and column c holds "rc". */
static struct sheet_block *table_make(struct sheet *sheet, bool sortable)
{
    static const char *const groups[] = { "g1", "g2", "g3", "g4" };
    sheet_init(sheet);
    struct sheet_block *table = sheet_add(sheet, SHEET_TABLE, "t", "");
    table->sortable = sortable;
    sheet_columns(sheet, table, &(struct sheet_column){ "", "key", "", SHEET_LEFT, false, true },
                  1);
    for (size_t i = 0; i < 12; i++) {
        sheet_columns(sheet, table,
                      &(struct sheet_column){ groups[i / 3], "c", "K", SHEET_LEFT, false, false },
                      1);
    }
    for (size_t cell = 0; cell < 26; cell++) {
        sheet_text(
            sheet, table,
            sheet_format(sheet, "%c%zu", cell < 13 ? 'a' : 'b', cell < 13 ? cell : cell - 13));
    }
    return table;
}

static void table_write(struct sm_text *out, size_t most, bool sortable)
{
    struct sheet sheet;
    sm_text_init(out);
    html_table(out, table_make(&sheet, sortable), "id", most);
    cr_assert_not(out->out_of_memory);
    sheet_release(&sheet);
}

/* Room for 8 columns: the key and two whole groups, twice. */
Test(html_table, a_wide_table_is_cut_between_groups_and_repeats_what_names_its_rows)
{
    struct sm_text out;
    table_write(&out, 8, false);
    cr_expect_eq(count(out.data, "<table"), (size_t)2);
    cr_expect_eq(count(out.data, "<table id=\"id\""), (size_t)1);
    cr_expect_eq(count(out.data, "<table id=\"id-2\""), (size_t)1);
    cr_expect_eq(count(out.data, "<caption>t, continued</caption>"), (size_t)1);
    cr_expect_eq(count(out.data, ">b0</th>"), (size_t)2);
    cr_expect_eq(count(out.data, ">b6</td></tr>"), (size_t)1);
    cr_expect_eq(count(out.data, "<th scope=\"row\" class=\"s\">b0</th><td class=\"s\">b7</td>"),
                 (size_t)1);
    for (size_t i = 1; i < 13; i++) {
        char cell[16];
        (void)snprintf(cell, sizeof cell, ">a%zu</td>", i);
        cr_expect_eq(count(out.data, cell), (size_t)1, "%s", cell);
    }
    sm_text_release(&out);
}

/* A group with more columns than there is room for is cut itself: 1 + 2 of 3 in the first part. */
Test(html_table, a_group_that_is_too_wide_is_cut_too)
{
    struct sm_text out;
    table_write(&out, 3, false);
    cr_expect_eq(count(out.data, "<table"), (size_t)8);
    cr_expect_eq(count(out.data, ">b2</td></tr>"), (size_t)1);
    cr_expect_eq(count(out.data, ">b3</td></tr>"), (size_t)1);
    sm_text_release(&out);
}

Test(html_table, one_that_fits_and_one_that_is_sorted_stay_whole)
{
    struct sm_text out;
    table_write(&out, 13, false);
    cr_expect_eq(count(out.data, "<table"), (size_t)1);
    sm_text_release(&out);
    table_write(&out, 8, true);
    cr_expect_eq(count(out.data, "<table"), (size_t)1);
    cr_expect_eq(count(out.data, " data-h=\"g1 c, K\""), (size_t)(3 * 3)); /* heads and two rows */
    sm_text_release(&out);
}

/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The original beside the candidate, as a page tells it.  Expected: the rows of the comparison, and
 * what two parts with one changed value must differ in. */
#include "report/sheet_check.h"

#include "support/fixture.h"
#include "support/near.h"
#include "swapmargin/engine.h"

#include <criterion/criterion.h>
#include <stdio.h>
#include <string.h>

struct bench {
    struct fixture candidate, original;
    double frequencies[3];
    struct sm_result result;
    struct sheet sheet;
};

static void bench_make(struct bench *b)
{
    static char part[] = "OLD-1";
    fixture_make(&b->candidate);
    fixture_make(&b->original);
    b->original.module.part = part;
    b->candidate.c.original = &b->original.module;
}

static void bench_write(struct bench *b, void (*write)(const struct check_sheet *))
{
    sm_result_init(&b->result);
    sheet_init(&b->sheet);
    cr_assert_eq(sm_run(&b->candidate.c, &b->result, NULL), SM_OK);
    write(&(struct check_sheet){ &b->sheet, &b->candidate.c, &b->result });
}

static void bench_end(struct bench *b)
{
    sheet_release(&b->sheet);
    sm_result_release(&b->result);
}

static const struct sheet_block *table(const struct bench *b, const char *title)
{
    for (size_t i = 0; i < b->sheet.count; i++)
        if (b->sheet.blocks[i].kind == SHEET_TABLE && strcmp(b->sheet.blocks[i].title, title) == 0)
            return &b->sheet.blocks[i];
    return NULL;
}

static bool is_said(const struct bench *b, const char *words)
{
    for (size_t i = 0; i < b->sheet.count; i++)
        if (b->sheet.blocks[i].kind == SHEET_PARAGRAPH && strstr(b->sheet.blocks[i].text, words))
            return true;
    return false;
}

/* The table of that title, which must be there. */
static const struct sheet_block *table_there(const struct bench *b, const char *title)
{
    const struct sheet_block *block = table(b, title);
    cr_assert_not_null(block, "no table '%s'", title);
    return block;
}

/* Cells of a row: title, candidate and original at 30 Hz, the same at 60 Hz, the last word. */
static const struct sheet_cell *row_of(const struct sheet_block *block, const char *title)
{
    for (size_t i = 0; block && i < block->n_cells; i += block->n_columns)
        if (strcmp(block->cells[i].text, title) == 0)
            return &block->cells[i];
    cr_assert_fail("no row '%s'", title);
    return NULL;
}

static void expect_margins(struct bench *b, const char *last)
{
    const struct sheet_block *block = table(b, "original at the points");
    cr_assert_not_null(block);
    cr_assert_eq(block->n_columns, (size_t)6);
    cr_expect_str_eq(block->columns[1].group, "30 Hz");
    cr_expect_str_eq(block->columns[3].group, "60 Hz");
    const struct sheet_cell *row = row_of(block, "margin");
    for (size_t i = 0; i < 2; i++) {
        const struct sm_point *old = &b->result.comparison.original->points[i];
        cr_expect_str_eq(row[1 + 2 * i].text,
                         sheet_quantity(&b->sheet, b->result.points[i].margin, "K"));
        cr_expect_str_eq(row[2 + 2 * i].text, sheet_quantity(&b->sheet, old->margin, "K"));
    }
    cr_expect_str_eq(row[5].text, last);
}

/* 5 mohm more in the IGBT: hotter at each frequency. */
Test(sheet_original, two_frequencies_stand_beside_each_other_and_worse_at_both_is_worse)
{
    struct bench b;
    bench_make(&b);
    for (int k = 0; k < 2; k++)
        b.candidate.v_igbt[k][1] += 0.005 * 400.0;
    bench_write(&b, sheet_original_page);
    expect_margins(&b, "worse");
    cr_expect(is_said(&b, "Where the candidate is worse"));
    bench_end(&b);
}

/* A part beside itself: no word at its rows, and nothing is worse. */
Test(sheet_original, a_part_beside_itself_is_nowhere_worse_and_its_values_are_one_sentence)
{
    struct bench b;
    bench_make(&b);
    bench_write(&b, sheet_original_page);
    expect_margins(&b, "");
    cr_expect(is_said(&b, "The candidate is nowhere worse."));
    cr_expect(is_said(&b, "The same in both: "));
    for (size_t i = 0; i < b.result.comparison.n_rows; i++) {
        const struct sm_compared *row = &b.result.comparison.rows[i];
        if (row->output_hz <= 0.0 && row->comparable)
            cr_expect(row->same);
    }
    bench_end(&b);
}

/* What only the original's file gives cannot be compared: it is named. */
Test(sheet_original, nowhere_worse_reaches_as_far_as_both_files_do)
{
    static void (*const writes[])(const struct check_sheet *) = { sheet_original,
                                                                  sheet_original_page };
    for (size_t i = 0; i < 2; i++) {
        struct bench b;
        bench_make(&b);
        b.original.module.thermistor.r25 = b.original.module.thermistor.b25_100 = sm_given(5000.0);
        b.original.module.price = sm_given(90.0);
        b.candidate.module.lead_time = sm_given(86400.0); /* the candidate's alone is no lack */
        bench_write(&b, writes[i]);
        cr_expect(is_said(&b, "The candidate is nowhere worse in what both files give."));
        cr_expect(is_said(&b, "Given for the original only: thermistor, R25; thermistor, B25/100; "
                              "price of one piece."));
        bench_end(&b);
    }
}

/* The list follows a candidate that is worse somewhere too; the fact above says out of how many. */
Test(sheet_original, what_only_the_original_gives_stands_below_where_the_candidate_is_worse)
{
    struct bench b;
    bench_make(&b);
    for (int k = 0; k < 2; k++)
        b.candidate.v_igbt[k][1] += 0.005 * 400.0;
    b.original.module.thermistor.r25 = sm_given(5000.0);
    bench_write(&b, sheet_original);
    cr_expect(is_said(&b, "The candidate is worse here"));
    cr_expect(is_said(&b, "Given for the original only: thermistor, R25."));
    cr_expect_not(is_said(&b, "nowhere"));
    size_t rows = 0, worse = 0;
    for (size_t id = 0; id < SM_COMPARED_COUNT; id++) {
        bool both = false, less = false;
        for (size_t i = 0; i < b.result.comparison.n_rows; i++) {
            const struct sm_compared *row = &b.result.comparison.rows[i];
            both = both || (row->id == id && row->comparable);
            less = less || (row->id == id && row->worse);
        }
        rows += both ? 1u : 0u;
        worse += less ? 1u : 0u;
    }
    char said[64];
    (void)snprintf(said, sizeof said, "; the candidate is worse in %zu of the %zu rows", worse,
                   rows);
    const struct check_sheet s = { &b.sheet, &b.candidate.c, &b.result };
    cr_expect(strstr(sheet_original_fact(&s), said), "%s", sheet_original_fact(&s));
    bench_end(&b);
}

/* A blocking voltage of 1700 V beside 1200 V differs; 150 A are the same, told in the sentence. */
Test(sheet_original, a_row_that_differs_leaves_the_sentence_for_the_table)
{
    struct bench b;
    bench_make(&b);
    b.candidate.module.vces = 1700.0;
    bench_write(&b, sheet_original_page);
    const struct sheet_block *block = table(&b, "original");
    cr_assert_not_null(block);
    bool there = false;
    for (size_t i = 0; i + 2 < block->n_cells; i += block->n_columns)
        there = there || (strcmp(block->cells[i + 1].text, "1700 V") == 0 &&
                          strcmp(block->cells[i + 2].text, "1200 V") == 0);
    cr_expect(there);
    cr_expect_not(is_said(&b, "1200 V"));
    cr_expect(is_said(&b, "150 A"));
    bench_end(&b);
}

/* 1200.01 V is 1200 V to four digits: a row that differs shows in what. */
Test(sheet_original, values_that_differ_by_little_do_not_print_alike)
{
    struct bench b;
    bench_make(&b);
    b.candidate.module.vces = 1200.01;
    bench_write(&b, sheet_original);
    const struct sheet_cell *row = row_of(table_there(&b, "original"), "V_CES");
    cr_expect_str_eq(row[1].text, "1200.01 V");
    cr_expect_str_eq(row[2].text, "1200 V");
    bench_end(&b);
}

/* More than two do not stand beside each other. */
Test(sheet_original, three_frequencies_are_rows_of_one_table)
{
    struct bench b;
    bench_make(&b);
    memcpy(b.frequencies, (const double[]){ 10.0, 30.0, 60.0 }, sizeof b.frequencies);
    b.candidate.drive.test.frequencies = (struct sm_list){ .v = b.frequencies, .n = 3 };
    bench_write(&b, sheet_original_page);
    const struct sheet_block *block = table(&b, "original at the points");
    cr_assert_not_null(block);
    size_t at_10_hz = 0;
    for (size_t i = 0; i < block->n_cells; i += block->n_columns)
        at_10_hz += !block->cells[i].text && fabs(block->cells[i].number - 10.0) < 1e-9 ? 1u : 0u;
    cr_expect_gt(at_10_hz, (size_t)0);
    cr_expect_eq(sheet_rows(block) % 3, (size_t)0); /* each quantity at each frequency */
    cr_expect_eq(sheet_rows(block) / 3, at_10_hz);
    bench_end(&b);
}

Test(sheet_original, runaway_of_the_original_is_a_word)
{
    struct bench b;
    bench_make(&b);
    for (int k = 0; k < 2; k++)
        b.original.v_igbt[k][1] *= 50.0;
    bench_write(&b, sheet_original_page);
    cr_assert(b.result.comparison.original->runaway);
    cr_expect_str_eq(row_of(table_there(&b, "original at the points"), "margin")[2].text,
                     "runaway");
    bench_end(&b);
}

Test(sheet_original, without_an_original_nothing_is_told)
{
    struct bench b;
    bench_make(&b);
    b.candidate.c.original = NULL;
    bench_write(&b, sheet_original_page);
    cr_expect_eq(b.sheet.count, (size_t)0);
    bench_end(&b);
}

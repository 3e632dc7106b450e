/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "report/comparison_words.h"
#include "report/glyph.h"
#include "report/sheet_check.h"
#include "report/sheet_pictures.h"
#include "report/words.h"

#include <math.h>

#define COUNT(array) (sizeof(array) / sizeof(array)[0])

/* Columns: a longer text does not stand in the table; where it differs it stands below. */
#define CELL_LONGEST 14

static const char *side_cell(struct sheet *sheet, const struct sm_compared *row,
                             const struct sm_side *side)
{
    if (side->text && glyph_text_columns(side->text) > CELL_LONGEST) {
        return "given";
    }
    if (side->state == SM_SIDE_RUNAWAY) {
        return "runaway";
    }
    struct sm_text text;
    sm_text_init(&text);
    comparison_side(&text, row, side);
    return sheet_take(sheet, &text);
}

static const char *difference_cell(struct sheet *sheet, const struct sm_compared *row)
{
    struct sm_text text;
    sm_text_init(&text);
    comparison_difference(&text, row);
    return sheet_take(sheet, &text);
}

static void row_add(const struct check_sheet *s, struct sheet_block *table,
                    const struct sm_compared *row)
{
    struct sheet *sheet = s->sheet;
    if (row->output_hz > 0.0) {
        sheet_number(sheet, table, row->output_hz);
    }
    sheet_text(sheet, table, word_compared(row->id)->title);
    sheet_text(sheet, table, side_cell(sheet, row, &row->candidate));
    sheet_text(sheet, table, side_cell(sheet, row, &row->original));
    sheet_text(sheet, table, difference_cell(sheet, row));
    sheet_text(sheet, table, row->worse ? "worse" : "");
}

/* What neither file tells is left out. */
static bool is_told(const struct sm_compared *row)
{
    return row->candidate.state != SM_SIDE_NOT_GIVEN || row->original.state != SM_SIDE_NOT_GIVEN;
}

/* A row of the parts without a difference. */
static bool is_same_part(const struct sm_compared *row)
{
    return row->output_hz <= 0.0 && row->comparable && row->same;
}

/* What a page does not show: parts that are the same, and points that have no picture. */
static bool is_left_out(const struct check_sheet *s, const struct sm_compared *row)
{
    const struct picture_points chosen = pictures_choose(s->result);
    for (size_t i = 0; i < chosen.n; i++) {
        if (fabs(s->result->points[chosen.index[i]].output_hz - row->output_hz) <= 0.0) {
            return false;
        }
    }
    return row->output_hz > 0.0 || is_same_part(row);
}

/* The rows at the points, or those of the parts. */
static void rows_table(const struct check_sheet *s, bool at_points, bool page)
{
    static const struct sheet_column columns[] = {
        { "", "output", "Hz", SHEET_NUMBER, false, true },
        { "", "", "", SHEET_LEFT, true, true },
        { "", "candidate", "", SHEET_RIGHT, false, false },
        { "", "original", "", SHEET_RIGHT, false, false },
        { "", "difference", "", SHEET_RIGHT, false, false },
        { "", "", "", SHEET_LEFT, false, false },
    };
    const struct sm_comparison *comparison = &s->result->comparison;
    const size_t first = at_points ? 0 : 1;
    struct sheet_block *table =
        sheet_add(s->sheet, SHEET_TABLE, at_points ? "original at the points" : "original", "");
    sheet_columns(s->sheet, table, columns + first, COUNT(columns) - first);
    for (size_t i = 0; i < comparison->n_rows; i++) {
        const struct sm_compared *row = &comparison->rows[i];
        const bool there = (row->output_hz > 0.0) == at_points;
        if (is_told(row) && there && !(page && is_left_out(s, row))) {
            row_add(s, table, row);
        }
    }
}

/* ------------------------------------------------------------ side by side */

/* Most test frequencies that stand beside each other. */
enum { POINTS_BESIDE = 2 };

/* The same quantity at another point; NULL where it is not compared there. */
static const struct sm_compared *row_at(const struct check_sheet *s, enum sm_compared_id id,
                                        double hz)
{
    const struct sm_comparison *comparison = &s->result->comparison;
    for (size_t i = 0; i < comparison->n_rows; i++) {
        const struct sm_compared *row = &comparison->rows[i];
        if (row->id == id && fabs(row->output_hz - hz) <= 0.0) {
            return row;
        }
    }
    return NULL;
}

static void beside_columns(const struct check_sheet *s, struct sheet_block *table)
{
    static const struct sheet_column name = { "", "", "", SHEET_LEFT, true, true };
    static const struct sheet_column last = { "", "", "", SHEET_LEFT, false, false };
    sheet_columns(s->sheet, table, &name, 1);
    for (size_t i = 0; i < s->result->n_points; i++) {
        const char *hz = sheet_quantity(s->sheet, s->result->points[i].output_hz, "Hz");
        const struct sheet_column columns[] = {
            { hz, "candidate", "", SHEET_RIGHT, false, false },
            { hz, "original", "", SHEET_RIGHT, false, false },
        };
        sheet_columns(s->sheet, table, columns, COUNT(columns));
    }
    sheet_columns(s->sheet, table, &last, 1);
}

static void beside_row(const struct check_sheet *s, struct sheet_block *table,
                       enum sm_compared_id id)
{
    const char *where = "";
    size_t worse = 0;
    sheet_text(s->sheet, table, word_compared(id)->title);
    for (size_t i = 0; i < s->result->n_points; i++) {
        const double hz = s->result->points[i].output_hz;
        const struct sm_compared *row = row_at(s, id, hz);
        sheet_text(s->sheet, table, row ? side_cell(s->sheet, row, &row->candidate) : "-");
        sheet_text(s->sheet, table, row ? side_cell(s->sheet, row, &row->original) : "-");
        if (row && row->worse) {
            where = sheet_quantity(s->sheet, hz, "Hz");
            worse++;
        }
    }
    sheet_text(s->sheet, table,
               worse == 0                     ? ""
               : worse == s->result->n_points ? "worse"
                                              : sheet_format(s->sheet, "worse, %s", where));
}

/* The rows at the points, one a quantity. */
static void beside_table(const struct check_sheet *s)
{
    const struct sm_comparison *comparison = &s->result->comparison;
    struct sheet_block *table = sheet_add(s->sheet, SHEET_TABLE, "original at the points", "");
    beside_columns(s, table);
    for (size_t i = 0; i < comparison->n_rows; i++) {
        const struct sm_compared *row = &comparison->rows[i];
        if (row == row_at(s, row->id, s->result->points[0].output_hz) && is_told(row)) {
            beside_row(s, table, row->id);
        }
    }
}

/* Rows of the parts that say the same are told in one sentence instead. */
static const char *same_words(const struct check_sheet *s)
{
    const struct sm_comparison *comparison = &s->result->comparison;
    struct sm_text text;
    sm_text_init(&text);
    for (size_t i = 0; i < comparison->n_rows; i++) {
        const struct sm_compared *row = &comparison->rows[i];
        if (is_same_part(row)) {
            sm_text_add(&text, "%s%s", text.length > 0 ? ", " : "The same in both: ",
                        word_compared(row->id)->title);
            if (!row->candidate.text) {
                sm_text_add(&text, " %s", side_cell(s->sheet, row, &row->candidate));
            }
        }
    }
    sm_text_add(&text, "%s", text.length > 0 ? "." : "");
    return sheet_take(s->sheet, &text);
}

static size_t disadvantages(const struct sm_comparison *comparison)
{
    size_t n = 0;
    for (int id = 0; id < SM_COMPARED_COUNT; id++) {
        n += comparison_worst(comparison, (enum sm_compared_id)id) ? 1u : 0u;
    }
    return n;
}

/* Quantities that can be compared, at one point at least. */
static size_t comparable(const struct sm_comparison *comparison)
{
    bool seen[SM_COMPARED_COUNT] = { false };
    size_t n = 0;
    for (size_t i = 0; i < comparison->n_rows; i++) {
        const struct sm_compared *row = &comparison->rows[i];
        n += !seen[row->id] && (row->comparable || row->worse) ? 1u : 0u;
        seen[row->id] = seen[row->id] || row->comparable || row->worse;
    }
    return n;
}

/* What the original's file alone gives, in which the candidate may be worse all the same; "" for
 * nothing. */
static const char *original_only(const struct check_sheet *s)
{
    const struct sm_comparison *comparison = &s->result->comparison;
    struct sm_text text;
    sm_text_init(&text);
    for (size_t i = 0; i < comparison->n_rows; i++) {
        const struct sm_compared *row = &comparison->rows[i];
        if (row->candidate.state == SM_SIDE_NOT_GIVEN && row->original.state == SM_SIDE_GIVEN) {
            sm_text_add(&text, "%s%s", text.length > 0 ? "; " : "Given for the original only: ",
                        word_compared(row->id)->title);
        }
    }
    sm_text_add(&text, "%s", text.length > 0 ? "." : "");
    return sheet_take(s->sheet, &text);
}

/* How the candidate compares in all. */
static const char *in_all(const struct check_sheet *s, const char *where_worse)
{
    if (disadvantages(&s->result->comparison) > 0) {
        return where_worse;
    }
    return original_only(s)[0] != '\0' ? "The candidate is nowhere worse in what both files give."
                                       : "The candidate is nowhere worse.";
}

static void disadvantages_list(const struct check_sheet *s)
{
    const struct sm_comparison *comparison = &s->result->comparison;
    struct sheet_block *list = NULL;
    for (int id = 0; id < SM_COMPARED_COUNT; id++) {
        const struct sm_compared *row = comparison_worst(comparison, (enum sm_compared_id)id);
        if (row) {
            struct sm_text text;
            sm_text_init(&text);
            comparison_sentence(&text, row);
            list = list ? list : sheet_add(s->sheet, SHEET_BULLETS, "", "");
            sheet_item(s->sheet, list, "", sheet_take(s->sheet, &text));
        }
    }
}

static void paragraph(const struct check_sheet *s, const char *text)
{
    if (text[0] != '\0') {
        (void)sheet_add(s->sheet, SHEET_PARAGRAPH, "", text);
    }
}

static void original_begin(const struct check_sheet *s)
{
    (void)sheet_add(s->sheet, SHEET_HEADING,
                    sheet_format(s->sheet, SHEET_BESIDE ", %s", s->c->original->part), "original");
    (void)sheet_add(s->sheet, SHEET_PARAGRAPH, "",
                    "The part that is replaced, in the same drive at the same points; losses are "
                    "those of all modules. It is told for comparison: it lifts no rejection and "
                    "makes none.");
}

void sheet_original(const struct check_sheet *s)
{
    if (s->result->comparison.original) {
        original_begin(s);
        rows_table(s, true, false);
        rows_table(s, false, false);
        paragraph(s, in_all(s, "The candidate is worse here (at the points: where it is so by the "
                               "most):"));
        disadvantages_list(s);
        paragraph(s, original_only(s));
    }
}

void sheet_original_page(const struct check_sheet *s)
{
    if (s->result->comparison.original) {
        original_begin(s);
        paragraph(s, in_all(s, "Where the candidate is worse the row says so at its end."));
        if (s->result->n_points > POINTS_BESIDE) {
            rows_table(s, true, true);
            if (s->result->n_points > PICTURE_POINTS) {
                (void)sheet_add(s->sheet, SHEET_PARAGRAPH, "",
                                "At the lowest, the deciding and the highest test frequency; text "
                                "and JSON have all.");
            }
        } else if (s->result->n_points > 0) {
            beside_table(s);
        }
        rows_table(s, false, true);
        paragraph(s, same_words(s));
        paragraph(s, original_only(s));
    }
}

const char *sheet_original_fact(const struct check_sheet *s)
{
    struct sheet *sheet = s->sheet;
    const struct sm_result *original = s->result->comparison.original;
    const struct sm_point *worst = &original->points[original->worst_point];
    const size_t n = disadvantages(&s->result->comparison);
    const char *hz = sheet_quantity(sheet, worst->output_hz, "Hz");
    const char *margin = original->runaway
                             ? sheet_format(sheet, "thermal runaway at %s", hz)
                             : sheet_format(sheet, "margin %s at %s",
                                            sheet_quantity(sheet, original->margin, "K"), hz);
    return sheet_format(sheet,
                        "%s: %s; the candidate is worse in %zu of the %zu rows that both "
                        "give, see \"%s\"",
                        s->c->original->part, margin, n, comparable(&s->result->comparison),
                        SHEET_BESIDE);
}

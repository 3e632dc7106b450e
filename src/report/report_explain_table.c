/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Columns and rows of a step: first what each column is, then the numbers, in as many parts as the
 * page's width asks for. */
#include "report/report_explain.h"
#include "base/text.h"
#include "report/text_layout.h"
#include "swapmargin/quantity.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { NUMBER_SIZE = 40, FIRST_SIZE = 160, INDENT = 2, GAP = 2, SYMBOL_WIDTH = 6 };

/* ------------------------------------------------------------ what they are */

/* An earlier step whose column of that symbol has the same formula, or NULL. */
static const struct sm_step *said_before(const struct sm_explanation *e, const struct sm_step *step,
                                         const struct sm_step_column *column)
{
    for (size_t i = 0; i < e->n_steps && &e->steps[i] != step; i++) {
        for (size_t k = 0; k < e->steps[i].n_columns; k++) {
            const struct sm_step_column *other = &e->steps[i].columns[k];
            if (other->formula.text == column->formula.text &&
                strcmp(other->symbol, column->symbol) == 0) {
                return &e->steps[i];
            }
        }
    }
    return NULL;
}

/* True when a symbol stands for the same in both formulas, or is in one only. */
static bool symbol_agrees(const struct sm_step_formula *a, const struct sm_step_formula *b,
                          const char *symbol)
{
    size_t i = 0, k = 0;
    for (;;) {
        while (i < a->n_links && strcmp(a->links[i].symbol, symbol) != 0) {
            i++;
        }
        while (k < b->n_links && strcmp(b->links[k].symbol, symbol) != 0) {
            k++;
        }
        if (i == a->n_links || k == b->n_links) {
            return true;
        }
        if (a->links[i++].step != b->links[k++].step) {
            return false;
        }
    }
}

/* True for a symbol that has another meaning in another column of the step. */
static bool is_ambiguous(const struct sm_step *step, const struct sm_step_column *column,
                         const char *symbol)
{
    for (size_t i = 0; i < step->n_columns; i++) {
        if (!symbol_agrees(&column->formula, &step->columns[i].formula, symbol)) {
            return true;
        }
    }
    return false;
}

/* True when an earlier column's formula has the symbol. */
static bool is_told(const struct sm_step *step, size_t column, const char *symbol)
{
    for (size_t i = 0; i < column; i++) {
        const struct sm_step_formula *formula = &step->columns[i].formula;
        for (size_t k = 0; k < formula->n_links; k++) {
            if (strcmp(formula->links[k].symbol, symbol) == 0) {
                return true;
            }
        }
    }
    return false;
}

/* The links of a column that hold for it alone, or those that it is the first to use. */
static void column_links(const struct sm_explanation *e, const struct sm_step *step, size_t column,
                         bool alone, const struct sm_style *style, struct sm_text *out)
{
    const struct sm_step_formula *formula = &step->columns[column].formula;
    for (size_t i = 0; i < formula->n_links; i++) {
        const char *symbol = formula->links[i].symbol;
        const bool ambiguous = is_ambiguous(step, &step->columns[column], symbol);
        if (ambiguous == alone && (alone || !is_told(step, column, symbol))) {
            explain_link(e, &formula->links[i], SYMBOL_WIDTH, style, out);
        }
    }
}

static void column_add(const struct sm_explanation *e, const struct sm_step *step, size_t at,
                       const struct sm_style *style, struct sm_text *out)
{
    const struct sm_step_column *column = &step->columns[at];
    const struct sm_step *before = column->formula.text ? said_before(e, step, column) : NULL;
    struct sm_text text;
    char first[FIRST_SIZE];
    sm_text_init(&text);
    sm_text_add(&text, "%s%s%s", column->meaning, column->unit[0] ? ", " : "", column->unit);
    if (column->key) {
        sm_text_add(&text, ": ");
        explain_origin(&text, &column->origin, column->key, NULL);
    } else if (before) {
        sm_text_add(&text, ": as in %s", before->name);
    }
    (void)snprintf(first, sizeof first, "  %-6s", column->symbol);
    layout_wrap(out, text_words(&text), &(struct layout){ style, first });
    text_close(&text, &out->out_of_memory);
    if (column->formula.text && !before) {
        layout_wrap(out, column->formula.text, &(struct layout){ style, "        = " });
        layout_wrap(out, column->formula.source, &(struct layout){ style, "        basis: " });
    }
    if (column->worked) {
        (void)snprintf(first, sizeof first, "        row %zu: ", step->worked_row);
        layout_wrap(out, column->worked, &(struct layout){ style, first });
    }
    column_links(e, step, at, true, style, out);
}

static void legend_add(const struct sm_explanation *e, const struct sm_step *step,
                       const struct sm_style *style, struct sm_text *out)
{
    for (size_t i = 0; i < step->n_columns; i++) {
        column_add(e, step, i, style, out);
    }
    for (size_t i = 0; i < step->n_columns; i++) {
        column_links(e, step, i, false, style, out);
    }
}

/* ----------------------------------------------------------------- the rows */

static int cell_width(double value)
{
    char number[NUMBER_SIZE];
    sm_number_format(number, sizeof number, value, SM_EXPLAIN_DIGITS);
    return (int)strlen(number);
}

static int column_width(const struct sm_step *step, const struct sm_step_column *column)
{
    int width = (int)strlen(column->symbol);
    for (size_t j = 0; j < step->n_rows; j++) {
        const int cell = cell_width(column->values[j]);
        width = cell > width ? cell : width;
    }
    return width;
}

/* A part of the table: columns [from, to). */
struct part {
    const struct sm_step *step;
    size_t from, to;
    int row_width;    /* of the row numbers */
    const int *width; /* of each column of the step */
};

/* As many columns as fit on the page, at least one. */
static size_t part_end(const struct part *part, int page)
{
    int width = INDENT + part->row_width;
    size_t to = part->from;
    while (to < part->step->n_columns) {
        width += GAP + part->width[to];
        if (width > page && to > part->from) {
            break;
        }
        to++;
    }
    return to;
}

static void head_add(struct sm_text *out, const struct part *part)
{
    layout_repeat(out, " ", INDENT);
    sm_text_add(out, "%*s", part->row_width, "r");
    for (size_t i = part->from; i < part->to; i++) {
        const struct sm_step_column *column = &part->step->columns[i];
        layout_repeat(out, " ", GAP);
        sm_text_add(out, "%*s", part->width[i], column->symbol);
    }
    sm_text_add(out, "\n");
}

static void row_add(struct sm_text *out, const struct part *part, size_t row)
{
    layout_repeat(out, " ", INDENT);
    sm_text_add(out, "%*zu", part->row_width, row);
    for (size_t i = part->from; i < part->to; i++) {
        const struct sm_step_column *column = &part->step->columns[i];
        char number[NUMBER_SIZE];
        sm_number_format(number, sizeof number, column->values[row], SM_EXPLAIN_DIGITS);
        layout_repeat(out, " ", GAP);
        sm_text_add(out, "%*s", part->width[i], number);
    }
    sm_text_add(out, "\n");
}

static void rows_add(struct sm_text *out, struct part *part, int page)
{
    for (; part->from < part->step->n_columns; part->from = part->to) {
        part->to = part_end(part, page);
        sm_text_add(out, "\n");
        head_add(out, part);
        for (size_t j = 0; j < part->step->n_rows; j++) {
            row_add(out, part, j);
        }
    }
}

void explain_table(const struct sm_explanation *e, const struct sm_step *step,
                   const struct sm_style *style, struct sm_text *out)
{
    int *width = calloc(step->n_columns + 1, sizeof *width);
    if (!width) {
        out->out_of_memory = true;
        return;
    }
    for (size_t i = 0; i < step->n_columns; i++) {
        width[i] = column_width(step, &step->columns[i]);
    }
    legend_add(e, step, style, out);
    rows_add(
        out,
        &(struct part){ .step = step, .row_width = step->n_rows > 100 ? 3 : 2, .width = width },
        style->width);
    free(width);
}

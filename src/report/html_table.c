/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "report/html_parts.h"
#include "base/text.h"
#include "report/html_text.h"
#include "report/phrase.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

void html_unit(struct sm_text *out, const char *unit)
{
    if (unit[0] == '\0') {
        return;
    }
    struct sm_text spelled;
    sm_text_init(&spelled);
    phrase_unit(&spelled, unit, true);
    sm_text_add(out, " <span class=\"unit\">");
    html_text(out, text_words(&spelled));
    sm_text_add(out, "</span>");
    text_close(&spelled, &out->out_of_memory);
}

/* ------------------------------------------------------------------ heads */

static bool same_group(const struct sheet_block *block, size_t a, size_t b)
{
    return block->columns[a].group[0] != '\0' &&
           strcmp(block->columns[a].group, block->columns[b].group) == 0;
}

/* What a page does not show. */
static bool is_left_out(const struct sheet_block *block, size_t column)
{
    return block->columns[column].align == SHEET_DRAWN;
}

/* Whether its last column is a sentence that stands under each row where the page is narrow. */
static bool has_below(const struct sheet_block *block)
{
    return block->columns[block->n_columns - 1].align == SHEET_BELOW;
}

static const char *align_class(const struct sheet_column *column)
{
    switch (column->align) {
    case SHEET_NUMBER:
    case SHEET_RIGHT:
        return " class=\"n\"";
    case SHEET_BELOW:
        return " class=\"below\"";
    case SHEET_LEFT:
    case SHEET_DRAWN:
        break;
    }
    return column->flexible ? "" : " class=\"s\"";
}

/* The whole name of a column that can be sorted by, for where its head stands elsewhere. */
static void name_add(struct sm_text *out, const struct sheet_block *block, size_t i)
{
    const struct sheet_column *column = &block->columns[i];
    struct sm_text spelled;
    sm_text_init(&spelled);
    phrase_unit(&spelled, column->unit, true);
    sm_text_add(out, " data-h=\"");
    html_text(out, column->group);
    sm_text_add(out, column->group[0] != '\0' ? " " : "");
    html_text(out, column->title);
    sm_text_add(out, column->unit[0] != '\0' ? ", " : "");
    html_text(out, text_words(&spelled));
    sm_text_add(out, "\"");
    text_close(&spelled, &out->out_of_memory);
}

/* One head; a column without a name has an empty cell, which is no head of anything. */
static void head_add(struct sm_text *out, const struct sheet_block *block, size_t i, bool tall)
{
    const struct sheet_column *column = &block->columns[i];
    if (is_left_out(block, i)) {
        return;
    }
    const bool named = column->title[0] != '\0' || column->unit[0] != '\0';
    sm_text_add(out, "%s%s%s", named ? "<th scope=\"col\"" : "<td", align_class(column),
                tall ? " rowspan=\"2\"" : "");
    if (named && block->sortable && column->align != SHEET_BELOW) {
        sm_text_add(out, " data-c=\"%zu\"", i);
        name_add(out, block, i);
    }
    sm_text_add(out, ">");
    html_lines(out, column->title);
    html_unit(out, column->unit);
    sm_text_add(out, named ? "</th>" : "</td>");
}

static void groups_add(struct sm_text *out, const struct sheet_block *block)
{
    const size_t n = block->n_columns;
    sm_text_add(out, "<tr>");
    for (size_t i = 0, end = 0; i < n; i = end) {
        for (end = i + 1; end < n && same_group(block, i, end); end++) {
        }
        if (block->columns[i].group[0] == '\0') {
            head_add(out, block, i, true);
            continue;
        }
        sm_text_add(out, "<th scope=\"colgroup\" colspan=\"%zu\" class=\"group\">", end - i);
        html_text(out, block->columns[i].group);
        sm_text_add(out, "</th>");
    }
    sm_text_add(out, "</tr>\n");
}

static void heads_add(struct sm_text *out, const struct sheet_block *block)
{
    const size_t n = block->n_columns;
    bool grouped = false;
    for (size_t i = 0; i < n; i++) {
        grouped = grouped || block->columns[i].group[0] != '\0';
    }
    sm_text_add(out, "<thead>\n");
    if (grouped) {
        groups_add(out, block);
    }
    sm_text_add(out, "<tr>");
    for (size_t i = 0; i < n; i++) {
        if (!grouped || block->columns[i].group[0] != '\0') {
            head_add(out, block, i, false);
        }
    }
    sm_text_add(out, "</tr>\n</thead>\n");
}

/* ------------------------------------------------------------------ cells */

/* Words that must not be overlooked among others. */
static bool is_grave(const char *text)
{
    static const char *const words[] = { "SHORT", "fail", "runaway", "reject", "unreadable" };
    for (size_t i = 0; i < sizeof words / sizeof words[0]; i++) {
        if (strcmp(text, words[i]) == 0) {
            return true;
        }
    }
    return false;
}

/* Lines to write on are fields on a page. */
static bool is_blank(const char *text)
{
    return text[0] != '\0' && text[strspn(text, "_")] == '\0';
}

static void text_cell(struct sm_text *out, const char *text)
{
    if (is_blank(text)) {
        sm_text_add(out, "<input type=\"text\" class=\"blank\" aria-label=\"reading\" "
                         "autocomplete=\"off\"/>");
        return;
    }
    const bool grave = is_grave(text);
    sm_text_add(out, grave ? "<strong class=\"bad\">" : "");
    html_lines(out, text);
    sm_text_add(out, grave ? "</strong>" : "");
}

/* Numbers carry more digits than they show, for sorting and for programs. */
static void cell_add(struct sm_text *out, const struct sheet_block *block, size_t column,
                     const struct sheet_cell *cell, int decimals)
{
    const struct sheet_column *head = &block->columns[column];
    if (is_left_out(block, column)) {
        return;
    }
    sm_text_add(out, head->key ? "<th scope=\"row\"%s" : "<td%s", align_class(head));
    if (block->sortable && !head->key && head->align != SHEET_BELOW) {
        name_add(out, block, column);
    }
    if (cell->text) {
        sm_text_add(out, ">");
        text_cell(out, cell->text);
    } else {
        const double half = 0.5 * pow(10.0, -decimals);
        sm_text_add(out, " data-v=\"%.10g\">%.*f", cell->number, decimals,
                    fabs(cell->number) < half ? 0.0 : cell->number);
    }
    sm_text_add(out, head->key ? "</th>" : "</td>");
}

static void rows_add(struct sm_text *out, const struct sheet_block *block)
{
    const size_t n = block->n_columns;
    int *decimals = calloc(n > 0 ? n : 1, sizeof *decimals);
    if (!decimals) {
        out->out_of_memory = true;
        return;
    }
    for (size_t i = 0; i < n; i++) {
        decimals[i] = sheet_decimals(block, i);
    }
    sm_text_add(out, "<tbody>\n");
    for (size_t row = 0; row < sheet_rows(block); row++) {
        sm_text_add(out, "<tr>");
        for (size_t i = 0; i < n; i++) {
            cell_add(out, block, i, &block->cells[row * block->n_columns + i], decimals[i]);
        }
        sm_text_add(out, "</tr>\n");
    }
    sm_text_add(out, "</tbody>\n");
    free(decimals);
}

/* One table of this block; `number` counts those that it was cut into. */
static void table_add(struct sm_text *out, const struct sheet_block *block, const char *id,
                      size_t number)
{
    /* the frame can be scrolled with the keyboard where the table is wider than the page */
    sm_text_add(out, "<div class=\"scroll\" tabindex=\"0\" role=\"group\" aria-label=\"table: ");
    html_text(out, block->title);
    sm_text_add(out, "\">\n<table id=\"%s", id);
    if (number > 1) {
        sm_text_add(out, "-%zu", number);
    }
    sm_text_add(out, "\"%s>\n<caption>",
                block->sortable    ? " class=\"sortable\""
                : has_below(block) ? " class=\"told\""
                                   : "");
    html_text(out, block->title);
    sm_text_add(out, "%s</caption>\n", number > 1 ? ", continued" : "");
    heads_add(out, block);
    rows_add(out, block);
    sm_text_add(out, "</table>\n</div>\n");
}

/* ------------------------------------------------------------------ parts */

/* Columns at the left that name the row. */
static size_t keys_of(const struct sheet_block *block)
{
    size_t n = 0;
    while (n < block->n_columns && block->columns[n].key) {
        n++;
    }
    return n;
}

/* Where a part that begins at a column ends: after `room` columns, or where the last group that is
 * whole ends. */
static size_t part_end(const struct sheet_block *block, size_t first, size_t room)
{
    const size_t n = block->n_columns;
    size_t end = n - first <= room ? n : first + room;
    while (end < n && end > first + 1 && same_group(block, end - 1, end)) {
        end--;
    }
    return end < n && same_group(block, end - 1, end) ? first + room : end;
}

/* The columns that name the rows and those from `first` to `end`, as a block of its own; its
 * columns and cells are the caller's to free. */
static bool part_make(const struct sheet_block *block, size_t first, size_t end,
                      struct sheet_block *part)
{
    const size_t keys = keys_of(block), n = keys + end - first, rows = sheet_rows(block);
    *part = *block;
    part->n_columns = n;
    part->n_cells = n * rows;
    part->columns = calloc(n, sizeof *part->columns);
    part->cells = calloc(n * rows, sizeof *part->cells);
    if (!part->columns || !part->cells) {
        return false;
    }
    for (size_t i = 0; i < n; i++) {
        const size_t from = i < keys ? i : first + i - keys;
        part->columns[i] = block->columns[from];
        for (size_t row = 0; row < rows; row++) {
            part->cells[row * n + i] = block->cells[row * block->n_columns + from];
        }
    }
    return true;
}

void html_table(struct sm_text *out, const struct sheet_block *block, const char *id, size_t most)
{
    const size_t keys = keys_of(block);
    if (sheet_rows(block) == 0) {
        return;
    }
    if (block->n_columns <= most || block->sortable || keys + 1 > most) {
        table_add(out, block, id, 1);
        return;
    }
    for (size_t first = keys, number = 1; first < block->n_columns; number++) {
        struct sheet_block part;
        const size_t end = part_end(block, first, most - keys);
        if (part_make(block, first, end, &part)) {
            table_add(out, &part, id, number);
        } else {
            out->out_of_memory = true;
        }
        free(part.columns);
        free(part.cells);
        first = end;
    }
}

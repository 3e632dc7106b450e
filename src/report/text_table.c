/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "report/text_table.h"

#include "base/text.h"
#include "report/phrase.h"
#include "report/text_layout.h"

#include <stdlib.h>
#include <string.h>

enum { GAP = 2, FLEXIBLE_LEAST = 16 };

/* Before what stands under a row. */
#define BELOW_INDENT "      "

/* How one column is drawn. */
struct plan {
    int width;
    int decimals;
};

struct table {
    const struct sheet_block *block;
    const struct sm_style *style;
    struct plan *plan; /* one a column */
    struct sm_text scratch;
};

/* A run of columns that stand side by side, after the key columns. */
struct band {
    size_t first, end;
};

/* ---------------------------------------------------------------- measure */

/* Writes one cell into the scratch text.  Returned: its columns. */
static int cell_spell(struct table *table, size_t row, size_t column)
{
    const struct sheet_block *block = table->block;
    const struct sheet_cell *cell = &block->cells[row * block->n_columns + column];
    table->scratch.length = 0;
    if (cell->text) {
        layout_spell(&table->scratch, cell->text, table->style);
    } else {
        layout_number(&table->scratch, cell->number, table->plan[column].decimals, 0);
    }
    return layout_columns_since(&table->scratch, 0);
}

/* Writes line `line` of a title that may have several, parted by newlines. */
static int title_spell(struct table *table, const char *title, size_t line)
{
    table->scratch.length = 0;
    for (size_t i = 0; i < line && *title != '\0'; i++) {
        title += strcspn(title, "\n");
        title += *title == '\n' ? 1 : 0;
    }
    struct sm_text part;
    sm_text_init(&part);
    sm_text_add_bytes(&part, title, strcspn(title, "\n"));
    layout_spell(&table->scratch, text_words(&part), table->style);
    text_close(&part, &table->scratch.out_of_memory);
    return layout_columns_since(&table->scratch, 0);
}

static size_t title_lines(const char *title)
{
    size_t lines = title[0] != '\0' ? 1 : 0;
    for (; *title != '\0'; title++) {
        lines += *title == '\n' ? 1 : 0;
    }
    return lines;
}

static int unit_spell(struct table *table, const char *unit)
{
    table->scratch.length = 0;
    phrase_unit(&table->scratch, unit, table->style->utf8);
    return layout_columns_since(&table->scratch, 0);
}

static void at_least(int *width, int wanted)
{
    *width = *width > wanted ? *width : wanted;
}

static void column_measure(struct table *table, size_t column)
{
    const struct sheet_column *head = &table->block->columns[column];
    struct plan *plan = &table->plan[column];
    plan->decimals = sheet_decimals(table->block, column);
    for (size_t line = 0; line < title_lines(head->title); line++) {
        at_least(&plan->width, title_spell(table, head->title, line));
    }
    at_least(&plan->width, unit_spell(table, head->unit));
    for (size_t row = 0; row < sheet_rows(table->block); row++) {
        at_least(&plan->width, cell_spell(table, row, column));
    }
}

/* ------------------------------------------------------------------ bands */

static size_t key_columns(const struct sheet_block *block)
{
    size_t n = 0;
    while (n < block->n_columns && block->columns[n].key) {
        n++;
    }
    return n;
}

/* The columns that stand side by side: a last one may stand below instead. */
static size_t columns_beside(const struct sheet_block *block)
{
    const size_t n = block->n_columns;
    return n > 0 && block->columns[n - 1].align == SHEET_BELOW ? n - 1 : n;
}

static int columns_width(const struct table *table, size_t first, size_t end)
{
    int width = 0;
    for (size_t i = first; i < end; i++) {
        width += GAP + table->plan[i].width;
    }
    return width;
}

/* Shrinks the flexible column, if there is one, so that all columns fit. */
static void flexible_shrink(struct table *table)
{
    const size_t n = columns_beside(table->block);
    const int excess = TEXT_INDENT - GAP + columns_width(table, 0, n) - table->style->width;
    for (size_t i = 0; i < n && excess > 0; i++) {
        if (table->block->columns[i].flexible) {
            struct plan *plan = &table->plan[i];
            const int shrunk = plan->width - excess;
            const int narrowest = plan->width < FLEXIBLE_LEAST ? plan->width : FLEXIBLE_LEAST;
            plan->width = shrunk > narrowest ? shrunk : narrowest;
            return;
        }
    }
}

static bool same_group(const struct sheet_block *block, size_t a, size_t b)
{
    return block->columns[a].group[0] != '\0' &&
           strcmp(block->columns[a].group, block->columns[b].group) == 0;
}

/* The columns from `first` that fit beside the key columns; a group is not parted unless it alone
 * is too wide. */
static struct band band_from(const struct table *table, size_t first)
{
    const struct sheet_block *block = table->block;
    const size_t n = columns_beside(block);
    const int room =
        table->style->width - TEXT_INDENT + GAP - columns_width(table, 0, key_columns(block));
    size_t end = first + 1;
    size_t whole = first;
    while (end < n && columns_width(table, first, end + 1) <= room) {
        end++;
    }
    for (size_t i = first + 1; i <= end; i++) {
        if (i == n || !same_group(block, i - 1, i)) {
            whole = i;
        }
    }
    return (struct band){ first, whole > first ? whole : end };
}

/* ------------------------------------------------------------------- draw */

/* Adds the scratch text, padded to the column.  `start`: where the line began. */
static void scratch_add(struct sm_text *out, const struct table *table, size_t column, int columns)
{
    const int blank = table->plan[column].width - columns;
    const enum sheet_align align = table->block->columns[column].align;
    const bool left = align == SHEET_LEFT || align == SHEET_DRAWN;
    layout_repeat(out, " ", left ? 0 : blank);
    if (table->scratch.length > 0) {
        sm_text_add_bytes(out, table->scratch.data, table->scratch.length);
    }
    layout_repeat(out, " ", (left ? blank : 0) + GAP);
}

static void line_end(struct sm_text *out)
{
    layout_trim(out);
    sm_text_add(out, "\n");
}

/* The columns of one line: the key columns, then the band's. */
static size_t band_column(const struct table *table, const struct band *band, size_t i)
{
    const size_t keys = key_columns(table->block);
    return i < keys ? i : band->first + i - keys;
}

static size_t band_count(const struct table *table, const struct band *band)
{
    return key_columns(table->block) + band->end - band->first;
}

/* The line of group heads, each centred over its columns between rules. */
static void groups_add(struct sm_text *out, struct table *table, const struct band *band)
{
    bool any = false;
    for (size_t i = band->first; i < band->end; i++) {
        any = any || table->block->columns[i].group[0] != '\0';
    }
    if (!any) {
        return;
    }
    const size_t keys = key_columns(table->block);
    layout_repeat(out, " ", TEXT_INDENT + columns_width(table, 0, keys));
    for (size_t i = band->first; i < band->end;) {
        size_t end = i + 1;
        while (end < band->end && same_group(table->block, end - 1, end)) {
            end++;
        }
        const int room = columns_width(table, i, end) - GAP;
        const int columns = title_spell(table, table->block->columns[i].group, 0);
        const bool rule = columns > 0 && room >= columns + 4;
        const int before = rule ? (room - columns - 2) / 2 : 0;
        const char *dash = table->style->utf8 ? "\u2500" : "-";
        layout_repeat(out, rule ? dash : " ", before);
        sm_text_add(out, rule ? " " : "");
        sm_text_add_bytes(out, text_words(&table->scratch), table->scratch.length);
        sm_text_add(out, rule ? " " : "");
        layout_repeat(out, rule ? dash : " ", room - columns - before - (rule ? 2 : 0));
        layout_repeat(out, " ", GAP);
        i = end;
    }
    line_end(out);
}

static void heads_add(struct sm_text *out, struct table *table, const struct band *band)
{
    const struct sheet_column *columns = table->block->columns;
    const size_t n = band_count(table, band);
    size_t lines = 0;
    bool units = false;
    for (size_t i = 0; i < n; i++) {
        const struct sheet_column *head = &columns[band_column(table, band, i)];
        const size_t own = title_lines(head->title);
        lines = own > lines ? own : lines;
        units = units || head->unit[0] != '\0';
    }
    for (size_t line = 0; line < lines + (units ? 1u : 0u); line++) {
        layout_repeat(out, " ", TEXT_INDENT);
        for (size_t i = 0; i < n; i++) {
            const size_t column = band_column(table, band, i);
            const size_t above = lines - title_lines(columns[column].title);
            int width = 0;
            table->scratch.length = 0;
            if (line == lines) {
                width = unit_spell(table, columns[column].unit);
            } else if (line >= above) {
                width = title_spell(table, columns[column].title, line - above);
            }
            scratch_add(out, table, column, width);
        }
        line_end(out);
    }
}

/* Puts line `line` of a wrapped flexible cell into the scratch text.  Returned: whether there are
 * more lines after it; *columns is its width. */
static bool wrapped_spell(struct table *table, size_t row, size_t column, size_t line, int *columns)
{
    const struct sm_style narrow = { table->style->utf8, table->plan[column].width };
    const struct layout layout = { &narrow, "" };
    const char *text = table->block->cells[row * table->block->n_columns + column].text;
    struct sm_text wrapped;
    sm_text_init(&wrapped);
    layout_wrap(&wrapped, text ? text : "", &layout);
    const char *p = text_words(&wrapped);
    for (size_t i = 0; i < line && *p != '\0'; i++) {
        p += strcspn(p, "\n");
        p += *p == '\n' ? 1 : 0;
    }
    const size_t length = strcspn(p, "\n");
    const bool more = p[length] == '\n' && p[length + 1] != '\0';
    table->scratch.length = 0;
    sm_text_add_bytes(&table->scratch, p, length);
    *columns = layout_columns_since(&table->scratch, 0);
    text_close(&wrapped, &table->scratch.out_of_memory);
    return more;
}

static void row_add(struct sm_text *out, struct table *table, const struct band *band, size_t row)
{
    bool more = true;
    for (size_t line = 0; more; line++) {
        more = false;
        layout_repeat(out, " ", TEXT_INDENT);
        for (size_t i = 0; i < band_count(table, band); i++) {
            const size_t column = band_column(table, band, i);
            int width = 0;
            if (table->block->columns[column].flexible) {
                more = wrapped_spell(table, row, column, line, &width) || more;
            } else if (line == 0) {
                width = cell_spell(table, row, column);
            } else {
                table->scratch.length = 0;
            }
            scratch_add(out, table, column, width);
        }
        line_end(out);
    }
}

/* The text that stands under a row, over the width of the page. */
static void below_add(struct sm_text *out, const struct table *table, size_t row)
{
    const struct sheet_block *block = table->block;
    const size_t last = block->n_columns - 1;
    const char *text = block->cells[row * block->n_columns + last].text;
    if (block->columns[last].align == SHEET_BELOW && text && text[0] != '\0') {
        layout_wrap(out, text, &(struct layout){ table->style, BELOW_INDENT });
    }
}

static void bands_add(struct sm_text *out, struct table *table)
{
    const size_t n = columns_beside(table->block);
    for (size_t first = key_columns(table->block); first < n;) {
        const struct band band = band_from(table, first);
        if (first > key_columns(table->block)) {
            sm_text_add(out, "\n");
        }
        groups_add(out, table, &band);
        heads_add(out, table, &band);
        for (size_t row = 0; row < sheet_rows(table->block); row++) {
            row_add(out, table, &band, row);
            if (band.end == n) {
                below_add(out, table, row);
            }
        }
        first = band.end;
    }
}

void text_table(struct sm_text *out, const struct sheet_block *block, const struct sm_style *style)
{
    if (block->n_columns == 0) {
        return;
    }
    struct table table = { .block = block, .style = style };
    sm_text_init(&table.scratch);
    table.plan = calloc(block->n_columns, sizeof *table.plan);
    if (!table.plan) {
        out->out_of_memory = true;
        return;
    }
    for (size_t i = 0; i < block->n_columns; i++) {
        column_measure(&table, i);
    }
    flexible_shrink(&table);
    bands_add(out, &table);
    text_close(&table.scratch, &out->out_of_memory);
    free(table.plan);
}

/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "report/sheet.h"

#include "base/grow.h"
#include "swapmargin/quantity.h"

#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

void sheet_init(struct sheet *sheet)
{
    memset(sheet, 0, sizeof *sheet);
}

static void block_release(struct sheet_block *block)
{
    free(block->items);
    free(block->columns);
    free(block->cells);
    free(block->bars);
    for (size_t i = 0; i < block->plot.n_curves; i++) {
        free(block->plot.curves[i].points);
    }
    free(block->plot.curves);
    free(block->plot.levels);
    free(block->plot.marks);
    for (size_t i = 0; i < block->plot.n_bands; i++) {
        free(block->plot.bands[i].low);
        free(block->plot.bands[i].high);
    }
    free(block->plot.bands);
}

void sheet_release(struct sheet *sheet)
{
    for (size_t i = 0; i < sheet->count; i++) {
        block_release(&sheet->blocks[i]);
    }
    block_release(&sheet->spare);
    for (size_t i = 0; i < sheet->n_strings; i++) {
        free(sheet->strings[i]);
    }
    free(sheet->blocks);
    free(sheet->strings);
    sheet_init(sheet);
}

/* Makes room for one more element in an array that doubles whenever its count is a power of two.
 * Returned: the array, or NULL (the old one is kept by the caller). */
static void *array_grow(struct sheet *sheet, void *array, size_t count, size_t size)
{
    if (array && (count & (count - 1)) != 0) {
        return array;
    }
    const size_t capacity = count > 0 ? 2 * count : 1;
    void *grown = capacity > (size_t)-1 / size ? NULL : realloc(array, capacity * size);
    if (!grown) {
        sheet->out_of_memory = true;
    }
    return grown;
}

/* Takes over a string from malloc. */
static const char *string_own(struct sheet *sheet, char *text)
{
    if (!text) {
        sheet->out_of_memory = true;
        return "";
    }
    char **grown = array_grow(sheet, sheet->strings, sheet->n_strings, sizeof *sheet->strings);
    if (!grown) {
        free(text);
        return "";
    }
    sheet->strings = grown;
    sheet->strings[sheet->n_strings++] = text;
    return text;
}

const char *sheet_keep(struct sheet *sheet, const char *text)
{
    const size_t size = strlen(text) + 1;
    char *copy = malloc(size);
    if (copy) {
        memcpy(copy, text, size);
    }
    return string_own(sheet, copy);
}

const char *sheet_format(struct sheet *sheet, const char *format, ...)
{
    va_list args;
    va_start(args, format);
    va_list again;
    va_copy(again, args);
    const int length = vsnprintf(NULL, 0, format, args);
    char *text = length < 0 ? NULL : malloc((size_t)length + 1);
    if (text) {
        (void)vsnprintf(text, (size_t)length + 1, format, again);
    }
    va_end(again);
    va_end(args);
    return string_own(sheet, text);
}

struct sheet_block *sheet_add(struct sheet *sheet, enum sheet_kind kind, const char *title,
                              const char *text)
{
    struct sheet_block *grown =
        array_grow(sheet, sheet->blocks, sheet->count, sizeof *sheet->blocks);
    if (!grown) {
        return &sheet->spare;
    }
    sheet->blocks = grown;
    struct sheet_block *block = &sheet->blocks[sheet->count++];
    memset(block, 0, sizeof *block);
    block->kind = kind;
    block->title = title;
    block->text = text;
    return block;
}

void sheet_item(struct sheet *sheet, struct sheet_block *block, const char *label, const char *text)
{
    struct sheet_item *grown =
        array_grow(sheet, block->items, block->n_items, sizeof *block->items);
    if (grown) {
        block->items = grown;
        block->items[block->n_items++] = (struct sheet_item){ label, text };
    }
}

void sheet_columns(struct sheet *sheet, struct sheet_block *block,
                   const struct sheet_column *columns, size_t count)
{
    for (size_t i = 0; i < count; i++) {
        struct sheet_column *grown =
            array_grow(sheet, block->columns, block->n_columns, sizeof *block->columns);
        if (grown) {
            block->columns = grown;
            block->columns[block->n_columns++] = columns[i];
        }
    }
}

static void cell_add(struct sheet *sheet, struct sheet_block *block, struct sheet_cell cell)
{
    struct sheet_cell *grown =
        array_grow(sheet, block->cells, block->n_cells, sizeof *block->cells);
    if (grown) {
        block->cells = grown;
        block->cells[block->n_cells++] = cell;
    }
}

void sheet_text(struct sheet *sheet, struct sheet_block *block, const char *text)
{
    cell_add(sheet, block, (struct sheet_cell){ .text = text });
}

void sheet_number(struct sheet *sheet, struct sheet_block *block, double si)
{
    if (block->n_columns == 0) { /* there was no memory for them */
        return;
    }
    const char *unit = block->columns[block->n_cells % block->n_columns].unit;
    double shown = si;
    (void)sm_quantity_to_unit(si, unit, &shown);
    sheet->not_finite = sheet->not_finite || !isfinite(shown);
    cell_add(sheet, block, (struct sheet_cell){ .number = shown });
}

void sheet_bar(struct sheet *sheet, struct sheet_block *block, const struct sheet_bar *bar)
{
    struct sheet_bar *grown = array_grow(sheet, block->bars, block->n_bars, sizeof *block->bars);
    if (!grown) {
        return;
    }
    sheet->not_finite =
        sheet->not_finite || !isfinite(bar->value) || !isfinite(bar->from) || !isfinite(bar->to);
    block->bars = grown;
    block->bars[block->n_bars++] = *bar;
}

static struct plot_place *places_copy(struct sheet *sheet, const struct plot_place *from, size_t n)
{
    struct plot_place *places = list_zeroed(n, sizeof *places);
    if (!places) {
        sheet->out_of_memory = true;
        return NULL;
    }
    for (size_t i = 0; i < n; i++) {
        places[i] = from[i];
        sheet->not_finite = sheet->not_finite || !isfinite(from[i].x) || !isfinite(from[i].y);
    }
    return places;
}

void sheet_curve(struct sheet *sheet, struct sheet_block *block, const struct plot_curve *curve)
{
    struct sheet_plot *plot = &block->plot;
    struct plot_place *points = places_copy(sheet, curve->points, curve->n);
    struct plot_curve *grown =
        array_grow(sheet, plot->curves, plot->n_curves, sizeof *plot->curves);
    plot->curves = grown ? grown : plot->curves;
    if (!points || !grown) {
        free(points);
        return;
    }
    plot->curves[plot->n_curves] = *curve;
    plot->curves[plot->n_curves++].points = points;
}

void sheet_level(struct sheet *sheet, struct sheet_block *block, const struct plot_level *level)
{
    struct sheet_plot *plot = &block->plot;
    struct plot_level *grown =
        array_grow(sheet, plot->levels, plot->n_levels, sizeof *plot->levels);
    if (grown) {
        sheet->not_finite = sheet->not_finite || !isfinite(level->y);
        plot->levels = grown;
        plot->levels[plot->n_levels++] = *level;
    }
}

void sheet_mark(struct sheet *sheet, struct sheet_block *block, const struct plot_mark *mark)
{
    struct sheet_plot *plot = &block->plot;
    struct plot_mark *grown = array_grow(sheet, plot->marks, plot->n_marks, sizeof *plot->marks);
    if (grown) {
        sheet->not_finite = sheet->not_finite || !isfinite(mark->at.x) || !isfinite(mark->at.y);
        plot->marks = grown;
        plot->marks[plot->n_marks++] = *mark;
    }
}

void sheet_band(struct sheet *sheet, struct sheet_block *block, const struct plot_band *band)
{
    struct sheet_plot *plot = &block->plot;
    struct plot_band *grown = array_grow(sheet, plot->bands, plot->n_bands, sizeof *plot->bands);
    struct plot_place *low = places_copy(sheet, band->low, band->n);
    struct plot_place *high = places_copy(sheet, band->high, band->n);
    plot->bands = grown ? grown : plot->bands;
    if (!grown || !low || !high) {
        free(low);
        free(high);
        return;
    }
    plot->bands[plot->n_bands++] = (struct plot_band){ band->pen, low, high, band->n };
}

size_t sheet_rows(const struct sheet_block *block)
{
    return block->n_columns > 0 ? block->n_cells / block->n_columns : 0;
}

/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The report model for people: a list of blocks that says what is said, once.  Renderers (text, and
 * whatever else people read) decide how it looks.
 *
 * Strings are UTF-8 and live as long as the sheet.  Numbers are kept whole, in the unit of their
 * column; rounding is the renderer's.  A builder need not check every call: `out_of_memory` and
 * `not_finite` remember that something went wrong. */
#ifndef SWAPMARGIN_REPORT_SHEET_H
#define SWAPMARGIN_REPORT_SHEET_H

#include "report/sheet_plot.h"
#include "swapmargin/error.h"
#include "swapmargin/report.h"

#include <stdbool.h>
#include <stddef.h>

enum sheet_kind {
    SHEET_HEADLINE,  /* title: the verdict; text: what it is about */
    SHEET_HEADING,   /* title; text: its name in a page's addresses, "" for none */
    SHEET_PARAGRAPH, /* text */
    SHEET_FACTS,     /* items: label and text */
    SHEET_TABLE,     /* columns and cells; title: what it shows, may be "" */
    SHEET_BARS,      /* bars on one scale; title; text: what they show, in words */
    SHEET_PLOT,      /* curves; title; text: what they show, in words.  Left out of the text */
    SHEET_TICKS,     /* items to be ticked by hand */
    SHEET_BULLETS,   /* items */
    SHEET_SIGN       /* items: fields to be filled in by hand */
};

struct sheet_item {
    const char *label;
    const char *text;
};

enum sheet_align { SHEET_LEFT, SHEET_RIGHT, SHEET_NUMBER, SHEET_BELOW, SHEET_DRAWN };

struct sheet_column {
    const char *group; /* head over neighbours with the same group, "" for none */
    const char *title;
    const char *unit;       /* symbol of the unit table, "" for none */
    enum sheet_align align; /* SHEET_NUMBER: cells align at the decimal point; SHEET_BELOW: the last
                               column, a sentence that may stand under the row; SHEET_DRAWN: a
                               picture made of characters, for text only */
    bool flexible;          /* text that may wrap where the page is narrow */
    bool key;               /* names the row: repeated where the columns do not fit side by side */
};

struct sheet_cell {
    const char *text; /* NULL for a number */
    double number;    /* in the column's unit */
};

enum sheet_fill { SHEET_FILL_HEAT, SHEET_FILL_FREE, SHEET_FILL_WANTED, SHEET_FILL_OVER };

struct sheet_bar {
    const char *label;
    double value; /* what the label tells, in the bars' unit */
    double from, to;
    enum sheet_fill fill;
    const char *note; /* after the value, where there is room for it; NULL for none */
};

struct sheet_scale {
    double low, high;       /* ends of the scale, in `scale_unit` */
    const char *unit;       /* of the scale */
    const char *value_unit; /* of the bars' values */
    const char *mark;       /* a stroke across all bars, and its label; NULL for none */
    double mark_at;
    bool mark_limit; /* not to be passed; else a level that is asked for */
};

struct sheet_block {
    enum sheet_kind kind;
    const char *title;
    const char *text;
    struct sheet_item *items;
    size_t n_items;
    struct sheet_column *columns;
    size_t n_columns;
    struct sheet_cell *cells; /* row by row */
    size_t n_cells;
    struct sheet_bar *bars;
    size_t n_bars;
    struct sheet_scale scale;
    struct sheet_plot plot;
    bool sortable;   /* a table whose rows may be put into another order */
    bool pages_only; /* left out of the text */
};

struct sheet {
    struct sheet_block *blocks;
    size_t count;
    struct sheet_block spare; /* takes what there is no memory for */
    char **strings;
    size_t n_strings;
    bool out_of_memory;
    bool not_finite;
    bool dense; /* a page of it is printed small and in two columns */
};

void sheet_init(struct sheet *sheet);
void sheet_release(struct sheet *sheet);

/* A string kept by the sheet, never NULL. */
const char *sheet_format(struct sheet *sheet, const char *format, ...) SM_PRINTF(2, 3);
const char *sheet_keep(struct sheet *sheet, const char *text);

/* Adds a block; valid until the next one is added, never NULL.  title and text are borrowed: string
 * constants, or from sheet_keep() or sheet_format(). */
struct sheet_block *sheet_add(struct sheet *sheet, enum sheet_kind kind, const char *title,
                              const char *text);

/* Each adds one part to a block of this sheet.  Strings are borrowed as above. */
void sheet_item(struct sheet *sheet, struct sheet_block *block, const char *label,
                const char *text);
void sheet_columns(struct sheet *sheet, struct sheet_block *block,
                   const struct sheet_column *columns, size_t count);
void sheet_text(struct sheet *sheet, struct sheet_block *block, const char *text);
void sheet_bar(struct sheet *sheet, struct sheet_block *block, const struct sheet_bar *bar);

/* Parts of a SHEET_PLOT; the points are copied. */
void sheet_curve(struct sheet *sheet, struct sheet_block *block, const struct plot_curve *curve);
void sheet_level(struct sheet *sheet, struct sheet_block *block, const struct plot_level *level);
void sheet_mark(struct sheet *sheet, struct sheet_block *block, const struct plot_mark *mark);
void sheet_band(struct sheet *sheet, struct sheet_block *block, const struct plot_band *band);

/* A number cell from SI, converted into the unit of the column that comes next. */
void sheet_number(struct sheet *sheet, struct sheet_block *block, double si);

/* Decimals of a column's numbers: temperatures have one whatever their size, whole numbers of
 * anything else none; a column without a unit shows three digits of its smallest number. */
int sheet_decimals(const struct sheet_block *block, size_t column);

/* Rows of a table. */
size_t sheet_rows(const struct sheet_block *block);

#endif

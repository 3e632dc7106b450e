/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Labels of a picture where they belong, without one upon another: beside a point or along a level
 * on the first side that is free, of curves too where that can be; at the end of a curve pushed
 * apart. */
#ifndef SWAPMARGIN_REPORT_HTML_PLOT_LABELS_H
#define SWAPMARGIN_REPORT_HTML_PLOT_LABELS_H

#include "report/canvas.h"

#include <stdbool.h>

enum {
    PLOT_LABELS_BOXES = 64,
    PLOT_LABELS_ENDS = 24,
    PLOT_LABELS_CELL = 4, /* px  of the grid that says where curves are */
    PLOT_LABELS_ACROSS = 100,
    PLOT_LABELS_DOWN = 60
};

/* A curve's label, right of the field. */
struct plot_end {
    double y; /* px */
    const char *text, *pen;
};

struct plot_labels {
    const struct canvas_box *field;
    struct canvas_box taken[PLOT_LABELS_BOXES];
    size_t n_taken;
    struct plot_end end[PLOT_LABELS_ENDS];
    size_t n_ends;
    bool curve[PLOT_LABELS_DOWN][PLOT_LABELS_ACROSS];
};

/* field is borrowed. */
void plot_labels_init(struct plot_labels *labels, const struct canvas_box *field);

/* Keeps labels off a spot. */
void plot_labels_avoid(struct plot_labels *labels, struct canvas_point at, double radius);

/* Keeps labels off a piece of a curve, where they have a choice. */
void plot_labels_avoid_line(struct plot_labels *labels, struct canvas_point from,
                            struct canvas_point to);

/* Draws a label beside a spot; leaves it out where no side is free of other labels. */
void plot_labels_beside(struct plot_labels *labels, struct canvas *canvas, struct canvas_point at,
                        const char *text);

/* Draws the label of a line across the field, above or below it, at either end. */
void plot_labels_along(struct plot_labels *labels, struct canvas *canvas, double y,
                       const char *name, const char *text);

/* Notes the label of a curve that ends at this height, then draws all of them. */
void plot_labels_end(struct plot_labels *labels, double y, const char *text, const char *pen);
void plot_labels_draw_ends(struct plot_labels *labels, struct canvas *canvas);

#endif

/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * A picture of curves while it is drawn, and what is said in and of it. */
#ifndef SWAPMARGIN_REPORT_HTML_PLOT_WORDS_H
#define SWAPMARGIN_REPORT_HTML_PLOT_WORDS_H

#include "report/canvas.h"
#include "report/sheet_plot.h"

struct plot {
    const struct sheet_plot *model;
    struct canvas canvas;
    struct canvas_box field; /* px  inside the axes */
    double x_low, x_high, y_low, y_high;
    struct sm_text scratch;
};

/* Each is valid until the next one of them.  A number of an axis; an axis with its unit; a point
 * as "IGBT: 98.8 degC at 12.3 ms". */
const char *plot_number(struct plot *plot, double value, int decimals);
const char *plot_axis_words(struct plot *plot, const struct plot_axis *axis);
const char *plot_tip(struct plot *plot, const char *label, struct plot_place at);

/* A reading among dozens. */
bool plot_is_small(enum plot_shape shape);

/* Adds what the picture shows, for those who do not see it; `text` begins it. */
void plot_shows(struct sm_text *out, struct plot *plot, const char *text);

#endif

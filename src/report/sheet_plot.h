/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * What a picture of curves shows: one kind of block of the sheet.  Text has none of it; the pages
 * draw it.  Values are in the units of the axes. */
#ifndef SWAPMARGIN_REPORT_SHEET_PLOT_H
#define SWAPMARGIN_REPORT_SHEET_PLOT_H

#include <stdbool.h>
#include <stddef.h>

struct plot_axis {
    const char *title;
    const char *unit; /* symbol of the unit table, "" for none */
    bool logarithmic;
    bool whole;      /* the scale ends at the data, not at round numbers */
    double from, to; /* the scale holds these too, where they differ */
};

struct plot_place {
    double x, y;
};

enum { PLOT_PENS = 4 };

/* A line through its points, in their order. */
struct plot_curve {
    const char *label;         /* at its end; "" for none */
    unsigned pen;              /* 0 ... : colour and dash */
    struct plot_place *points; /* owned */
    size_t n;
    bool told; /* its points say their values under the pointer */
};

/* A line across the picture at one height. */
struct plot_level {
    const char *label;
    double y;
    bool limit; /* not to be passed, and drawn so; else a level that is asked for */
};

/* How a point is drawn.  Dots and rings are small, for readings by the dozen: no label gives way to
 * them, and `text` says what they are. */
enum plot_shape { PLOT_FULL, PLOT_OPEN, PLOT_CROSS, PLOT_DOT, PLOT_RING };

/* A single point. */
struct plot_mark {
    const char *label; /* beside it; "" for none */
    const char *tip;   /* under the pointer */
    struct plot_place at;
    enum plot_shape shape;
};

/* The room between two lines over the same x, lightly filled. */
struct plot_band {
    unsigned pen;
    struct plot_place *low, *high; /* owned */
    size_t n;
};

struct sheet_plot {
    struct plot_axis x, y;
    bool tall;                 /* for many lines above each other */
    struct plot_curve *curves; /* owned, as the others */
    size_t n_curves;
    struct plot_level *levels;
    size_t n_levels;
    struct plot_mark *marks;
    size_t n_marks;
    struct plot_band *bands;
    size_t n_bands;
};

#endif

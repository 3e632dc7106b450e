/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * A picture as inline SVG: few kinds of strokes, text that stays text, no reference to anything
 * outside or inside the page.  Colours come from the page's style sheet by class, so that they
 * follow light, dark and paper; dashes are drawn here.  Lengths are pixels of the picture, from its
 * upper left corner. */
#ifndef SWAPMARGIN_REPORT_CANVAS_H
#define SWAPMARGIN_REPORT_CANVAS_H

#include "swapmargin/text.h"

#include <stddef.h>

struct canvas_point {
    double x, y;
};

struct canvas_box {
    double left, top, right, bottom;
};

enum canvas_dash { CANVAS_SOLID, CANVAS_DASHED, CANVAS_DOTTED, CANVAS_DASH_DOT };

struct canvas_pen {
    const char *name; /* class in the style sheet */
    enum canvas_dash dash;
};

enum canvas_anchor { CANVAS_START, CANVAS_MIDDLE, CANVAS_END };

/* How a text stands at its point: the point is on its base line. */
struct canvas_type {
    const char *name; /* class */
    enum canvas_anchor anchor;
};

/* What a picture is called and what it shows, for those who do not see it. */
struct canvas_words {
    const char *prefix; /* of every id in it; letters, digits and '-' */
    const char *title;
    const char *description;
};

struct canvas {
    struct sm_text *out;
    struct canvas_box clip; /* what canvas_polyline() may draw in */
};

/* Opens a picture.  The clip is all of it. */
struct canvas canvas_begin(struct sm_text *out, double width, double height,
                           const struct canvas_words *words);
void canvas_end(struct canvas *canvas);

void canvas_line(struct canvas *canvas, struct canvas_point from, struct canvas_point to,
                 struct canvas_pen pen);

/* The part of a line through n points that lies in the clip; what leaves it ends at its edge. */
void canvas_polyline(struct canvas *canvas, const struct canvas_point *points, size_t n,
                     struct canvas_pen pen);

/* A filled area with n corners, all within the picture. */
void canvas_area(struct canvas *canvas, const struct canvas_point *points, size_t n,
                 const char *name);

/* A filled box; `tip` is told while the pointer is over it, NULL for none. */
void canvas_rect(struct canvas *canvas, const struct canvas_box *box, const char *name,
                 const char *tip);

/* A round spot with a radius; tip as above. */
void canvas_spot(struct canvas *canvas, struct canvas_point at, double radius, const char *name,
                 const char *tip);

void canvas_text(struct canvas *canvas, struct canvas_point at, struct canvas_type type,
                 const char *text);

/* px  How wide a text gets at 12 px, by the widths of the usual sans serif faces, rounded up. */
double canvas_text_width(const char *text);

#endif

/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "report/canvas.h"

#include "report/glyph.h"
#include "report/html_text.h"

#include <math.h>
#include <stdbool.h>
#include <string.h>

/* px at 12 px: advance widths of the faces that the style sheet names, which agree with each other
 * in these classes, rounded up; common practice for a sans serif face. */
#define NARROW_WIDTH 3.5
#define USUAL_WIDTH 6.8
#define CAPITAL_WIDTH 8.7
#define WIDE_WIDTH 10.4

static double character_width(uint32_t code)
{
    if (code < 0x80 && code != 0 && strchr("iljtfrI.,:;'|!()[]/ -", (int)code)) {
        return NARROW_WIDTH;
    }
    if (code == 'm' || code == 'M' || code == 'w' || code == 'W' || code == '%' || code == '@') {
        return WIDE_WIDTH;
    }
    if (code >= 'A' && code <= 'Z') {
        return CAPITAL_WIDTH;
    }
    return code < 0x300 ? USUAL_WIDTH : WIDE_WIDTH * glyph_columns(code);
}

double canvas_text_width(const char *text)
{
    double width = 0.0;
    uint32_t code = 0;
    for (size_t n = 0; (n = glyph_next(text, &code)) > 0; text += n) {
        width += character_width(code);
    }
    return width;
}

/* Two decimals are finer than any screen; what rounds to zero has no sign. */
static void number_add(struct sm_text *out, double value)
{
    sm_text_add(out, "%.2f", fabs(value) < 0.005 ? 0.0 : value);
}

static void attribute_add(struct sm_text *out, const char *name, double value)
{
    sm_text_add(out, " %s=\"", name);
    number_add(out, value);
    sm_text_add(out, "\"");
}

static void class_add(struct sm_text *out, const char *name)
{
    sm_text_add(out, " class=\"");
    html_text(out, name);
    sm_text_add(out, "\"");
}

static void dash_add(struct sm_text *out, enum canvas_dash dash)
{
    static const char *const dashes[] = { "", "6 3", "1.5 3", "7 3 1.5 3" };
    if (dash != CANVAS_SOLID) {
        sm_text_add(out, " stroke-dasharray=\"%s\"", dashes[dash]);
    }
}

/* Ends an element that may hold a tip. */
static void tip_add(struct sm_text *out, const char *element, const char *tip)
{
    if (!tip) {
        sm_text_add(out, "/>\n");
        return;
    }
    sm_text_add(out, "><title>");
    html_text(out, tip);
    sm_text_add(out, "</title></%s>\n", element);
}

struct canvas canvas_begin(struct sm_text *out, double width, double height,
                           const struct canvas_words *words)
{
    sm_text_add(out, "<svg viewBox=\"0 0 %.0f %.0f\" role=\"img\" aria-label=\"", width, height);
    html_text(out, words->title);
    sm_text_add(out, "\" aria-describedby=\"%s-shows\">\n<desc id=\"%s-shows\">", words->prefix,
                words->prefix);
    html_text(out, words->description);
    sm_text_add(out, "</desc>\n");
    return (struct canvas){ .out = out, .clip = { 0.0, 0.0, width, height } };
}

void canvas_end(struct canvas *canvas)
{
    sm_text_add(canvas->out, "</svg>\n");
}

void canvas_line(struct canvas *canvas, struct canvas_point from, struct canvas_point to,
                 struct canvas_pen pen)
{
    sm_text_add(canvas->out, "<line");
    class_add(canvas->out, pen.name);
    dash_add(canvas->out, pen.dash);
    attribute_add(canvas->out, "x1", from.x);
    attribute_add(canvas->out, "y1", from.y);
    attribute_add(canvas->out, "x2", to.x);
    attribute_add(canvas->out, "y2", to.y);
    sm_text_add(canvas->out, "/>\n");
}

/* ------------------------------------------------------------------- clip */

/* Shrinks the share of a segment, from[0] to from[1], that lies on the good side of one edge:
 * start + share * way <= edge.  False when nothing is left. */
static bool clip_edge(double start, double way, double edge, double share[2])
{
    if (fabs(way) <= 0.0) {
        return start <= edge;
    }
    const double at = (edge - start) / way;
    if (way > 0.0) {
        share[1] = fmin(share[1], at);
    } else {
        share[0] = fmax(share[0], at);
    }
    return share[0] <= share[1];
}

/* Liang and Barsky's clip: the segment's share within the box. */
static bool clip_segment(const struct canvas_box *box, struct canvas_point *a,
                         struct canvas_point *b)
{
    const struct canvas_point from = *a, way = { b->x - a->x, b->y - a->y };
    double share[2] = { 0.0, 1.0 };
    if (!clip_edge(from.x, way.x, box->right, share) ||
        !clip_edge(-from.x, -way.x, -box->left, share) ||
        !clip_edge(from.y, way.y, box->bottom, share) ||
        !clip_edge(-from.y, -way.y, -box->top, share)) {
        return false;
    }
    *a = (struct canvas_point){ from.x + share[0] * way.x, from.y + share[0] * way.y };
    *b = (struct canvas_point){ from.x + share[1] * way.x, from.y + share[1] * way.y };
    return true;
}

/* px: nearer than this is the same place. */
#define SAME_PLACE 1e-6

static bool same_place(struct canvas_point a, struct canvas_point b)
{
    return fabs(a.x - b.x) < SAME_PLACE && fabs(a.y - b.y) < SAME_PLACE;
}

static void path_point(struct sm_text *out, char command, struct canvas_point at)
{
    sm_text_add(out, "%c", command);
    number_add(out, at.x);
    sm_text_add(out, " ");
    number_add(out, at.y);
}

void canvas_polyline(struct canvas *canvas, const struct canvas_point *points, size_t n,
                     struct canvas_pen pen)
{
    struct canvas_point last = { 0.0, 0.0 };
    bool begun = false;
    for (size_t i = 0; i + 1 < n; i++) {
        struct canvas_point a = points[i], b = points[i + 1];
        if (!clip_segment(&canvas->clip, &a, &b)) {
            continue;
        }
        if (!begun) {
            sm_text_add(canvas->out, "<path");
            class_add(canvas->out, pen.name);
            dash_add(canvas->out, pen.dash);
            sm_text_add(canvas->out, " d=\"");
        }
        if (!begun || !same_place(last, a)) {
            path_point(canvas->out, 'M', a);
        }
        path_point(canvas->out, 'L', b);
        begun = true;
        last = b;
    }
    if (begun) {
        sm_text_add(canvas->out, "\"/>\n");
    }
}

/* ------------------------------------------------------- areas, spots, text */

void canvas_area(struct canvas *canvas, const struct canvas_point *points, size_t n,
                 const char *name)
{
    sm_text_add(canvas->out, "<path");
    class_add(canvas->out, name);
    sm_text_add(canvas->out, " d=\"");
    for (size_t i = 0; i < n; i++) {
        path_point(canvas->out, i == 0 ? 'M' : 'L', points[i]);
    }
    sm_text_add(canvas->out, "Z\"/>\n");
}

void canvas_rect(struct canvas *canvas, const struct canvas_box *box, const char *name,
                 const char *tip)
{
    sm_text_add(canvas->out, "<rect");
    class_add(canvas->out, name);
    attribute_add(canvas->out, "x", fmin(box->left, box->right));
    attribute_add(canvas->out, "y", fmin(box->top, box->bottom));
    attribute_add(canvas->out, "width", fabs(box->right - box->left));
    attribute_add(canvas->out, "height", fabs(box->bottom - box->top));
    tip_add(canvas->out, "rect", tip);
}

void canvas_spot(struct canvas *canvas, struct canvas_point at, double radius, const char *name,
                 const char *tip)
{
    sm_text_add(canvas->out, "<circle");
    class_add(canvas->out, name);
    attribute_add(canvas->out, "cx", at.x);
    attribute_add(canvas->out, "cy", at.y);
    attribute_add(canvas->out, "r", radius);
    tip_add(canvas->out, "circle", tip);
}

void canvas_text(struct canvas *canvas, struct canvas_point at, struct canvas_type type,
                 const char *text)
{
    static const char *const anchors[] = { "start", "middle", "end" };
    sm_text_add(canvas->out, "<text");
    class_add(canvas->out, type.name);
    attribute_add(canvas->out, "x", at.x);
    attribute_add(canvas->out, "y", at.y);
    sm_text_add(canvas->out, " text-anchor=\"%s\">", anchors[type.anchor]);
    html_text(canvas->out, text);
    sm_text_add(canvas->out, "</text>\n");
}

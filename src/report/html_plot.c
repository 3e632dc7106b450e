/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "report/canvas.h"
#include "base/text.h"
#include "report/html_parts.h"
#include "report/html_plot_labels.h"
#include "report/html_plot_words.h"
#include "report/ticks.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

/* px of the picture. */
#define HEIGHT 152.0
#define TOP 20.0
#define TALL 206.0
#define UNDER 35.0 /* below the field */
#define RIGHT_LEAST 12.0
#define TICK_LENGTH 4.0
#define SPOT 3.2
#define DOT 1.9
#define CROSS 3.4 /* half a stroke's reach */
#define TOUCH 6.0 /* what the pointer finds of a curve's point */

enum { Y_TICKS = 7, X_TICKS = 8, TOUCHES = 60 };

static double height_of(const struct sheet_plot *model)
{
    return model->tall ? TALL : HEIGHT;
}

/* ------------------------------------------------------------------ scales */

struct span {
    double low, high;
};

static void span_add(struct span *span, double value)
{
    span->low = fmin(span->low, value);
    span->high = fmax(span->high, value);
}

/* A span that a scale can be drawn over: not empty, no single point. */
static struct span span_open(struct span span, bool logarithmic)
{
    if (!(span.low <= span.high)) {
        return logarithmic ? (struct span){ 1.0, 10.0 } : (struct span){ 0.0, 1.0 };
    }
    if (span.high - span.low <= 1e-9 * fabs(span.high)) {
        const double more = fmax(0.5 * fabs(span.high), 0.5);
        return logarithmic ? (struct span){ 0.5 * span.low, 2.0 * span.high }
                           : (struct span){ span.low - more, span.high + more };
    }
    return span;
}

static void scales_find(struct plot *plot)
{
    const struct sheet_plot *model = plot->model;
    struct span x = { HUGE_VAL, -HUGE_VAL }, y = { HUGE_VAL, -HUGE_VAL };
    for (size_t i = 0; i < model->n_curves; i++) {
        for (size_t k = 0; k < model->curves[i].n; k++) {
            span_add(&x, model->curves[i].points[k].x);
            span_add(&y, model->curves[i].points[k].y);
        }
    }
    for (size_t i = 0; i < model->n_marks; i++) {
        span_add(&x, model->marks[i].at.x);
        span_add(&y, model->marks[i].at.y);
    }
    for (size_t i = 0; i < model->n_levels; i++) {
        span_add(&y, model->levels[i].y);
    }
    for (size_t i = 0; i < model->n_bands; i++) {
        for (size_t k = 0; k < model->bands[i].n; k++) {
            span_add(&y, model->bands[i].low[k].y);
            span_add(&y, model->bands[i].high[k].y);
        }
    }
    if (model->y.from < model->y.to) {
        span_add(&y, model->y.from);
        span_add(&y, model->y.to);
    }
    x = span_open(x, model->x.logarithmic);
    y = span_open(y, false);
    if (!model->x.logarithmic && !model->x.whole) {
        ticks_widen(&x.low, &x.high, X_TICKS);
    }
    ticks_widen(&y.low, &y.high, Y_TICKS);
    plot->x_low = x.low;
    plot->x_high = x.high;
    plot->y_low = y.low;
    plot->y_high = y.high;
}

static struct canvas_point point_of(const struct plot *plot, struct plot_place at)
{
    const struct canvas_box *f = &plot->field;
    const double x = plot->model->x.logarithmic
                         ? log(at.x / plot->x_low) / log(plot->x_high / plot->x_low)
                         : (at.x - plot->x_low) / (plot->x_high - plot->x_low);
    const double y = (at.y - plot->y_low) / (plot->y_high - plot->y_low);
    return (struct canvas_point){ f->left + x * (f->right - f->left),
                                  f->bottom - y * (f->bottom - f->top) };
}

/* -------------------------------------------------------------------- axes */

static void y_axis(struct plot *plot, const struct ticks *ticks)
{
    const struct canvas_box *f = &plot->field;
    for (size_t i = 0; i < ticks->n; i++) {
        const double y = point_of(plot, (struct plot_place){ plot->x_low, ticks->at[i] }).y;
        canvas_line(&plot->canvas, (struct canvas_point){ f->left, y },
                    (struct canvas_point){ f->right, y },
                    (struct canvas_pen){ "grid", CANVAS_SOLID });
        canvas_text(&plot->canvas, (struct canvas_point){ f->left - 6.0, y + 4.0 },
                    (struct canvas_type){ "tick", CANVAS_END },
                    plot_number(plot, ticks->at[i], ticks->decimals));
    }
    canvas_text(&plot->canvas, (struct canvas_point){ 0.0, 10.0 },
                (struct canvas_type){ "axis", CANVAS_START },
                plot_axis_words(plot, &plot->model->y));
}

/* Ticks of a logarithmic axis have as many decimals as each needs. */
static int x_decimals(const struct plot *plot, const struct ticks *ticks, size_t i)
{
    if (!plot->model->x.logarithmic) {
        return ticks->decimals;
    }
    const int digits = (int)ceil(-log10(ticks->at[i]) - 1e-9);
    return digits > 0 ? digits : 0;
}

static void x_axis(struct plot *plot)
{
    const struct canvas_box *f = &plot->field;
    const struct ticks ticks = plot->model->x.logarithmic
                                   ? ticks_decades(plot->x_low, plot->x_high, X_TICKS)
                                   : ticks_even(plot->x_low, plot->x_high, X_TICKS);
    canvas_line(&plot->canvas, (struct canvas_point){ f->left, f->bottom },
                (struct canvas_point){ f->right, f->bottom },
                (struct canvas_pen){ "frame", CANVAS_SOLID });
    for (size_t i = 0; i < ticks.n; i++) {
        const double x = point_of(plot, (struct plot_place){ ticks.at[i], plot->y_low }).x;
        canvas_line(&plot->canvas, (struct canvas_point){ x, f->bottom },
                    (struct canvas_point){ x, f->bottom + TICK_LENGTH },
                    (struct canvas_pen){ "frame", CANVAS_SOLID });
        canvas_text(&plot->canvas, (struct canvas_point){ x, f->bottom + 17.0 },
                    (struct canvas_type){ "tick", CANVAS_MIDDLE },
                    plot_number(plot, ticks.at[i], x_decimals(plot, &ticks, i)));
    }
    canvas_text(&plot->canvas, (struct canvas_point){ f->right, f->bottom + UNDER - 4.0 },
                (struct canvas_type){ "axis", CANVAS_END }, plot_axis_words(plot, &plot->model->x));
}

/* ------------------------------------------------------------------ curves */

static struct canvas_pen curve_pen(unsigned pen)
{
    static const struct canvas_pen pens[PLOT_PENS] = {
        { "pen0", CANVAS_SOLID },
        { "pen1", CANVAS_DASHED },
        { "pen2", CANVAS_DASH_DOT },
        { "pen3", CANVAS_DOTTED },
    };
    return pens[pen % PLOT_PENS];
}

static void touches_add(struct plot *plot, const struct plot_curve *curve)
{
    const size_t stride = 1 + (curve->n - 1) / TOUCHES;
    for (size_t k = 0; curve->told && k < curve->n; k += stride) {
        canvas_spot(&plot->canvas, point_of(plot, curve->points[k]), TOUCH, "touch",
                    plot_tip(plot, curve->label, curve->points[k]));
    }
}

static void curve_add(struct plot *plot, const struct plot_curve *curve)
{
    struct canvas_point *points = calloc(curve->n > 0 ? curve->n : 1, sizeof *points);
    if (!points) {
        plot->canvas.out->out_of_memory = true;
        return;
    }
    for (size_t k = 0; k < curve->n; k++) {
        points[k] = point_of(plot, curve->points[k]);
    }
    canvas_polyline(&plot->canvas, points, curve->n, curve_pen(curve->pen));
    free(points);
}

static void curves_add(struct plot *plot)
{
    const struct sheet_plot *model = plot->model;
    plot->canvas.clip = plot->field;
    for (size_t i = 0; i < model->n_curves; i++) {
        curve_add(plot, &model->curves[i]);
    }
}

/* ------------------------------------------------------------------- bands */

static void band_add(struct plot *plot, const struct plot_band *band)
{
    static const char *const names[PLOT_PENS] = { "band0", "band1", "band2", "band3" };
    struct canvas_point *points = calloc(2 * band->n + 1, sizeof *points);
    if (!points) {
        plot->canvas.out->out_of_memory = true;
        return;
    }
    for (size_t k = 0; k < band->n; k++) {
        points[k] = point_of(plot, band->low[k]);
        points[2 * band->n - 1 - k] = point_of(plot, band->high[k]);
    }
    canvas_area(&plot->canvas, points, 2 * band->n, names[band->pen % PLOT_PENS]);
    free(points);
}

/* ------------------------------------------------------------------ levels */

static void levels_add(struct plot *plot)
{
    const struct canvas_box *f = &plot->field;
    for (size_t i = 0; i < plot->model->n_levels; i++) {
        const struct plot_level *level = &plot->model->levels[i];
        const double y = point_of(plot, (struct plot_place){ plot->x_low, level->y }).y;
        const struct canvas_pen pen = { level->limit ? "limit" : "asked",
                                        level->limit ? CANVAS_SOLID : CANVAS_DASHED };
        canvas_line(&plot->canvas, (struct canvas_point){ f->left, y },
                    (struct canvas_point){ f->right, y }, pen);
    }
}

/* ------------------------------------------------------------------- marks */

/* Two strokes, and room for the pointer. */
static void cross_add(struct plot *plot, struct canvas_point at, const char *tip)
{
    const struct canvas_pen pen = { "cross", CANVAS_SOLID };
    canvas_line(&plot->canvas, (struct canvas_point){ at.x - CROSS, at.y - CROSS },
                (struct canvas_point){ at.x + CROSS, at.y + CROSS }, pen);
    canvas_line(&plot->canvas, (struct canvas_point){ at.x - CROSS, at.y + CROSS },
                (struct canvas_point){ at.x + CROSS, at.y - CROSS }, pen);
    canvas_spot(&plot->canvas, at, TOUCH, "touch", tip);
}

static void marks_add(struct plot *plot)
{
    const struct sheet_plot *model = plot->model;
    for (size_t i = 0; i < model->n_marks; i++) {
        const struct plot_mark *mark = &model->marks[i];
        const struct canvas_point at = point_of(plot, mark->at);
        const bool open = mark->shape == PLOT_OPEN || mark->shape == PLOT_RING;
        if (mark->shape == PLOT_CROSS) {
            cross_add(plot, at, mark->tip);
        } else {
            canvas_spot(&plot->canvas, at, plot_is_small(mark->shape) ? DOT : SPOT,
                        open ? "mark open" : "mark", mark->tip);
        }
    }
}

/* What no label should cover. */
static void labels_avoid(struct plot *plot, struct plot_labels *labels)
{
    const struct sheet_plot *model = plot->model;
    for (size_t i = 0; i < model->n_marks; i++) {
        if (!plot_is_small(model->marks[i].shape)) {
            plot_labels_avoid(labels, point_of(plot, model->marks[i].at), SPOT);
        }
    }
    for (size_t i = 0; i < model->n_curves; i++) {
        for (size_t k = 0; k + 1 < model->curves[i].n; k++) {
            plot_labels_avoid_line(labels, point_of(plot, model->curves[i].points[k]),
                                   point_of(plot, model->curves[i].points[k + 1]));
        }
    }
    for (size_t i = 0; i < model->n_levels; i++) {
        const double y = point_of(plot, (struct plot_place){ plot->x_low, model->levels[i].y }).y;
        plot_labels_avoid_line(labels, (struct canvas_point){ plot->field.left, y },
                               (struct canvas_point){ plot->field.right, y });
    }
}

static void labels_add(struct plot *plot)
{
    const struct sheet_plot *model = plot->model;
    struct plot_labels labels;
    plot_labels_init(&labels, &plot->field);
    labels_avoid(plot, &labels);
    for (size_t i = 0; i < model->n_levels; i++) {
        const struct plot_level *level = &model->levels[i];
        plot_labels_along(&labels, &plot->canvas,
                          point_of(plot, (struct plot_place){ plot->x_low, level->y }).y,
                          level->limit ? "said limit" : "said", level->label);
    }
    for (size_t i = 0; i < model->n_marks; i++) {
        plot_labels_beside(&labels, &plot->canvas, point_of(plot, model->marks[i].at),
                           model->marks[i].label);
    }
    for (size_t i = 0; i < model->n_curves; i++) {
        const struct plot_curve *curve = &model->curves[i];
        if (curve->n > 0 && curve->label[0] != '\0') {
            plot_labels_end(&labels, point_of(plot, curve->points[curve->n - 1]).y, curve->label,
                            curve_pen(curve->pen).name);
        }
    }
    plot_labels_draw_ends(&labels, &plot->canvas);
}

/* ----------------------------------------------------------------- picture */

static void field_find(struct plot *plot, const struct ticks *ticks)
{
    double left = 0.0, right = RIGHT_LEAST;
    for (size_t i = 0; i < ticks->n; i++) {
        left = fmax(left, canvas_text_width(plot_number(plot, ticks->at[i], ticks->decimals)));
    }
    for (size_t i = 0; i < plot->model->n_curves; i++) {
        const double width = canvas_text_width(plot->model->curves[i].label);
        right = fmax(right, width > 0.0 ? width + 8.0 : 0.0);
    }
    plot->field = (struct canvas_box){ left + 8.0, TOP, HTML_PICTURE_WIDTH - right,
                                       height_of(plot->model) - UNDER };
}

void html_plot(struct sm_text *out, const struct sheet_block *block, const char *id)
{
    struct plot plot = { .model = &block->plot };
    struct sm_text shows;
    sm_text_init(&plot.scratch);
    sm_text_init(&shows);
    scales_find(&plot);
    const struct ticks ticks = ticks_even(plot.y_low, plot.y_high, Y_TICKS);
    field_find(&plot, &ticks);
    plot_shows(&shows, &plot, block->text);
    const struct canvas_words words = { id, block->title, text_words(&shows) };
    plot.canvas = canvas_begin(out, HTML_PICTURE_WIDTH, height_of(plot.model), &words);
    y_axis(&plot, &ticks);
    x_axis(&plot);
    for (size_t i = 0; i < block->plot.n_bands; i++) {
        band_add(&plot, &block->plot.bands[i]);
    }
    levels_add(&plot);
    curves_add(&plot);
    for (size_t i = 0; i < block->plot.n_curves; i++) {
        touches_add(&plot, &block->plot.curves[i]);
    }
    marks_add(&plot);
    labels_add(&plot);
    canvas_end(&plot.canvas);
    text_close(&shows, &out->out_of_memory);
    text_close(&plot.scratch, &out->out_of_memory);
}

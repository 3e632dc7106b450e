/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "report/html_plot_labels.h"

#include <math.h>
#include <string.h>

/* px */
#define ASCENT 10.0 /* of a text above its base line */
#define DESCENT 3.0
#define APART 7.0 /* between a spot's middle and its label */
#define ALONG 4.0 /* between a line and its label, and from the field's edge */
#define LINE (ASCENT + DESCENT)
#define OVER_TOP 8.0 /* a label may rise above the field by this */

void plot_labels_init(struct plot_labels *labels, const struct canvas_box *field)
{
    memset(labels, 0, sizeof *labels);
    labels->field = field;
}

static void take(struct plot_labels *labels, struct canvas_box box)
{
    if (labels->n_taken < PLOT_LABELS_BOXES) {
        labels->taken[labels->n_taken++] = box;
    }
}

void plot_labels_avoid(struct plot_labels *labels, struct canvas_point at, double radius)
{
    take(labels, (struct canvas_box){ at.x - radius, at.y - radius, at.x + radius, at.y + radius });
}

/* ------------------------------------------------------------------ curves */

/* Number of the cell at a place, kept within the grid. */
static size_t cell_of(double px, size_t most)
{
    const double cell = floor(px / PLOT_LABELS_CELL);
    return cell < 0.0 ? 0 : cell >= (double)most ? most - 1 : (size_t)cell;
}

void plot_labels_avoid_line(struct plot_labels *labels, struct canvas_point from,
                            struct canvas_point to)
{
    const double length = fmax(fabs(to.x - from.x), fabs(to.y - from.y));
    const size_t steps = 1 + (size_t)(length / (0.5 * PLOT_LABELS_CELL));
    for (size_t i = 0; i <= steps; i++) {
        const double share = (double)i / (double)steps;
        labels->curve[cell_of(from.y + share * (to.y - from.y), PLOT_LABELS_DOWN)]
                     [cell_of(from.x + share * (to.x - from.x), PLOT_LABELS_ACROSS)] = true;
    }
}

static bool meets_curve(const struct plot_labels *labels, const struct canvas_box *box)
{
    const size_t bottom = cell_of(box->bottom, PLOT_LABELS_DOWN);
    const size_t right = cell_of(box->right, PLOT_LABELS_ACROSS);
    for (size_t y = cell_of(box->top, PLOT_LABELS_DOWN); y <= bottom; y++) {
        for (size_t x = cell_of(box->left, PLOT_LABELS_ACROSS); x <= right; x++) {
            if (labels->curve[y][x]) {
                return true;
            }
        }
    }
    return false;
}

/* ------------------------------------------------------------------ places */

/* A place that a label may take. */
struct side {
    struct canvas_point base;
    enum canvas_anchor anchor;
};

static struct canvas_box side_box(const struct side *side, double width)
{
    const double left = side->base.x - (side->anchor == CANVAS_START    ? 0.0
                                        : side->anchor == CANVAS_MIDDLE ? 0.5 * width
                                                                        : width);
    return (struct canvas_box){ left, side->base.y - ASCENT, left + width, side->base.y + DESCENT };
}

static bool is_free(const struct plot_labels *labels, const struct canvas_box *box)
{
    const struct canvas_box *f = labels->field;
    if (box->left < f->left || box->right > f->right || box->top < f->top - OVER_TOP ||
        box->bottom > f->bottom) {
        return false;
    }
    for (size_t i = 0; i < labels->n_taken; i++) {
        const struct canvas_box *other = &labels->taken[i];
        if (box->left < other->right && other->left < box->right && box->top < other->bottom &&
            other->top < box->bottom) {
            return false;
        }
    }
    return true;
}

/* The first side free of labels and curves, else the first free of labels; n when there is none. */
static size_t side_choose(const struct plot_labels *labels, const struct side *sides, size_t n,
                          double width)
{
    size_t second = n;
    for (size_t i = 0; i < n; i++) {
        const struct canvas_box box = side_box(&sides[i], width);
        if (is_free(labels, &box)) {
            if (!meets_curve(labels, &box)) {
                return i;
            }
            second = second < n ? second : i;
        }
    }
    return second;
}

static void side_draw(struct plot_labels *labels, struct canvas *canvas, const struct side *side,
                      const char *name, const char *text)
{
    take(labels, side_box(side, canvas_text_width(text)));
    canvas_text(canvas, side->base, (struct canvas_type){ name, side->anchor }, text);
}

void plot_labels_beside(struct plot_labels *labels, struct canvas *canvas, struct canvas_point at,
                        const char *text)
{
    const double right = at.x + APART, left = at.x - APART;
    const double above = at.y - APART, level = at.y + 4.0, below = at.y + APART + ASCENT;
    const struct side sides[] = {
        { { at.x, above }, CANVAS_MIDDLE }, { { right, above }, CANVAS_START },
        { { left, above }, CANVAS_END },    { { right, level }, CANVAS_START },
        { { left, level }, CANVAS_END },    { { at.x, below }, CANVAS_MIDDLE },
        { { right, below }, CANVAS_START }, { { left, below }, CANVAS_END },
    };
    const size_t n = sizeof sides / sizeof sides[0];
    const size_t chosen = side_choose(labels, sides, n, canvas_text_width(text));
    if (text[0] != '\0' && chosen < n) {
        side_draw(labels, canvas, &sides[chosen], "said", text);
    }
}

void plot_labels_along(struct plot_labels *labels, struct canvas *canvas, double y,
                       const char *name, const char *text)
{
    const double left = labels->field->left + ALONG, right = labels->field->right - ALONG;
    const double middle = 0.5 * (left + right), above = y - ALONG, below = y + ALONG + ASCENT;
    const struct side sides[] = {
        { { left, above }, CANVAS_START },    { { left, below }, CANVAS_START },
        { { right, above }, CANVAS_END },     { { right, below }, CANVAS_END },
        { { middle, above }, CANVAS_MIDDLE }, { { middle, below }, CANVAS_MIDDLE },
    };
    const size_t n = sizeof sides / sizeof sides[0];
    const size_t chosen = side_choose(labels, sides, n, canvas_text_width(text));
    side_draw(labels, canvas, &sides[chosen < n ? chosen : 0], name, text);
}

/* -------------------------------------------------------------------- ends */

void plot_labels_end(struct plot_labels *labels, double y, const char *text, const char *pen)
{
    if (labels->n_ends == PLOT_LABELS_ENDS) {
        return;
    }
    size_t i = labels->n_ends++;
    for (; i > 0 && labels->end[i - 1].y > y; i--) {
        labels->end[i] = labels->end[i - 1];
    }
    labels->end[i] = (struct plot_end){ y, text, pen };
}

/* Labels in the order of their heights: each is moved below the one before where they would touch,
 * then all that hang over the lower edge are moved up. */
static void ends_part(struct plot_labels *labels)
{
    for (size_t i = 1; i < labels->n_ends; i++) {
        labels->end[i].y = fmax(labels->end[i].y, labels->end[i - 1].y + LINE);
    }
    double lowest = labels->field->bottom;
    for (size_t i = labels->n_ends; i-- > 0; lowest -= LINE) {
        labels->end[i].y = fmin(labels->end[i].y, lowest);
    }
}

void plot_labels_draw_ends(struct plot_labels *labels, struct canvas *canvas)
{
    ends_part(labels);
    for (size_t i = 0; i < labels->n_ends; i++) {
        canvas_text(canvas,
                    (struct canvas_point){ labels->field->right + 5.0, labels->end[i].y + 4.0 },
                    (struct canvas_type){ labels->end[i].pen, CANVAS_START }, labels->end[i].text);
    }
}

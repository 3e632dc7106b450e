/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "report/html_plot_words.h"

#include "base/text.h"
#include "report/phrase.h"

#include <math.h>

const char *plot_number(struct plot *plot, double value, int decimals)
{
    plot->scratch.length = 0;
    sm_text_add(&plot->scratch, "%.*f", decimals,
                fabs(value) < 0.5 * pow(10.0, -decimals) ? 0.0 : value);
    return text_words(&plot->scratch);
}

const char *plot_axis_words(struct plot *plot, const struct plot_axis *axis)
{
    plot->scratch.length = 0;
    sm_text_add(&plot->scratch, "%s%s", axis->title, axis->unit[0] != '\0' ? ", " : "");
    phrase_unit(&plot->scratch, axis->unit, true);
    return text_words(&plot->scratch);
}

const char *plot_tip(struct plot *plot, const char *label, struct plot_place at)
{
    struct sm_text *tip = &plot->scratch;
    tip->length = 0;
    sm_text_add(tip, "%s%s%.4g ", label, label[0] != '\0' ? ": " : "", at.y);
    phrase_unit(tip, plot->model->y.unit, true);
    sm_text_add(tip, " at %.4g ", at.x);
    phrase_unit(tip, plot->model->x.unit, true);
    return text_words(tip);
}

bool plot_is_small(enum plot_shape shape)
{
    return shape == PLOT_DOT || shape == PLOT_RING;
}

static void curve_shows(struct sm_text *out, struct plot *plot, const struct plot_curve *curve)
{
    if (curve->n == 0) {
        return;
    }
    size_t low = 0, high = 0;
    for (size_t k = 1; k < curve->n; k++) {
        low = curve->points[k].y < curve->points[low].y ? k : low;
        high = curve->points[k].y > curve->points[high].y ? k : high;
    }
    sm_text_add(out, " %s%slowest %s", curve->label, curve->label[0] != '\0' ? ": " : "",
                plot_tip(plot, "", curve->points[low]));
    sm_text_add(out, ", highest %s.", plot_tip(plot, "", curve->points[high]));
}

void plot_shows(struct sm_text *out, struct plot *plot, const char *text)
{
    const struct sheet_plot *model = plot->model;
    sm_text_add(out, "%s%s", text, text[0] != '\0' ? " " : "");
    sm_text_add(out, "%s", plot_axis_words(plot, &model->y));
    sm_text_add(out, " over %s.", plot_axis_words(plot, &model->x));
    for (size_t i = 0; i < model->n_curves; i++) {
        curve_shows(out, plot, &model->curves[i]);
    }
    for (size_t i = 0; i < model->n_levels; i++) {
        sm_text_add(out, " Line: %s.", model->levels[i].label);
    }
    for (size_t i = 0; i < model->n_marks; i++) {
        if (!plot_is_small(model->marks[i].shape)) {
            sm_text_add(out, " Point: %s.", model->marks[i].tip);
        }
    }
}

/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "report/sheet_pictures.h"

#include "base/maths.h"
#include "report/sheet_check.h"
#include "report/words.h"

#include <math.h>
#include <stdlib.h>

/* ------------------------------------------------------------------ points */

struct picture_points pictures_choose(const struct sm_result *result)
{
    struct picture_points chosen = { .n = 0 };
    if (result->n_points <= PICTURE_POINTS) {
        for (size_t i = 0; i < result->n_points; i++) {
            chosen.index[chosen.n++] = i;
        }
        return chosen;
    }
    size_t lowest = 0, highest = 0;
    for (size_t i = 1; i < result->n_points; i++) {
        lowest = result->points[i].output_hz < result->points[lowest].output_hz ? i : lowest;
        highest = result->points[i].output_hz > result->points[highest].output_hz ? i : highest;
    }
    chosen.index[chosen.n++] = lowest;
    if (result->worst_point != lowest && result->worst_point != highest) {
        chosen.index[chosen.n++] = result->worst_point;
    }
    chosen.index[chosen.n++] = highest;
    return chosen;
}

/* ------------------------------------------------------------------ curves */

/* The points of one curve while it is made. */
struct line {
    struct plot_place *places;
    size_t n;
};

static bool line_reserve(struct sheet *sheet, struct line *line, size_t most)
{
    *line = (struct line){ calloc(most > 0 ? most : 1, sizeof *line->places), 0 };
    sheet->out_of_memory = sheet->out_of_memory || !line->places;
    return line->places != NULL;
}

/* Adds what has been gathered, if it is a line, and begins anew: only the last stretch of a broken
 * curve carries its label. */
static void line_flush(struct sheet *sheet, struct sheet_block *block, struct line *line,
                       const struct plot_curve *like)
{
    if (line->n > 0) {
        struct plot_curve curve = *like;
        curve.points = line->places;
        curve.n = line->n;
        sheet_curve(sheet, block, &curve);
    }
    line->n = 0;
}

/* A row's margin at one test frequency, or the smallest of all for `point` beyond the last. */
static struct sm_optional margin_of(const struct sm_sweep *sweep, size_t row, size_t point)
{
    const struct sm_sweep_row *at = &sweep->rows[row];
    const bool runaway = point < sweep->n_points ? at->points[point].runaway : at->runaway;
    const double margin = point < sweep->n_points ? at->points[point].margin : at->margin;
    return (struct sm_optional){ .given = !runaway, .value = margin };
}

void picture_sweep_curve(struct sheet *sheet, struct sheet_block *block,
                         const struct sm_sweep *sweep, size_t point, const struct plot_curve *like)
{
    struct plot_curve broken = *like;
    struct line line;
    broken.label = "";
    if (!line_reserve(sheet, &line, sweep->n_rows)) {
        return;
    }
    size_t last = 0; /* the row after the last one with an equilibrium */
    for (size_t row = 0; row < sweep->n_rows; row++) {
        last = margin_of(sweep, row, point).given ? row + 1 : last;
    }
    const char *unit = sm_sweep_quantity(sweep->plan.over)->unit;
    for (size_t row = 0; row < last; row++) {
        const struct sm_optional margin = margin_of(sweep, row, point);
        if (margin.given) {
            line.places[line.n++] =
                (struct plot_place){ sheet_shown(sweep->rows[row].value, unit), margin.value };
        } else {
            line_flush(sheet, block, &line, &broken);
        }
    }
    line_flush(sheet, block, &line, like);
    free(line.places);
}

void picture_margin_levels(struct sheet *sheet, struct sheet_block *block, double required)
{
    if (required > 0.0) {
        sheet_level(sheet, block,
                    &(struct plot_level){
                        sheet_format(sheet, "required: %s", sheet_quantity(sheet, required, "K")),
                        required, false });
    }
    sheet_level(sheet, block, &(struct plot_level){ "limit: no margin left", 0.0, true });
}

/* ------------------------------------------------------------ one cycle */

/* What all pictures of one cycle have in common, so that they can be compared. */
struct cycle_scale {
    double limit, required; /* degC, K */
    double lowest, highest; /* degC */
};

static struct cycle_scale cycle_scale_of(const struct check_sheet *s)
{
    const double limit = sheet_shown(s->c->module->tvj_op_max, "degC");
    struct cycle_scale scale = { limit, s->c->drive->test.required_margin, limit, limit };
    for (size_t i = 0; i < s->result->n_points; i++) {
        for (int k = 0; !s->result->points[i].runaway && k < SM_CHIP_COUNT; k++) {
            const struct sm_chip_result *chip = &s->result->points[i].chip[k];
            scale.lowest = fmin(scale.lowest, sheet_shown(chip->tvj_min, "degC"));
            scale.highest = fmax(scale.highest, sheet_shown(chip->tvj_max, "degC"));
        }
    }
    return scale;
}

/* One chip's curve.  The extremes lie between the instants, by less than a stroke is wide: the
 * instant next to each takes its value, so that curve, tables and JSON tell the same. */
static void cycle_line(const struct sm_cycle *cycle, unsigned k, struct line *line)
{
    size_t low = 0, high = 0;
    for (size_t i = 0; i < cycle->n; i++) {
        low = cycle->tvj[k][i] < cycle->tvj[k][low] ? i : low;
        high = cycle->tvj[k][i] > cycle->tvj[k][high] ? i : high;
        line->places[line->n++] =
            (struct plot_place){ 1e3 * cycle->phase[i] / (2.0 * PI * cycle->output_hz),
                                 sheet_shown(cycle->tvj[k][i], "degC") };
    }
    line->places[low].y = sheet_shown(cycle->lowest[k], "degC");
    line->places[high].y = sheet_shown(cycle->highest[k], "degC");
}

static void cycle_curves(const struct check_sheet *s, struct sheet_block *block,
                         const struct sm_cycle *cycle)
{
    struct line line;
    for (unsigned k = 0; k < SM_CHIP_COUNT && line_reserve(s->sheet, &line, cycle->n); k++) {
        cycle_line(cycle, k, &line);
        line_flush(s->sheet, block, &line,
                   &(struct plot_curve){
                       .label = word_chip_title((enum sm_chip_kind)k), .pen = k, .told = true });
        free(line.places);
    }
}

static void cycle_picture(const struct check_sheet *s, const struct sm_cycle *cycle,
                          const struct cycle_scale *scale)
{
    struct sheet *sheet = s->sheet;
    struct sheet_block *block =
        sheet_add(sheet, SHEET_PLOT,
                  sheet_format(sheet, "Junction over one output cycle at %s",
                               sheet_quantity(sheet, cycle->output_hz, "Hz")),
                  "Upper switch of one leg: the IGBT carries the first half of the cycle, the "
                  "diode the second.");
    block->plot.x = (struct plot_axis){ .title = "time", .unit = "ms", .whole = true };
    block->plot.y = (struct plot_axis){
        .title = "junction", .unit = "degC", .from = scale->lowest, .to = scale->highest
    };
    cycle_curves(s, block, cycle);
    sheet_level(
        sheet, block,
        &(struct plot_level){ sheet_format(sheet, "limit: %s",
                                           sheet_quantity(sheet, s->c->module->tvj_op_max, "degC")),
                              scale->limit, true });
    if (scale->required > 0.0) {
        sheet_level(sheet, block,
                    &(struct plot_level){ sheet_format(sheet, "limit less %s",
                                                       sheet_quantity(sheet, scale->required, "K")),
                                          scale->limit - scale->required, false });
    }
}

void pictures_cycle(const struct check_sheet *s, const struct sm_check_curves *curves)
{
    const struct picture_points points = pictures_choose(s->result);
    const struct cycle_scale scale = cycle_scale_of(s);
    for (size_t i = 0; i < points.n; i++) {
        const size_t index = points.index[i];
        if (index < curves->n_cycles && curves->cycles[index].n > 0) {
            cycle_picture(s, &curves->cycles[index], &scale);
        }
    }
}

/* ------------------------------------------------------------ over a value */

/* Frequencies that have a curve each. */
enum { PICTURE_CURVES = 4 };

bool picture_has_curve(const struct sm_sweep *sweep)
{
    for (size_t row = 0; row < sweep->n_rows; row++) {
        for (size_t i = 0; i < sweep->n_points; i++) {
            if (!sweep->rows[row].points[i].runaway) {
                return true;
            }
        }
    }
    return false;
}

struct sheet_block *picture_margin(struct sheet *sheet, const struct sm_sweep *sweep,
                                   const char *title)
{
    const struct sm_sweep_quantity *over = sm_sweep_quantity(sweep->plan.over);
    struct sheet_block *block = sheet_add(sheet, SHEET_PLOT, title, "");
    block->plot.x = (struct plot_axis){ .title = over->head,
                                        .unit = over->unit,
                                        .logarithmic = sweep->plan.logarithmic,
                                        .whole = true };
    block->plot.y = (struct plot_axis){ .title = "margin", .unit = "K" };
    picture_margin_levels(sheet, block, sweep->required_margin);
    if (sweep->n_points > PICTURE_CURVES) {
        block->text = "The smallest margin over the test frequencies.";
        picture_sweep_curve(sheet, block, sweep, sweep->n_points,
                            &(struct plot_curve){ .label = "", .told = true });
        return block;
    }
    for (size_t i = 0; i < sweep->n_points; i++) {
        const char *hz = sheet_quantity(sheet, sweep->rows[0].points[i].output_hz, "Hz");
        picture_sweep_curve(sheet, block, sweep, i,
                            &(struct plot_curve){ .label = sweep->n_points > 1 ? hz : "",
                                                  .pen = (unsigned)i,
                                                  .told = true });
    }
    return block;
}

void picture_mark(struct sheet *sheet, struct sheet_block *block, struct plot_place at,
                  const char *label, const char *what)
{
    const struct plot_mark mark = {
        label,
        sheet_format(sheet, "%s: margin %s", what, sheet_quantity(sheet, at.y, "K")),
        at,
        PLOT_FULL,
    };
    sheet_mark(sheet, block, &mark);
}

void picture_over_frequency(struct sheet *sheet, const struct sm_result *result,
                            const struct sm_sweep *sweep)
{
    struct sheet_block *block = picture_margin(sheet, sweep, "Margin over the output frequency");
    for (size_t i = 0; i < result->n_points; i++) {
        const struct sm_point *point = &result->points[i];
        const char *hz = sheet_quantity(sheet, point->output_hz, "Hz");
        if (!point->runaway) {
            picture_mark(sheet, block,
                         (struct plot_place){ sheet_shown(point->output_hz, "Hz"), point->margin },
                         hz, sheet_format(sheet, "test frequency %s", hz));
        }
    }
}

void picture_over_thickness(struct sheet *sheet, const struct sm_result *result,
                            const struct sm_sweep *sweep)
{
    const struct sm_limit *limit = &result->limits[SM_LIMIT_JOINT_THICKNESS];
    const double applied = result->joint.thickness.value;
    struct sheet_block *block =
        picture_margin(sheet, sweep, "Margin over the thickness of the joint");
    if (!result->runaway) {
        picture_mark(sheet, block,
                     (struct plot_place){ sheet_shown(applied, "um"), result->margin },
                     "as applied",
                     sheet_format(sheet, "as applied, %s", sheet_quantity(sheet, applied, "um")));
    }
    if (limit->state == SM_LIMIT_FOUND && !limit->runaway_beyond) {
        const char *um = sheet_bound(sheet, limit->value, "um", PHRASE_AT_MOST);
        picture_mark(sheet, block,
                     (struct plot_place){ sheet_shown(limit->value, "um"), sweep->required_margin },
                     um, sheet_format(sheet, "thickest layer, %s", um));
    }
}

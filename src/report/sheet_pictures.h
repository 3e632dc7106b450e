/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The curves of a check and of a sweep, as blocks of the sheet.  Nothing is computed here: the
 * curves come from the engine. */
#ifndef SWAPMARGIN_REPORT_SHEET_PICTURES_H
#define SWAPMARGIN_REPORT_SHEET_PICTURES_H

#include "report/sheet_check.h"

enum { PICTURE_POINTS = 3 };

/* The test frequencies that have a picture of their own: all of them, or the lowest, the worst and
 * the highest where they are more than PICTURE_POINTS. */
struct picture_points {
    size_t index[PICTURE_POINTS];
    size_t n;
};

struct picture_points pictures_choose(const struct sm_result *result);

/* Junctions over one cycle, one picture a chosen point that has a curve. */
void pictures_cycle(const struct check_sheet *s, const struct sm_check_curves *curves);

/* Margin over a swept value, a curve a frequency (of many only the smallest margin), with the
 * levels of picture_margin_levels().
 * Returned: its block, as sheet_add() does. */
struct sheet_block *picture_margin(struct sheet *sheet, const struct sm_sweep *sweep,
                                   const char *title);

/* The same with the test points on it, and with the layer as applied and the thickest one. */
void picture_over_frequency(struct sheet *sheet, const struct sm_result *result,
                            const struct sm_sweep *sweep);
void picture_over_thickness(struct sheet *sheet, const struct sm_result *result,
                            const struct sm_sweep *sweep);

/* Whether any of its rows has an equilibrium. */
bool picture_has_curve(const struct sm_sweep *sweep);

/* A point on a picture of margins. */
void picture_mark(struct sheet *sheet, struct sheet_block *block, struct plot_place at,
                  const char *label, const char *what);

/* The margins at one of a sweep's points, or the smallest of each row for `point` beyond the last;
 * without equilibrium the curve is broken. */
void picture_sweep_curve(struct sheet *sheet, struct sheet_block *block,
                         const struct sm_sweep *sweep, size_t point, const struct plot_curve *like);

/* The lines of the required margin (K) and of none. */
void picture_margin_levels(struct sheet *sheet, struct sheet_block *block, double required);

#endif

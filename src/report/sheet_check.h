/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The sheet of one check: the verdict first, then what carries it, then what a person must do. */
#ifndef SWAPMARGIN_REPORT_SHEET_CHECK_H
#define SWAPMARGIN_REPORT_SHEET_CHECK_H

#include "report/phrase.h"
#include "report/sheet.h"

/* What the parts of the sheet are made from. */
struct check_sheet {
    struct sheet *sheet;
    const struct sm_case *c;
    const struct sm_result *result;
};

/* Fills an empty sheet: for text, and as a page with pictures in it (sheet_page.c). */
void sheet_check(struct sheet *sheet, const struct sm_case *c, const struct sm_result *result);
void sheet_check_page(struct sheet *sheet, const struct sm_case *c, const struct sm_result *result,
                      const struct sm_check_curves *curves);

/* Parts of both: verdict and reason, what it is about (and the files' names), what to settle,
 * notes, a place to sign. */
void sheet_verdict(const struct check_sheet *s);
void sheet_facts(const struct check_sheet *s, bool files_too);
void sheet_conditions(const struct check_sheet *s);
#define SHEET_TO_SETTLE "Settle before the load run"
void sheet_assumptions(const struct check_sheet *s);
void sheet_sign(const struct check_sheet *s);

/* The numbers (sheet_thermal.c, sheet_fit.c). */
void sheet_margins(const struct check_sheet *s);
void sheet_path(const struct check_sheet *s);
void sheet_path_page(const struct check_sheet *s); /* pictures of chosen points only */
void sheet_losses(const struct check_sheet *s);
void sheet_losses_picture(const struct check_sheet *s);
void sheet_operation(const struct check_sheet *s);
void sheet_extremes(const struct check_sheet *s);
void sheet_limits(const struct check_sheet *s);
void sheet_checks(const struct check_sheet *s);

/* The original beside it: every row in tables; for a page without the rows that say the same, which
 * one sentence tells (sheet_original.c). */
void sheet_original(const struct check_sheet *s);
void sheet_original_page(const struct check_sheet *s);

/* What weighs most in a rejection, else the smallest margin, in one sentence. */
const char *sheet_verdict_reason(const struct check_sheet *s);

void sheet_warnings(const struct check_sheet *s); /* sheet_warnings.c */
#define SHEET_UNLIKELY "Values that look like a slip"

/* The original's own margin and how the candidate compares; only with one. */
#define SHEET_BESIDE "Beside the original"
const char *sheet_original_fact(const struct check_sheet *s);

/* The text as a string kept by the sheet; releases it. */
const char *sheet_take(struct sheet *sheet, struct sm_text *text);

/* A value in a unit of our own table. */
double sheet_shown(double si, const char *unit);

/* A note, a quantity and a frequency with a chip as strings kept by the sheet. */
const char *sheet_note(struct sheet *sheet, const struct sm_note *note);
const char *sheet_quantity(struct sheet *sheet, double si, const char *unit);
const char *sheet_set_by(struct sheet *sheet, double output_hz, enum sm_chip_kind chip);

/* A quantity beside another one, with as many digits as tell it from that. */
const char *sheet_beside(struct sheet *sheet, double si, double other, const char *unit);

/* A limit that was searched for, rounded to the side that keeps it; what the search leaves out. */
const char *sheet_bound(struct sheet *sheet, double si, const char *unit, enum phrase_side side);
#define SHEET_NOT_SEARCHED                                                                         \
    "overload, standstill and electrical checks are not searched: run check again at the value."

/* "kept", "SHORT" or "runaway". */
const char *sheet_kept(bool runaway, double margin, double required);

/* The heading and list of cautions that every sheet carries. */
void sheet_cautions(struct sheet *sheet);

/* The joint in one sentence. */
const char *sheet_joint_words(struct sheet *sheet, const struct sm_joint_result *joint);

#endif

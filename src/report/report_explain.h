/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Explanations and the list of what can be explained, written out. */
#ifndef SWAPMARGIN_REPORT_REPORT_EXPLAIN_H
#define SWAPMARGIN_REPORT_REPORT_EXPLAIN_H

#include "swapmargin/explain.h"
#include "swapmargin/report.h"

/* For people: the steps from the top down, then the curves and tables that they refer to. */
void explain_text(const struct sm_explanation *explanation, const struct sm_style *style,
                  struct sm_text *out);
void askables_text(const struct sm_askables *askables, const struct sm_style *style,
                   struct sm_text *out);

/* One step's columns and rows (report_explain_table.c). */
void explain_table(const struct sm_explanation *explanation, const struct sm_step *step,
                   const struct sm_style *style, struct sm_text *out);

/* The line that says what a symbol stands for; width: columns of the symbols. */
void explain_link(const struct sm_explanation *explanation, const struct sm_step_link *link,
                  int width, const struct sm_style *style, struct sm_text *out);

/* "examples/drive.ini:12 [cooling] ambient", "default [cooling] ambient", "row mica of ..." */
void explain_origin(struct sm_text *out, const struct sm_origin *origin, const char *key,
                    const char *note);

/* A value as it is printed. */
void explain_value(struct sm_text *out, double value, const char *unit);

/* For programs.  Errors: SM_ERR_DOMAIN, SM_ERR_MEMORY; one fault each. */
enum sm_status explain_json(const struct sm_explanation *explanation, struct sm_text *out,
                            struct sm_faults *faults);
enum sm_status askables_json(const struct sm_askables *askables, struct sm_text *out,
                             struct sm_faults *faults);

#endif

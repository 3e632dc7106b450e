/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The joint's sheet: what the layer costs, how bad it may be, and how it is made. */
#ifndef SM_REPORT_REPORT_JOINT_H
#define SM_REPORT_REPORT_JOINT_H

#include "report/sheet.h"
#include "swapmargin/joint.h"
#include "swapmargin/sweep.h"

/* What the study was made from. */
struct joint_page {
    const struct sm_case *c;
    const struct sm_joint_study *study;
    const struct sm_joint_compound *compounds; /* study->n_compounds of them */
    const struct sm_sweep *thickness; /* drawn by a page; NULL: could not be computed, not drawn */
};

/* Fills an empty sheet. */
void sheet_joint(struct sheet *sheet, const struct joint_page *page);

/* Errors: SM_ERR_DOMAIN (a format that this report does not have; a number that is not finite),
 * SM_ERR_MEMORY. */
enum sm_status report_joint(const struct joint_page *page, enum sm_format format,
                            const struct sm_style *style, struct sm_text *out,
                            struct sm_faults *faults);

/* From SI, in units that no file takes: cubic centimetres and grams. */
#define CM3_PER_M3 1e6
#define GRAM_PER_KG 1e3

/* The margin as it is: smallest over the test frequencies. */
bool joint_keeps(const struct joint_page *page);

/* Why something is absent; NULL, or nothing added to the empty text, where it is there. */
void joint_why_no_bounds(struct sm_text *out, const struct joint_page *page);
const char *joint_why_no_coverage(const struct joint_page *page);
const char *joint_why_no_conductivity(const struct joint_page *page);
const char *joint_why_no_amount(const struct joint_page *page);
const char *joint_why_no_pressing(const struct joint_page *page);
const char *joint_why_no_bare(const struct joint_page *page);

/* Steps of mounting; NULL for one that this study does without. */
size_t joint_step_count(void);
const char *joint_step(const struct joint_page *page, size_t index);

#endif

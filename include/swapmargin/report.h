/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Reports: a case and its result written out.  Everything goes into a text buffer; writing it
 * anywhere is the caller's. */
#ifndef SWAPMARGIN_REPORT_H
#define SWAPMARGIN_REPORT_H

#include "swapmargin/case.h"
#include "swapmargin/cycle.h"
#include "swapmargin/error.h"
#include "swapmargin/explain.h"
#include "swapmargin/result.h"
#include "swapmargin/sweep.h"
#include "swapmargin/text.h"

#ifdef __cplusplus
extern "C" {
#endif

enum sm_format { SM_FORMAT_TEXT, SM_FORMAT_JSON, SM_FORMAT_JSONL, SM_FORMAT_CSV, SM_FORMAT_HTML };

struct sm_style {
    bool utf8; /* false: plain ASCII only */
    int width; /* columns of the text, >= 60 */
};

/* The sheet of one check.  style counts for SM_FORMAT_TEXT only.  SM_FORMAT_HTML is the page below
 * without curves.
 * Errors: SM_ERR_DOMAIN (a format that this report does not have), SM_ERR_MEMORY. */
enum sm_status sm_report_check(const struct sm_case *c, const struct sm_result *result,
                               enum sm_format format, const struct sm_style *style,
                               struct sm_text *out, struct sm_faults *faults);

/* Curves that a page draws beside the numbers of its result; each may be missing. */
struct sm_check_curves {
    const struct sm_cycle *cycles; /* [n_cycles], at the test frequencies in their order */
    size_t n_cycles;
    const struct sm_sweep *frequency; /* over the output frequency; NULL: could not be computed */
    const struct sm_sweep *thickness; /* over the joint's thickness; NULL likewise, or no layer */
};

/* The sheet of one check as a page of HTML: one file that needs nothing else.
 * Errors: SM_ERR_MEMORY. */
enum sm_status sm_report_check_page(const struct sm_case *c, const struct sm_result *result,
                                    const struct sm_check_curves *curves, struct sm_text *out,
                                    struct sm_faults *faults);

/* The table of one sweep: as text, as JSON, as CSV with one row a value and frequency, or as a page
 * with its curves.
 * Errors: as sm_report_check(). */
enum sm_status sm_report_sweep(const struct sm_case *c, const struct sm_sweep *sweep,
                               enum sm_format format, const struct sm_style *style,
                               struct sm_text *out, struct sm_faults *faults);

/* One explanation, and the list of what can be explained.  Formats: text and JSON.  style counts
 * for SM_FORMAT_TEXT only.
 * Errors: SM_ERR_DOMAIN (a format that these reports do not have), SM_ERR_MEMORY. */
enum sm_status sm_report_explanation(const struct sm_explanation *explanation,
                                     enum sm_format format, const struct sm_style *style,
                                     struct sm_text *out, struct sm_faults *faults);
enum sm_status sm_report_askables(const struct sm_askables *askables, enum sm_format format,
                                  const struct sm_style *style, struct sm_text *out,
                                  struct sm_faults *faults);

/* One fault as one line: "FILE:LINE: [section] key: message". */
void sm_report_fault(const struct sm_fault *fault, struct sm_text *out);

/* One warning as one line: "FILE:LINE: warning: [section] key: message". */
void sm_report_warning(const struct sm_warning *warning, struct sm_text *out);

#ifdef __cplusplus
}
#endif

#endif

/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The result of a check for programs: JSON, and what is made from it. */
#ifndef SWAPMARGIN_REPORT_REPORT_JSON_H
#define SWAPMARGIN_REPORT_REPORT_JSON_H

#include "report/json_value.h"
#include "swapmargin/report.h"

/* Adds the result in a form made from its JSON: json_text() or report_csv().
 * Errors: SM_ERR_DOMAIN (a number of the result is not finite), SM_ERR_MEMORY; one fault each. */
enum sm_status report_json_check(const struct sm_case *c, const struct sm_result *result,
                                 json_form *form, struct sm_text *out, struct sm_faults *faults);

#endif

/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The result of a check as JSON, for programs. */
#ifndef SWAPMARGIN_REPORT_REPORT_JSON_H
#define SWAPMARGIN_REPORT_REPORT_JSON_H

#include "swapmargin/report.h"

/* Adds one JSON object and a newline.
 * Errors: SM_ERR_DOMAIN (a number of the result is not finite), SM_ERR_MEMORY; one fault each. */
enum sm_status report_json_check(const struct sm_case *c, const struct sm_result *result,
                                 struct sm_text *out, struct sm_faults *faults);

#endif

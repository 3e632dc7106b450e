/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Any result as CSV, made from its JSON, so that the two cannot differ. */
#ifndef SWAPMARGIN_REPORT_REPORT_CSV_H
#define SWAPMARGIN_REPORT_REPORT_CSV_H

#include "swapmargin/text.h"

#include <jansson.h>

/* Adds every value of the document, one a line: path ("points[0].igbt.tvj_max_c"), value (a number,
 * digits as in JSON), unit (of a number), text (all else).  A null has a line with nothing but its
 * path; an empty list or object has none. */
void report_csv(struct sm_text *out, json_t *root);

#endif

/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * A sheet as text: no line is wider than the style's width. */
#ifndef SWAPMARGIN_REPORT_REPORT_TEXT_H
#define SWAPMARGIN_REPORT_REPORT_TEXT_H

#include "report/sheet.h"

void report_text(struct sm_text *out, const struct sheet *sheet, const struct sm_style *style);

#endif

/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Tables and bars of a sheet as text. */
#ifndef SWAPMARGIN_REPORT_TEXT_TABLE_H
#define SWAPMARGIN_REPORT_TEXT_TABLE_H

#include "report/sheet.h"

/* Blanks before everything that stands under a heading. */
#define TEXT_INDENT 2

/* Adds the table: heads, units, rows; numbers aligned at the decimal point.  Where the columns do
 * not fit side by side, a flexible one is wrapped; else the table is parted and its key columns are
 * repeated. */
void text_table(struct sm_text *out, const struct sheet_block *block, const struct sm_style *style);

/* Adds the bars, one a line: label, value, and the bar on a scale with its ends told above. */
void text_bars(struct sm_text *out, const struct sheet_block *block, const struct sm_style *style);

#endif

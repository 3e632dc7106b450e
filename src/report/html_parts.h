/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The blocks of a sheet that a page shows as tables and pictures. */
#ifndef SWAPMARGIN_REPORT_HTML_PARTS_H
#define SWAPMARGIN_REPORT_HTML_PARTS_H

#include "report/sheet.h"

/* px  Width that every picture is drawn for; the page scales it. */
#define HTML_PICTURE_WIDTH 380.0

/* Each adds one block; `id` is unique in the page: letters, digits and '-'.  A table of more than
 * `most` columns comes in parts that repeat the columns that name its rows; not one that can be
 * sorted. */
void html_table(struct sm_text *out, const struct sheet_block *block, const char *id, size_t most);
void html_bars(struct sm_text *out, const struct sheet_block *block, const char *id);
void html_plot(struct sm_text *out, const struct sheet_block *block, const char *id);

/* Adds a unit's printed spelling, escaped, after a blank; nothing for "". */
void html_unit(struct sm_text *out, const char *unit);

#endif

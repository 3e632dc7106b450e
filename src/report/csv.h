/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Cells and lines of CSV (RFC 4180: comma, CRLF, quotes doubled inside quotes), in UTF-8 without a
 * byte order mark.
 *
 * A spreadsheet takes a text that begins with = + - @ for a formula, and a formula in a file from
 * elsewhere can reach out of the sheet.  Such a text gets an apostrophe in front: what spreadsheets
 * themselves write before a text that is none.  Numbers are written as numbers, also negative ones.
 */
#ifndef SWAPMARGIN_REPORT_CSV_H
#define SWAPMARGIN_REPORT_CSV_H

#include "swapmargin/text.h"

#include <jansson.h>

struct csv {
    struct sm_text *out;
    bool begun; /* the line has a cell */
};

/* Each adds one cell.  NULL and "" give an empty one. */
void csv_text(struct csv *csv, const char *text);
void csv_number(struct csv *csv, const char *digits); /* digits that the program wrote itself */

/* Ends the line. */
void csv_end(struct csv *csv);

/* A whole line of texts: the header. */
void csv_header(struct csv *csv, const char *const *names, size_t count);

/* The digits of a number as JSON has them, as one cell; null, and NULL for no memory, as an empty
 * one. */
void csv_json(struct csv *csv, const json_t *number);

#endif

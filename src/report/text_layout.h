/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Laying out text in columns: spelling for the terminal, wrapping, padding. */
#ifndef SWAPMARGIN_REPORT_TEXT_LAYOUT_H
#define SWAPMARGIN_REPORT_TEXT_LAYOUT_H

#include "swapmargin/report.h"

/* Where a paragraph stands: its first line begins with `first`, each further line with as many
 * blanks. */
struct layout {
    const struct sm_style *style;
    const char *first;
};

/* Adds the text as the terminal can show it: UTF-8, or plain ASCII. */
void layout_spell(struct sm_text *out, const char *text, const struct sm_style *style);

/* Adds a wrapped paragraph, ending with a newline.  A number stays with the word after it, which
 * may be its unit; a word longer than a line is cut.  A newline in the text begins a new line. */
void layout_wrap(struct sm_text *out, const char *text, const struct layout *layout);

/* Adds n times a string; negative n adds nothing. */
void layout_repeat(struct sm_text *out, const char *piece, int n);

/* Columns of what has been added since `start` (a length of `out`). */
int layout_columns_since(const struct sm_text *out, size_t start);

/* Adds a number with fixed decimals, right-aligned; what rounds to zero has no sign. */
void layout_number(struct sm_text *out, double number, int decimals, int width);

/* Takes blanks away from the end of the text. */
void layout_trim(struct sm_text *out);

#endif

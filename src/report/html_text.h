/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Text as HTML and SVG may hold it, in elements and in attributes alike.
 *
 * Text from a file stays text: markup is escaped, broken bytes and control characters become
 * U+FFFD.  Nor can it change the order of what stands beside it: characters that steer the writing
 * direction become U+FFFD too, and each run of a script written from the right is isolated (U+2068,
 * U+2069), so that a number after it is not drawn into it. */
#ifndef SWAPMARGIN_REPORT_HTML_TEXT_H
#define SWAPMARGIN_REPORT_HTML_TEXT_H

#include "swapmargin/text.h"

#include <stddef.h>

/* Adds the text.  A newline becomes a blank. */
void html_text(struct sm_text *out, const char *text);

/* The same for the first `length` bytes. */
void html_text_part(struct sm_text *out, const char *text, size_t length);

/* Adds the text in lines: a newline becomes <br/>, what stands between backticks code. */
void html_lines(struct sm_text *out, const char *text);

/* Adds the text as a string of CSS, quotes included. */
void html_css_string(struct sm_text *out, const char *text);

#endif
